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
    blind: { ...any, midsMs: null },
    blindDoubtfulLost: { ...any, midsMs: null },
    hasVasopressor: false,
    ...changes,
  };
}

/** A chart of the share of cases with a dropout longer than a minute, by month. */
export function qualityDefinition(changes: Partial<QualityDefinition> = {}): QualityDefinition {
  return { measure: 'cases with a long loss', lossOf: 'dropouts', longerThanS: 60, doubtfulLost: false, sites: null, choice: [], grouping: { by: 'month' }, parameters: DEFAULT_PARAMETERS, ...changes };
}
