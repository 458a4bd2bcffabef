import type { CaseMs } from '../base/brand.ts';
import { upperBound } from '../base/search.ts';
import type { CaseRecord } from './case.ts';

/**
 * Returns the record as it was at an instant: what had been recorded by then, and nothing after.
 * Shape    samples, events and doses at `untilMs` or before; an end that was not reached yet is not known. Arrays of channels are new.
 *          A channel without a sample by then is left out. The parts of the sources are left out: nobody sets a clock in it.
 * Units    CaseMs.
 */
export function recordUntil(record: CaseRecord, untilMs: CaseMs): CaseRecord {
  const { parts: _parts, ...rest } = record;
  const endBy = (endMs: number | null): number | null => (endMs === null || endMs > untilMs ? null : endMs);
  return {
    ...rest,
    channels: record.channels.flatMap((channel) => {
      const n = upperBound(channel.tMs, untilMs);
      return n === 0 ? [] : [{ ...channel, tMs: channel.tMs.slice(0, n), value: channel.value.slice(0, n), mark: channel.mark.slice(0, n), line: channel.line.slice(0, n) }];
    }),
    events: record.events.filter(({ atMs }) => atMs <= untilMs).map((event) => ({ ...event, endMs: endBy(event.endMs) })),
    drugs: record.drugs.filter(({ atMs }) => atMs <= untilMs).map((drug) => ({ ...drug, endMs: endBy(drug.endMs) })),
  };
}
