import type { LibraryCase } from '../model/case-list.ts';
import type { CaseSummary } from './host-api.ts';

/** Returns a line of the library as a list of cases is held against it, with the reason where the case has no SpO2 to work with. */
export function listedCase({ caseKey, caseId, date, sites, monitoredMs, lostMidMs, dropouts, problem }: CaseSummary): LibraryCase {
  return { caseKey, caseId, date, sites, monitoredMs, lostMidMs, dropouts, unusable: problem ?? unusable(sites.length, monitoredMs, lostMidMs) };
}

/** Returns why a case has no SpO2 to work with; null where it has. */
export function unusable(nSites: number, monitoredMs: number, lostMidMs: number): string | null {
  if (nSites === 0) return 'the record holds no SpO2';
  if (monitoredMs === 0) return 'SpO2 was recorded, but never gave information';
  return lostMidMs >= monitoredMs ? 'no usable SpO2 in all of the monitored time' : null;
}
