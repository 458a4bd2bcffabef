import type { Interval } from '../base/interval.ts';
import { coveredMs, intersection, totalMs } from '../base/interval.ts';
import type { SiteLosses } from '../episodes/dropouts.ts';
import { STATUS } from '../model/analysis.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { PairCaution, PairFigures, SitePair } from '../model/site-comparison.ts';
import { SITES } from '../model/site.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { commonGrid } from './common-grid.ts';
import { coveredLoss } from './covered-loss.ts';
import { allDifferences, stableDifferences, stablePairs } from './pair-differences.ts';
import type { PairLag } from './pair-lag.ts';
import { pairLag } from './pair-lag.ts';
import type { ComparedSite, PairContext } from './pair-spans.ts';
import { doubtfulLostRuns, informationIn, pairSpans } from './pair-spans.ts';
import { perfusionRatio } from './perfusion-level.ts';

/** A sensor with its losses under either rule. */
export interface JudgedSite extends ComparedSite {
  /** The losses with doubtful samples counted as lost. */
  readonly doubtfulLost: SiteLosses;
}

/** Returns the monitored sensors of a case in the order of sites and sensors: the order in which they are paired. */
export function inPairOrder<T extends ComparedSite>(sites: readonly T[]): T[] {
  return sites
    .filter(({ losses }) => losses.monitored !== null)
    .sort((a, b) => SITES.indexOf(a.site.site) - SITES.indexOf(b.site.site) || (a.site.sensor < b.site.sensor ? -1 : 1));
}

/**
 * Returns every pair of monitored sensors of a case against each other.
 * Shape   in the order of sites and sensors; a pair once. Over the time in which both were meant to give information: from
 *         the later first value to the earlier end. `bothMs + onlyFirstMs + onlySecondMs + neitherMs = sharedMs`.
 *         Everything twice: with doubtful samples as information, and as lost over the same shared time.
 * Units   ms; points of SpO2; shares from 0 to 1. Each loss counts from the middle of its onset to the middle of its end.
 * Missing sensors worn one after the other share no time: nothing is compared, and a caution says so.
 * Source  analysis-spec 9; statistics e; docs/metrics/site-pairs.md.
 */
export function sitePairs(sites: readonly JudgedSite[], context: PairContext): SitePair[] {
  const ordered = inPairOrder(sites);
  return ordered.flatMap((first, i) => ordered.slice(i + 1).map((second) => comparePair(first, second, context)));
}

function comparePair(first: JudgedSite, second: JudgedSite, context: PairContext): SitePair {
  const { parameters } = context;
  const { worn, shared, bypassMs } = pairSpans(first, second, context);
  const { ratio, minutes } = perfusionRatio(first.site, second.site, shared, parameters);
  const figures = figuresOf({ site: first.site, runs: first.losses.runs }, { site: second.site, runs: second.losses.runs }, shared, 'any', parameters);
  const asLost = ({ site, losses, doubtfulLost }: JudgedSite) => ({ site, runs: doubtfulLostRuns(losses, doubtfulLost) });
  return {
    firstKey: first.site.siteKey,
    secondKey: second.site.siteKey,
    sharedMs: totalMs(shared),
    bypassMs,
    ...figures,
    perfusionRatio: ratio,
    perfusionMinutes: minutes,
    cautions: cautionsOf(first.site, second.site, worn, context),
    // Where nothing is doubtful the second result is the first.
    doubtfulLost: hasDoubtful(first.site) || hasDoubtful(second.site) ? figuresOf(asLost(first), asLost(second), shared, 'good', parameters) : figures,
  };
}

interface LostSite {
  readonly site: SiteTrack;
  readonly runs: readonly LossRun[];
}

function figuresOf(first: LostSite, second: LostSite, shared: readonly Interval[], rule: InformationRule, parameters: AnalysisParameters): PairFigures {
  const [infoFirst, infoSecond] = [informationIn(shared, first.runs), informationIn(shared, second.runs)];
  const bothMs = totalMs(intersection(infoFirst, infoSecond));
  const onlyFirstMs = totalMs(infoFirst) - bothMs;
  const onlySecondMs = totalMs(infoSecond) - bothMs;
  const neitherMs = Math.max(0, totalMs(shared) - bothMs - onlyFirstMs - onlySecondMs);
  const grid = commonGrid(first.site, second.site, shared, rule);
  const lag: PairLag = grid === null ? { lag: null, atFalls: null, atRises: null, noLagReason: 'The two share no time at a regular interval.' } : pairLag(grid, parameters);
  return {
    bothMs,
    onlyFirstMs,
    onlySecondMs,
    neitherMs,
    firstCoveredShare: share(onlySecondMs, neitherMs),
    secondCoveredShare: share(onlyFirstMs, neitherMs),
    firstCovered: coveredLoss(first.runs, second.runs, shared),
    secondCovered: coveredLoss(second.runs, first.runs, shared),
    allPairs: grid === null ? null : allDifferences(grid),
    stablePairs: grid === null ? null : stableDifferences(stablePairs(grid, lag.lag?.lagMs ?? 0, parameters)),
    lag: lag.lag,
    lagAtFalls: lag.atFalls,
    lagAtRises: lag.atRises,
    noLagReason: lag.noLagReason,
  };
}

function hasDoubtful({ track: { status } }: SiteTrack): boolean {
  return status.some((code) => code === STATUS.weak || code === STATUS.disputed);
}

function share(coveredMsOfLoss: number, uncoveredMs: number): number | null {
  const lost = coveredMsOfLoss + uncoveredMs;
  return lost > 0 ? coveredMsOfLoss / lost : null;
}

function cautionsOf(first: SiteTrack, second: SiteTrack, worn: readonly Interval[], { headDown }: PairContext): PairCaution[] {
  const cautions: PairCaution[] = [];
  if (worn.length === 0) cautions.push('worn one after the other');
  if (first.mainMs !== second.mainMs) cautions.push('different recording intervals');
  if ((first.site === 'forehead' || second.site === 'forehead') && worn.some((span) => coveredMs(span, headDown) > 0)) cautions.push('forehead while head down');
  return cautions;
}
