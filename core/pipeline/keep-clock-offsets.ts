import type { CaseRecord, SourceFile } from '../model/case.ts';
import { setClockOffset } from './set-clock-offset.ts';

/** A clock that a person had set in the stored case and that a new reading of the same source takes over. */
export interface KeptOffset {
  /** Name of the new reading's source. */
  readonly source: string;
  readonly offsetMs: number;
}

/**
 * Returns a new reading of a case with the clocks set as a person had set them in the stored one: of every source that states no
 * offset of its own and is the same file there, byte for byte, or else the only one of its name in both.
 * Shape    nothing is modified; without such a source `record` is `after` itself.
 * Missing  the evidence of an accepted proposal stays only where the files that it rests on are the same.
 * Errors   none: a reading whose clocks cannot be set stays as it is.
 */
export function keepClockOffsets(before: CaseRecord, after: CaseRecord): { readonly record: CaseRecord; readonly kept: readonly KeptOffset[] } {
  let record = after;
  const kept: KeptOffset[] = [];
  for (const [index, source] of after.sources.entries()) {
    if (source.clockOffsetMs !== 0) continue;
    const partner = partnerOf(source, before.sources, after.sources);
    if (partner === null || partner.clockOffsetMs === 0) continue;
    const { acceptedOffset } = partner;
    const isSameEvidence = acceptedOffset !== undefined && isSameFile(partner, source) && after.sources.some((other) => before.sources.some((own) => own.name === acceptedOffset.against && isSameFile(own, other)));
    const moved = setClockOffset(record, index, partner.clockOffsetMs, isSameEvidence ? acceptedOffset : null);
    if (!moved.ok) return { record: after, kept: [] };
    record = moved.value;
    kept.push({ source: source.name, offsetMs: partner.clockOffsetMs });
  }
  return { record, kept };
}

function partnerOf(source: SourceFile, before: readonly SourceFile[], after: readonly SourceFile[]): SourceFile | null {
  const same = before.find((own) => isSameFile(own, source));
  if (same !== undefined) return same;
  const named = before.filter(({ name }) => name === source.name);
  return named.length === 1 && after.filter(({ name }) => name === source.name).length === 1 ? (named[0] ?? null) : null;
}

function isSameFile(a: SourceFile, b: SourceFile): boolean {
  return a.sha256 !== '' && a.sha256 === b.sha256;
}
