import { chiSquareUpper } from './distributions.ts';
import { normalHalfWidth } from './normal.ts';

/** Events and time of one stratum, at risk of exposure's effect and outside it. Both times in one unit. */
export interface RateStratum {
  readonly riskEvents: number;
  readonly riskTime: number;
  readonly controlEvents: number;
  readonly controlTime: number;
}

/** Why an estimate or its interval is not given. */
export type RateRatioReason = 'no stratum with both times' | 'no event' | 'no event at risk' | 'no event in control time' | 'no finite estimate';

/** A ratio of rates. With no event on one side the ratio is 0 or Infinity and has no standard error: only the exact interval serves. */
export interface RateRatio {
  readonly rateRatio: number | null;
  readonly seLog: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: RateRatioReason | null;
}

/** How much there is in the strata that are used. */
export interface StrataCounts {
  /** Strata with time at risk and control time. */
  readonly strataUsed: number;
  /** Of these, strata with an event: only they say anything. */
  readonly strataInformative: number;
  readonly riskEvents: number;
  readonly controlEvents: number;
  readonly riskTime: number;
  readonly controlTime: number;
}

/** The Mantel–Haenszel ratio with its test. */
export interface MantelHaenszelRate extends RateRatio, StrataCounts {
  readonly chiSquare: number | null;
  readonly p: number | null;
}

/** Returns the strata that have both times; the others can say nothing of a ratio within a stratum. */
export function strataWithBothTimes<Stratum extends RateStratum>(strata: readonly Stratum[]): Stratum[] {
  return strata.filter(({ riskTime, controlTime }) => riskTime > 0 && controlTime > 0);
}

/** Returns the counts over the strata that have both times. */
export function countStrata(strata: readonly RateStratum[]): StrataCounts {
  const used = strataWithBothTimes(strata);
  const total = (pick: (one: RateStratum) => number) => used.reduce((sum, one) => sum + pick(one), 0);
  return {
    strataUsed: used.length,
    strataInformative: used.filter(({ riskEvents, controlEvents }) => riskEvents + controlEvents > 0).length,
    riskEvents: total((one) => one.riskEvents),
    controlEvents: total((one) => one.controlEvents),
    riskTime: total((one) => one.riskTime),
    controlTime: total((one) => one.controlTime),
  };
}

/** Returns the ratio where one side has no event, null where both have: then it can be estimated. */
export function ratioWithoutEvents({ strataUsed, riskEvents, controlEvents }: StrataCounts): RateRatio | null {
  const none = (rateRatio: number | null, reason: RateRatioReason): RateRatio => ({ rateRatio, seLog: null, lower: null, upper: null, reason });
  if (strataUsed === 0) return none(null, 'no stratum with both times');
  if (riskEvents + controlEvents === 0) return none(null, 'no event');
  if (riskEvents === 0) return none(0, 'no event at risk');
  return controlEvents === 0 ? none(Infinity, 'no event in control time') : null;
}

/**
 * Returns the Mantel–Haenszel ratio of the rate at risk to the rate in control time, over strata.
 * Shape   strata without time on one side are left out; nothing is ever added to an empty cell.
 * Missing no event on one side: the ratio is 0 or Infinity, with no standard error, interval or test; reason says which.
 * Source  Rothman, Greenland & Lash, Modern Epidemiology (from memory); variance: Greenland & Robins, Biometrics 1985;41:55.
 */
export function mantelHaenszelRate(strata: readonly RateStratum[], conf: number): MantelHaenszelRate {
  const counts = countStrata(strata);
  const without = ratioWithoutEvents(counts);
  if (without !== null) return { ...counts, ...without, chiSquare: null, p: null };
  let above = 0;
  let below = 0;
  let variance = 0;
  let excess = 0;
  for (const { riskEvents: a, riskTime: t1, controlEvents: b, controlTime: t0 } of strataWithBothTimes(strata)) {
    const time = t1 + t0;
    above += (a * t0) / time;
    below += (b * t1) / time;
    // Shares first: times in ms, squared, would leave the exact range.
    variance += (a + b) * (t1 / time) * (t0 / time);
    excess += a - (a + b) * (t1 / time);
  }
  const rateRatio = above / below;
  const seLog = Math.sqrt(variance / (above * below));
  const spread = Math.exp(normalHalfWidth(conf) * seLog);
  const chiSquare = excess ** 2 / variance;
  return { ...counts, rateRatio, seLog, lower: rateRatio / spread, upper: rateRatio * spread, chiSquare, p: chiSquareUpper(chiSquare, 1), reason: null };
}
