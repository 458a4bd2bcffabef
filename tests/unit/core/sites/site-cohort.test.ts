import { describe, expect, it } from 'vitest';
import type { CaseSiteFigures } from '../../../../core/model/site-cohort.ts';
import { siteCohortSchema } from '../../../../core/model/site-cohort-schema.ts';
import type { SitePair } from '../../../../core/model/site-comparison.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { ratioOf } from '../../../../core/stats/case-draws.ts';
import { clusterBootstrap } from '../../../../core/stats/cluster-bootstrap.ts';
import { clusterRobustShare } from '../../../../core/stats/cluster-share.ts';
import { siteCohort } from '../../../../core/sites/site-cohort.ts';
import { buildSitePair } from '../../../builders/site-comparison.ts';

const perfusion = (median: number) => ({ median, belowWeakShare: 0.1, belowDesirableShare: 0.4 });
const figures = (caseId: string, pair: Partial<SitePair>, index: number | null = 2): CaseSiteFigures => ({
  caseKey: `key-${caseId}`, caseId, pairs: [buildSitePair(pair)],
  sensors: [{ siteKey: 'finger', monitoredMs: 7_200_000, shortLosses: 4, doubtfulRuns: 1, perfusion: index === null ? null : perfusion(index) }],
});
const lag = (lagMs: number) => ({ lagMs, lowMs: lagMs - 500, highMs: lagMs + 500, peak: 0.9, swings: 2 });

describe('sites over cases', () => {
  const cases = [
    figures('b', { onlySecondMs: 50, neitherMs: 150, firstCoveredShare: 0.25, lag: lag(9000), perfusionRatio: 2 }, 1),
    figures('a', { lag: lag(5000), perfusionRatio: 4, cautions: ['different recording intervals'] }, 3),
    figures('c', { sharedMs: 0, bothMs: 0, onlyFirstMs: 0, onlySecondMs: 0, neitherMs: 0, firstCoveredShare: null, secondCoveredShare: null, cautions: ['worn one after the other'] }, null),
  ];
  const cohort = siteCohort(cases);
  const [pair] = cohort.pairs;

  it('have every case behind a figure in its rows, by name', () => {
    expect(pair!.rows.map((row) => row.caseKey)).toEqual(['key-a', 'key-b', 'key-c']);
    expect(pair).toMatchObject({ cases: 2, casesOneAfterTheOther: 1, sharedMs: 2000, bothMs: 1400, onlySecondMs: 200, neitherMs: 200 });
    expect(pair!.rows.reduce((sum, row) => sum + row.bothMs, 0)).toBe(pair!.bothMs);
    expect(pair!.cautions).toEqual([{ caution: 'worn one after the other', cases: 1 }, { caution: 'different recording intervals', cases: 1 }]);
  });

  it('give coverage with the bounds of the sampling, intervals over cases, and the spread of the cases', () => {
    const [drawn] = clusterBootstrap([[150, 50], [200, 200]], [ratioOf(0, 1)], { replicates: 2000, seed: 1, conf: 0.95 });
    const robust = clusterRobustShare([150, 50], [200, 200], 0.95);
    // 200 of 400 ms covered; bounds 280/420 and 320/380; cases 0.75 and 0.25.
    expect(pair!.firstCovered).toEqual({
      share: { low: 280 / 420, mid: 0.5, high: 320 / 380 },
      overCases: { lower: robust.lower, upper: robust.upper },
      drawn: { lower: drawn!.percentile![0], upper: drawn!.percentile![1] },
      spread: { cases: 2, least: 0.25, median: 0.5, most: 0.75 },
    });
  });

  it('give lag and ratio of perfusion indices as medians with their spread', () => {
    expect(pair!.lagMs).toEqual({ cases: 2, least: 5000, median: 7000, most: 9000 });
    expect(pair!.perfusionRatio).toEqual({ cases: 2, least: 2, median: 3, most: 4 });
  });

  it('give strength of signal per site, without summing indices', () => {
    expect(cohort.sensors).toMatchObject([{ siteKey: 'finger', cases: 3, monitoredMs: 21_600_000, perfusion: { cases: 2, least: 1, median: 2, most: 3 }, shortLossesPerH: { median: 2 }, doubtfulRunsPerH: { median: 0.5 } }]);
  });

  it('do not depend on the order of the cases, and are plain data', () => {
    expect(siteCohort([...cases].reverse())).toEqual(cohort);
    const reply = { parameters: DEFAULT_PARAMETERS, cases: 3, leftOut: [], ...cohort };
    expect(siteCohortSchema.parse(JSON.parse(JSON.stringify(reply)))).toEqual(reply);
    expect(siteCohort([])).toMatchObject({ pairs: [], sensors: [] });
  });
});
