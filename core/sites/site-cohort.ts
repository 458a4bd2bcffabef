import type { CaseSiteFigures, CohortSensor, CohortSensorCase, SiteCohort } from '../model/site-cohort.ts';
import { CASE_BOOTSTRAP, cohortPairs } from './cohort-pairs.ts';
import { spreadOf } from './spread.ts';

const HOUR_MS = 3_600_000;

/**
 * Returns every two sites, and every site, over cases, each figure with the cases behind it.
 * Shape   the figures of a pair are those of site-comparison.csv; rows by case id.
 * Missing perfusion indices are not summed over cases: makes of oximeter differ. Only medians and their spread are given.
 * Source  analysis-spec 9; statistics e; docs/metrics/site-pairs.md, signal-strength.md.
 */
export function siteCohort(cases: readonly CaseSiteFigures[]): Pick<SiteCohort, 'pairs' | 'sensors' | 'draws'> {
  const ordered = [...cases].sort((a, b) => (a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0));
  return {
    draws: CASE_BOOTSTRAP,
    pairs: cohortPairs(ordered),
    sensors: cohortSensors(ordered),
  };
}

function cohortSensors(cases: readonly CaseSiteFigures[]): CohortSensor[] {
  const bySite = new Map<string, CohortSensorCase[]>();
  for (const { caseKey, caseId, sensors } of cases) {
    for (const sensor of sensors) {
      const rows = bySite.get(sensor.siteKey) ?? [];
      rows.push({ caseKey, caseId, ...sensor });
      bySite.set(sensor.siteKey, rows);
    }
  }
  return [...bySite.keys()].sort().map((siteKey) => {
    const rows = bySite.get(siteKey) ?? [];
    const monitored = rows.filter((row) => row.monitoredMs > 0);
    const perHour = (pick: (row: CohortSensorCase) => number) => spreadOf(monitored.map((row) => (pick(row) * HOUR_MS) / row.monitoredMs));
    const ofIndex = (pick: (perfusion: NonNullable<CohortSensorCase['perfusion']>) => number) => spreadOf(rows.flatMap(({ perfusion }) => (perfusion === null ? [] : [pick(perfusion)])));
    return {
      siteKey,
      cases: monitored.length,
      monitoredMs: monitored.reduce((sum, row) => sum + row.monitoredMs, 0),
      perfusion: ofIndex((p) => p.median),
      belowWeakShare: ofIndex((p) => p.belowWeakShare),
      belowDesirableShare: ofIndex((p) => p.belowDesirableShare),
      shortLossesPerH: perHour((row) => row.shortLosses),
      doubtfulRunsPerH: perHour((row) => row.doubtfulRuns),
      rows,
    };
  });
}
