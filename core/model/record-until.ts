import type { CaseMs } from '../base/brand.ts';
import { upperBound } from '../base/search.ts';
import type { Exposure } from './analysis.ts';
import type { CaseRecord } from './case.ts';

/**
 * Returns the record as it was at an instant: what had been recorded by then, and nothing after.
 * Shape    samples, events and doses at `untilMs` or before; an end that was not reached yet is not known, and `recordedUntilMs` says so. Arrays of channels are new.
 *          A channel without a sample by then is left out. The parts of the sources are left out: nobody sets a clock in it.
 * Units    CaseMs.
 */
export function recordUntil(record: CaseRecord, untilMs: CaseMs): CaseRecord {
  const { parts: _parts, ...rest } = record;
  const endBy = (endMs: number | null): number | null => (endMs === null || endMs > untilMs ? null : endMs);
  return {
    ...rest,
    recordedUntilMs: untilMs,
    channels: record.channels.flatMap((channel) => {
      const n = upperBound(channel.tMs, untilMs);
      return n === 0 ? [] : [{ ...channel, tMs: channel.tMs.slice(0, n), value: channel.value.slice(0, n), mark: channel.mark.slice(0, n), line: channel.line.slice(0, n) }];
    }),
    events: record.events.filter(({ atMs }) => atMs <= untilMs).map((event) => ({ ...event, endMs: endBy(event.endMs) })),
    drugs: record.drugs.filter(({ atMs }) => atMs <= untilMs).map((drug) => ({ ...drug, endMs: endBy(drug.endMs) })),
  };
}

/**
 * Returns whether a state of a record was going on when the record stops because the rest is kept back: it reaches the end of what is
 * analysed, and nothing of its kind on record ends it there. false for a whole record: where that stops, nothing is kept back.
 * Units    CaseMs.
 */
export function isGoingOn({ recordedUntilMs, events, drugs }: CaseRecord, { kind, atMs, endMs }: Pick<Exposure, 'kind' | 'atMs' | 'endMs'>, analysedUntilMs: CaseMs): boolean {
  if (recordedUntilMs === undefined || endMs === null || endMs < analysedUntilMs) return false;
  const ends = (one: { readonly atMs: number; readonly endMs: number | null }): boolean => one.endMs === endMs || (one.atMs === endMs && endMs > atMs);
  return !(kind === 'infusion change' ? drugs.some((drug) => drug.form !== 'bolus' && ends(drug)) : events.some((event) => event.kind === kind && ends(event)));
}
