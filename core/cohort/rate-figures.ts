import type { RateCounts, RatioFigure } from '../model/cohort-before-loss.ts';
import { conditionalRatio } from '../stats/conditional-poisson.ts';
import { exactStratifiedRatio } from '../stats/exact-rate-ratio.ts';
import { normalTwoSided } from '../stats/normal.ts';
import { mantelHaenszelRate } from '../stats/rate-ratio.ts';
import type { RateRatio, RateStratum } from '../stats/rate-ratio.ts';

/** A ratio of rates within cases, by each method, with what it rests on. */
export interface RateFigures {
  readonly counts: RateCounts;
  /** What is shown. */
  readonly figure: RatioFigure;
  readonly isSparse: boolean;
  readonly mantelHaenszel: RatioFigure;
  readonly conditional: RatioFigure;
  readonly exact: RatioFigure;
}

/** With fewer onsets on either side, only the exact limits hold. Source: statistics d. */
const SPARSE_BELOW = 5;

/**
 * Returns the ratio of the rate at risk to that in control time, within cases.
 * Shape   one stratum per case (or per case and phase), times in ms. Shown is Mantel–Haenszel; where either side has fewer than
 *         5 onsets, the conditional estimate with exact limits.
 * Missing an infinite ratio or limit is null with `isUnbounded`: results travel as JSON.
 * Source  statistics d; docs/methods/rates-after-exposures.md.
 */
export function rateFigures(strata: readonly RateStratum[], conf: number): RateFigures {
  const mh = mantelHaenszelRate(strata, conf);
  const conditional = conditionalRatio(strata, conf);
  const exact = exactStratifiedRatio(strata, conf);
  const isSparse = Math.min(mh.riskEvents, mh.controlEvents) < SPARSE_BELOW;
  const wald = conditional.rateRatio === null || conditional.seLog === null ? null : normalTwoSided(Math.log(conditional.rateRatio) / conditional.seLog);
  const isNothing = mh.riskEvents + mh.controlEvents === 0;
  const reason = exact.reason === 'too many events' ? exact.reason : conditional.reason;
  const exactFigure = ratioFigure('exact conditional', { rateRatio: conditional.rateRatio, lower: exact.lower, upper: exact.upper, reason }, isNothing ? null : exact.p);
  const main = ratioFigure('Mantel-Haenszel', mh, mh.p);
  return {
    counts: {
      casesUsed: mh.strataUsed,
      casesInformative: mh.strataInformative,
      riskMs: mh.riskTime,
      controlMs: mh.controlTime,
      riskOnsets: mh.riskEvents,
      controlOnsets: mh.controlEvents,
    },
    figure: isSparse ? exactFigure : main,
    isSparse,
    mantelHaenszel: main,
    conditional: ratioFigure('conditional', conditional, wald),
    exact: exactFigure,
  };
}

/** An estimate as the statistics give it. */
type Estimate = Pick<RateRatio, 'rateRatio' | 'lower' | 'upper'> & Pick<RatioFigure, 'reason'>;

/** Returns a ratio as plain data: what is infinite becomes null and is said. */
export function ratioFigure(method: RatioFigure['method'], { rateRatio, lower, upper, reason }: Estimate, p: number | null): RatioFigure {
  const finite = (value: number | null) => (value !== null && Number.isFinite(value) ? value : null);
  return { method, ratio: finite(rateRatio), lower: finite(lower), upper: finite(upper), p, isUnbounded: rateRatio === Infinity, reason };
}
