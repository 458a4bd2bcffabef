import type { LibraryCase } from '../model/case-list.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { CaseSummary } from './host-api.ts';

/** Returns a line of the library as a list of cases is held against it, with the reason where the case has no SpO2 to work with. */
export function listedCase({ caseKey, caseId, date, sites, monitoredMs, lostMidMs, dropouts, problem }: CaseSummary): LibraryCase {
  return { caseKey, caseId, date, sites, monitoredMs, lostMidMs, dropouts, unusable: problem ?? unusable(sites.length, monitoredMs, lostMidMs) };
}

/** Returns a case of a run as a list of cases is held against it. */
export function listedCohortCase({ caseKey, caseId, date, sites }: Pick<CohortCase, 'caseKey' | 'caseId' | 'date' | 'sites'>): LibraryCase {
  const sum = (pick: (site: CohortCase['sites'][number]) => number): number => sites.reduce((total, site) => total + pick(site), 0);
  const monitoredMs = sum(({ any }) => any.monitoredMs);
  const lostMidMs = sum(({ any }) => any.lostMs.mid);
  return { caseKey, caseId, date, sites: sites.map(({ siteKey }) => siteKey), monitoredMs, lostMidMs, dropouts: sum(({ any }) => any.dropouts.length), unusable: unusable(sites.length, monitoredMs, lostMidMs) };
}

/** Returns why a case has no SpO2 to work with; null where it has. */
function unusable(nSites: number, monitoredMs: number, lostMidMs: number): string | null {
  if (nSites === 0) return 'the record holds no SpO2';
  if (monitoredMs === 0) return 'SpO2 was recorded, but never gave information';
  return lostMidMs >= monitoredMs ? 'no usable SpO2 in all of the monitored time' : null;
}
