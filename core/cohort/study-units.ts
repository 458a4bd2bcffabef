import type { Interval } from '../base/interval.ts';
import { totalMs } from '../base/interval.ts';
import type { CohortCase, CohortSite } from '../model/cohort-case.ts';
import type { NextStudyOptions, StudyCase, StudyUnit, UnitSite } from '../model/next-study.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { clusterOf, statedPatient } from './clusters.ts';
import { LEAST_COMMON_MS, commonTime } from './common-time.ts';
import { lostWithin, onsetOf, spansOf } from './loss-within.ts';
import { countsAt } from './select-losses.ts';

/**
 * Returns what one case gives to the planning of a study: lost and monitored time and dropouts of each site, and of every two sites over
 * the time in which both were monitored.
 * Shape   lost time is the mid estimate, over common time its part in proportion; a dropout counts where its onset (midpoint of its bounds) lies.
 *         Bypass is left out of common time unless the parameters keep it.
 *         `given` as computed or as `selectLosses` gives it: the dropouts that it holds count.
 * Missing sites and pairs without any time are left out.
 * Source  statistics a (bounds, midpoints) and c (only the overlapping time counts).
 */
export function studyCaseOf(given: CohortCase, parameters: Pick<AnalysisParameters, 'keepBypass'>): StudyCase {
  const { caseKey, caseId, sites, attributes } = given;
  const some = (site: UnitSite): boolean => site.monitoredMs > 0;
  return {
    caseKey,
    caseId,
    unitId: clusterOf(given),
    attributes,
    notReviewed: sites.reduce((total, _, i) => total + countsAt(given, i).notReviewed, 0),
    sites: sites.map(({ siteKey, any }) => ({ siteKey, lostMs: any.lostMs.mid, monitoredMs: any.monitoredMs, dropouts: any.dropouts.length })).filter(some),
    pairs: sites.flatMap((first, i) =>
      sites.slice(i + 1).flatMap((second) => {
        const together = commonTime(given, [first, second], parameters);
        const pair = { firstKey: first.siteKey, secondKey: second.siteKey, first: within(first, together), second: within(second, together) };
        return some(pair.first) ? [pair] : [];
      }),
    ),
  };
}

/**
 * Returns the units that a study of two sites draws from, sums over the cases of each.
 * Shape   in the paired design only time with both; in the parallel one the whole time of either. In the order of the units' names.
 * Missing a site with less than ten minutes in all the cases of a unit is none of it; a unit without a site is left out.
 */
export function studyUnits(cases: readonly StudyCase[], { design, firstKey, secondKey, patientColumn }: Pick<NextStudyOptions, 'design' | 'firstKey' | 'secondKey' | 'patientColumn'>): StudyUnit[] {
  const units = new Map<string, { first: UnitSite | null; second: UnitSite | null }>();
  const add = (unitId: string, first: UnitSite | undefined, second: UnitSite | undefined): void => {
    const before = units.get(unitId) ?? { first: null, second: null };
    units.set(unitId, { first: sum(before.first, first), second: sum(before.second, second) });
  };
  for (const { caseKey, caseId, unitId: own, attributes, sites, pairs } of cases) {
    const patient = statedPatient(attributes, patientColumn);
    const unitId = patient === null ? own : clusterOf({ patientKey: patient, caseId, caseKey });
    if (design === 'parallel') {
      const siteOf = (key: string): UnitSite | undefined => sites.find(({ siteKey }) => siteKey === key);
      const first = siteOf(firstKey);
      const second = siteOf(secondKey);
      if (first !== undefined || second !== undefined) add(unitId, first, second);
      continue;
    }
    for (const pair of pairs) {
      if (pair.firstKey === firstKey && pair.secondKey === secondKey) add(unitId, pair.first, pair.second);
      if (pair.firstKey === secondKey && pair.secondKey === firstKey) add(unitId, pair.second, pair.first);
    }
  }
  return [...units].sort(([a], [b]) => (a < b ? -1 : 1)).map(([unitId, { first, second }]) => ({ unitId, first: enough(first), second: enough(second) })).filter(({ first, second }) => first !== null || second !== null);
}

function enough(site: UnitSite | null): UnitSite | null {
  return site !== null && site.monitoredMs >= LEAST_COMMON_MS ? site : null;
}

function sum(before: UnitSite | null, more: UnitSite | undefined): UnitSite | null {
  if (more === undefined) return before;
  const { lostMs, monitoredMs, dropouts } = before ?? { lostMs: 0, monitoredMs: 0, dropouts: 0 };
  return { lostMs: lostMs + more.lostMs, monitoredMs: monitoredMs + more.monitoredMs, dropouts: dropouts + more.dropouts };
}

/** What a site gave within some stretches of its monitored time. */
function within({ any }: CohortSite, stretches: readonly Interval[]): UnitSite {
  const monitored = spansOf(any.monitoredSpans);
  return {
    lostMs: any.dropouts.reduce((total, dropout) => total + lostWithin(dropout, stretches, monitored), 0),
    monitoredMs: totalMs(stretches),
    dropouts: any.dropouts.filter((dropout) => stretches.some(({ startMs, endMs }) => onsetOf(dropout) >= startMs && onsetOf(dropout) < endMs)).length,
  };
}
