import type { CohortBlind, CohortCase, CohortLosses } from '../model/cohort-case.ts';
import type { QualityCase, QualityLosses } from '../model/quality-case.ts';
import { countsAt, selectLosses } from './select-losses.ts';

/** Returns what a case gives to quality charts and funnels. */
export function qualityCaseOf(one: CohortCase): QualityCase {
  const { caseKey, caseId, patientKey, attributes, startedAtMs, date, notUsable, sites, blind, blindDoubtfulLost, exposures } = one;
  return {
    caseKey,
    caseId,
    patientKey,
    attributes,
    startedAtMs,
    date,
    notUsable,
    sites: sites.map(({ site, any, doubtfulLost }) => ({ site, any: ofSensor(any), doubtfulLost: ofSensor(doubtfulLost) })),
    blind: ofCase(blind),
    blindDoubtfulLost: ofCase(blindDoubtfulLost),
    confirmed: confirmedOf(one),
    hasVasopressor: exposures.some(({ kind }) => kind === 'vasopressor bolus' || kind === 'infusion change'),
  };
}

function confirmedOf(one: CohortCase): QualityCase['confirmed'] {
  if (one.sites.some((_, i) => countsAt(one, i).notReviewed > 0)) return null;
  const { sites, blind } = selectLosses(one, 'confirmed');
  return { sites: sites.map(({ any }) => ofSensor(any)), blind: ofCase(blind) };
}

function ofSensor({ dropouts, longestMidMs, lostMs, monitoredMs }: CohortLosses): QualityLosses {
  return { midsMs: dropouts.map((dropout) => dropout.lostMs.mid), count: dropouts.length, longestMidMs, lostMidMs: lostMs.mid, monitoredMs };
}

function ofCase({ count, longestMidMs, lengthsMs, lostMs, monitoredMs }: CohortBlind): QualityLosses {
  return { midsMs: lengthsMs.map(({ mid }) => mid), count, longestMidMs, lostMidMs: lostMs.mid, monitoredMs };
}
