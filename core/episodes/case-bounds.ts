import type { CaseBounds } from '../model/analysis.ts';
import type { Finding } from '../base/finding.ts';
import type { CaseRecord } from '../model/case.ts';

/**
 * Returns the bounds within which a case is judged: anaesthesia start to end where events give them, else the first and
 * last row over all channels.
 * Shape   startMs ≤ endMs; both 0 for a case without rows.
 * Missing events that contradict each other, or leave no row between them, are not used, and a finding says so.
 * Source  analysis-spec 4; docs/methods/monitored-time.md.
 */
export function caseBounds(record: CaseRecord): { bounds: CaseBounds; findings: Finding[] } {
  let first = Infinity;
  let last = -Infinity;
  for (const { tMs } of record.channels) {
    first = Math.min(first, tMs[0] ?? Infinity);
    last = Math.max(last, tMs[tMs.length - 1] ?? -Infinity);
  }
  if (first > last) return { bounds: { startMs: 0, endMs: 0, startFrom: 'first row', endFrom: 'last row' }, findings: [] };

  const start = record.events.find((e) => e.kind === 'anaesthesia start')?.atMs;
  const end = record.events.findLast((e) => e.kind === 'anaesthesia end')?.atMs;
  const bounds: CaseBounds = {
    startMs: start === undefined ? first : Math.max(first, start),
    endMs: end === undefined ? last : Math.min(last, end),
    startFrom: start === undefined ? 'first row' : 'anaesthesia start',
    endFrom: end === undefined ? 'last row' : 'anaesthesia end',
  };
  if (bounds.startMs < bounds.endMs || (start === undefined && end === undefined)) return { bounds, findings: [] };
  return {
    bounds: { startMs: first, endMs: last, startFrom: 'first row', endFrom: 'last row' },
    findings: [
      {
        code: 'bounds-unusable',
        severity: 'warning',
        message:
          'The events that mark the start and end of anaesthesia leave no trend row between them. The whole record was analysed instead. Check whether their clocks or dates differ.',
        count: 1,
      },
    ],
  };
}
