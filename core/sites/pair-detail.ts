import type { Interval } from '../base/interval.ts';
import { difference, intersection } from '../base/interval.ts';
import type { PairDetail, PairState } from '../model/site-detail.ts';
import { commonGrid } from './common-grid.ts';
import { stableDifferences, stablePairs } from './pair-differences.ts';
import { pairLag, swingLags } from './pair-lag.ts';
import type { ComparedSite, PairContext } from './pair-spans.ts';
import { informationIn, pairSpans } from './pair-spans.ts';
import { layered } from './sensor-coverage.ts';
import { inPairOrder } from './site-pairs.ts';

/** 95 % limits of agreement, as their authors write them. */
const LIMIT_MULTIPLIER = 1.96;

/**
 * Returns, for every pair of `sitePairs` and in its order, what its figures rest on: states over time, falls and rises, stable pairs.
 * Shape   the spans of a state add up to the time of that name in `SitePair`.
 * Source  analysis-spec 9; docs/metrics/site-pairs.md, site-lag.md.
 */
export function pairDetails(sites: readonly ComparedSite[], bounds: Interval, context: PairContext): PairDetail[] {
  const ordered = inPairOrder(sites);
  return ordered.flatMap((first, i) => ordered.slice(i + 1).map((second) => pairDetail(first, second, bounds, context)));
}

function pairDetail(first: ComparedSite, second: ComparedSite, bounds: Interval, context: PairContext): PairDetail {
  const { parameters } = context;
  const { shared } = pairSpans(first, second, context);
  const [infoFirst, infoSecond] = [informationIn(shared, first.losses.runs), informationIn(shared, second.losses.runs)];
  const grid = commonGrid(first.site, second.site, shared, 'any');
  const stable = grid === null ? [] : stablePairs(grid, pairLag(grid, parameters).lag?.lagMs ?? 0, parameters);
  const summary = stableDifferences(stable);
  return {
    firstKey: first.site.siteKey,
    secondKey: second.site.siteKey,
    spans: layered<PairState>(bounds, 'not compared', [
      ['both', intersection(infoFirst, infoSecond)],
      ['only first', difference(infoFirst, infoSecond)],
      ['only second', difference(infoSecond, infoFirst)],
      ['neither', shared],
    ]),
    swings: grid === null ? [] : swingLags(grid, parameters),
    differences: stable.map((pair) => ({ atMs: pair.atMs, mean: (pair.first + pair.second) / 2, difference: pair.first - pair.second })),
    limits: summary === null || summary.sd === null ? null : { lower: summary.bias - LIMIT_MULTIPLIER * summary.sd, upper: summary.bias + LIMIT_MULTIPLIER * summary.sd },
  };
}
