import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { SiteCohort } from '../../core/model/site-cohort.ts';
import type { CoveredLoss, PairFigures, SitePair } from '../../core/model/site-comparison.ts';
import type { SiteDetail } from '../../core/model/site-detail.ts';

/** Two sensors over 1000 ms of shared time: both 700, only the first 100, only the second 150, neither 50; the second result is the first unless it is given. */
export function buildSitePair(over: Partial<SitePair> = {}): SitePair {
  const pair: SitePair = {
    firstKey: 'finger', secondKey: 'ear lobe', sharedMs: 1000, bypassMs: 0, bothMs: 700, onlyFirstMs: 100, onlySecondMs: 150, neitherMs: 50, firstCoveredShare: 0.75, secondCoveredShare: 2 / 3,
    firstCovered: { leastCoveredMs: 140, leastLostMs: 210, mostCoveredMs: 160, mostLostMs: 190 }, secondCovered: { leastCoveredMs: 90, leastLostMs: 160, mostCoveredMs: 110, mostLostMs: 140 },
    allPairs: null, stablePairs: null, perfusionRatio: null, perfusionMinutes: 0, lag: null, lagAtFalls: null, lagAtRises: null, noLagReason: null, cautions: [], doubtfulLost: NO_FIGURES, ...over,
  };
  return over.doubtfulLost === undefined ? { ...pair, doubtfulLost: figuresOf(pair) } : pair;
}

function figuresOf(pair: SitePair): PairFigures {
  const { bothMs, onlyFirstMs, onlySecondMs, neitherMs, firstCoveredShare, secondCoveredShare, firstCovered, secondCovered, allPairs, stablePairs, lag, lagAtFalls, lagAtRises, noLagReason } = pair;
  return { bothMs, onlyFirstMs, onlySecondMs, neitherMs, firstCoveredShare, secondCoveredShare, firstCovered, secondCovered, allPairs, stablePairs, lag, lagAtFalls, lagAtRises, noLagReason };
}

const NOTHING: CoveredLoss = { leastCoveredMs: 0, leastLostMs: 0, mostCoveredMs: 0, mostLostMs: 0 };
const NO_FIGURES: PairFigures = {
  bothMs: 0, onlyFirstMs: 0, onlySecondMs: 0, neitherMs: 0, firstCoveredShare: null, secondCoveredShare: null, firstCovered: NOTHING, secondCovered: NOTHING,
  allPairs: null, stablePairs: null, lag: null, lagAtFalls: null, lagAtRises: null, noLagReason: null,
};

export const EMPTY_SITE_DETAIL: SiteDetail = { bounds: { startMs: 0, endMs: 1000 }, sensors: [], pairs: [], bypass: [], headDown: [] };

export const EMPTY_COHORT: SiteCohort = { parameters: DEFAULT_PARAMETERS, cases: 0, leftOut: [], draws: { replicates: 2000, seed: 1, conf: 0.95 }, pairs: [], sensors: [] };
