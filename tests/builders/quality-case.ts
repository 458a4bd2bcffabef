import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { QualityCase, QualityLosses } from '../../core/model/quality-case.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { QualityDefinition } from '../../core/model/quality-chart.ts';

/** Losses of those durations (s) in so many hours. */
export function qualityLosses(secondsEach: readonly number[], hours: number): QualityLosses {
  const midsMs = secondsEach.map((s) => s * 1000);
  return { midsMs, count: midsMs.length, longestMidMs: Math.max(0, ...midsMs), lostMidMs: midsMs.reduce((sum, ms) => sum + ms, 0), monitoredMs: hours * 3_600_000 };
}

/** A case of two hours with a finger sensor that lost those times (s), begun on that day at 08:00 UTC. */
export function qualityCase(caseKey: string, date: string | null, lossesS: readonly number[] = [], changes: Partial<QualityCase> = {}): QualityCase {
  const any = qualityLosses(lossesS, 2);
  return {
    caseKey,
    caseId: `case ${caseKey}`,
    patientKey: null,
    attributes: {},
    startedAtMs: date === null ? null : Date.parse(`${date}T08:00:00Z`),
    date,
    notUsable: null,
    sites: [{ site: 'finger', any, doubtfulLost: any }],
    blind: any,
    blindDoubtfulLost: any,
    confirmed: null,
    hasVasopressor: false,
    ...changes,
  };
}

/** A chart of the share of cases with a dropout longer than a minute, by month. */
export function qualityDefinition(changes: Partial<QualityDefinition> = {}): QualityDefinition {
  return { measure: 'cases with a long loss', lossOf: 'dropouts', longerThanS: 60, doubtfulLost: false, sites: null, choice: [], grouping: { by: 'month' }, parameters: DEFAULT_PARAMETERS, ...changes };
}

/** The same as a case of a cohort, blind for so many seconds. */
export function cohortCase(caseKey: string, date: string | null, lossesS: readonly number[], blindS: number): CohortCase {
  const range = (ms: number) => ({ low: ms, mid: ms, high: ms });
  const hours = 2 * 3_600_000;
  const total = lossesS.reduce((sum, s) => sum + s * 1000, 0);
  const dropouts = lossesS.map((s, i) => ({
    dropoutId: `finger@${i}`, number: i + 1, lastGoodMs: i * 1000, firstLostMs: i * 1000, lastLostMs: i * 1000 + s * 1000, firstGoodMs: i * 1000 + s * 1000, censoredAtMs: null, lostMs: range(s * 1000),
    restoredBy: 'same site' as const, restoredSiteKey: null, restoredAfterMs: null, patterns: [], links: [], responses: [], isMarked: false, spo2Before: 97, spo2After: 97, pressureBefore: null,
  }));
  const losses = { dropouts, lostMs: range(total), longestMidMs: Math.max(0, ...lossesS) * 1000, monitoredMs: hours, monitoredSpans: [0, hours], openTail: [] };
  const blind = { count: blindS > 0 ? 1 : 0, lostMs: range(blindS * 1000), longestMidMs: blindS * 1000, lengthsMs: blindS > 0 ? [range(blindS * 1000)] : [], monitoredMs: hours };
  return {
    caseKey, caseId: `case ${caseKey}`, patientKey: null, attributes: {}, startedAtMs: date === null ? null : Date.parse(`${date}T08:00:00Z`), date, bounds: { startMs: 0, endMs: hours }, surgery: { startMs: null, endMs: null },
    notUsable: null, recordGapsCanBeTold: true, blind, blindDoubtfulLost: blind, exposures: [], pairs: [], aligned: { exposureIds: [], series: [], values: new Uint16Array() }, review: null,
    sites: [{ siteKey: 'finger', site: 'finger', sensor: '', intervalMs: 1000, firstInformationMs: 0, lastInformationMs: hours, any: losses, doubtfulLost: losses, candidates: [] }],
  };
}
