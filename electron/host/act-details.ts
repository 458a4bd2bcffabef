import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import type { ChangeChoice, ChangedCase, VerdictsUnder } from '../../core/protocol/host-api.ts';
import { parametersDigest } from '../../core/review/parameters-digest.ts';
import { sha256 } from './kept-reviews.ts';

/*
 * What the trail says of acts on the library: names of parameters, digests and numbers, and nothing of a patient. Names of cases and of
 * files are left out: they may be those of persons.
 */

/** Returns what differs between two sets of parameters; null: nothing. */
export function parametersDetail(before: AnalysisParameters, after: AnalysisParameters): string | null {
  const fields = new Map<string, unknown>(Object.entries(before));
  const changes = Object.entries(after).flatMap(([field, value]) => (JSON.stringify(fields.get(field)) === JSON.stringify(value) ? [] : [`${field} ${JSON.stringify(fields.get(field))} → ${JSON.stringify(value)}`]));
  return changes.length === 0 ? null : `${changes.join('; ')}; digest ${parametersDigest(after, sha256)}`;
}

/** Returns which clock was set to what: "source 2: 0 ms → 84000 ms". */
export function clockDetail(sourceIndex: number, beforeMs: number, offsetMs: number): string {
  return `source ${sourceIndex + 1}: ${beforeMs} ms → ${offsetMs} ms`;
}

/** Returns how the verdicts of a case stand under another analysis. */
export function verdictsDetail(under: VerdictsUnder | 'not told' | null): string {
  if (under === null) return 'no verdict in force';
  if (under === 'not told') return 'how its verdicts stand cannot be told';
  const parts: readonly (readonly [number, string])[] = [[under.same, 'at the same dropout'], [under.moved, 'moved'], [under.split, 'split'], [under.joined, 'joined'], [under.withoutDropout, 'without a dropout']];
  return `verdicts in force: ${under.verdicts} (${parts.flatMap(([count, word]) => (count > 0 ? [`${count} ${word}`] : [])).join(', ')})`;
}

/** Returns the inputs of two stored forms of a case, by digest: "inputs 0123456789ab → ba9876543210". */
export function inputsDetail(before: Uint8Array, after: Uint8Array): string {
  const digests = (bytes: Uint8Array): string => {
    const decoded = decodeCase(bytes);
    return decoded.ok ? decoded.value.record.sources.map((source) => source.sha256.slice(0, 12)).join(' ') : 'not readable';
  };
  return `inputs ${digests(before)} → ${digests(after)}`;
}

/** Returns whether a choice puts another case into the library's place, or takes it out again; null: neither. */
export function replacementIn({ decision }: ChangeChoice, before: ChangedCase | undefined): 'put in' | 'taken out' | null {
  const wasReplaced = before?.decision === 'replace';
  if (decision === 'replace') return wasReplaced ? null : 'put in';
  return wasReplaced ? 'taken out' : null;
}
