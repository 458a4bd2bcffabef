import type { CaseSummary } from '../../core/protocol/host-api.ts';

/** Returns one line of a library: a case at the finger with one dropout of 30 s (20 to 40 s). */
export function buildCaseSummary(over: Partial<CaseSummary> = {}): CaseSummary {
  return {
    caseKey: over.caseId ?? 'case-1', caseId: 'case-1', sites: ['finger'], date: '2031-04-03', dropouts: 1, lostMidMs: 30_000, lostLowMs: 20_000, lostHighMs: 40_000, longestMidMs: 30_000,
    blindMidMs: 30_000, monitoredMs: 3_600_000, shareMid: 30 / 3600, doubtfulLost: { dropouts: over.dropouts ?? 1, lostMidMs: over.lostMidMs ?? 30_000, shareMid: over.shareMid ?? 30 / 3600 }, intervalMs: 10_000, channels: 5, findings: 0, sourceNames: ['trends.csv'], problem: null, ...over,
  };
}
