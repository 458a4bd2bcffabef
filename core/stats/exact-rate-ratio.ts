import { logGamma } from './distributions.ts';
import { countStrata, strataWithBothTimes } from './rate-ratio.ts';
import type { RateStratum } from './rate-ratio.ts';

/** Why there is no exact interval: nothing to go on, or so many events that another interval serves as well. */
export type ExactRatioReason = 'no event' | 'too many events';

/** Exact limits of a ratio of rates and the central p for a ratio of 1. */
export interface ExactRatio {
  readonly lower: number | null;
  readonly upper: number | null;
  /** Twice the smaller tail, at most 1; 1 where there is no event. */
  readonly p: number | null;
  readonly reason: ExactRatioReason | null;
}

/** The ratio of two rates with exact limits and both exact p values. */
export interface ExactRateRatio extends ExactRatio {
  readonly rateRatio: number | null;
  /** Sum of the outcomes that are no likelier than the one seen. */
  readonly pMinLike: number | null;
}

/** Multiplications per evaluation of a tail; a tail that takes more is had from the other, or not at all. */
const MOST_WORK = 2e5;
/** With fewer events on a side its tail is always worked out: no other interval serves. */
const FEW = 5;
/** Outcomes whose probabilities differ by less than this share count as equally likely, as in R. */
const AS_LIKELY = 1 + 1e-7;

/**
 * Returns the exact conditional interval of a ratio of rates over strata.
 * Shape   given each stratum's number of events m, those at risk are binomial with odds ratio·t1/t0; their sum over strata is
 *         the convolution of the binomials. The limits turn either tail into (1 − conf)/2.
 * Missing no event at risk: lower 0. None in control time: upper Infinity. None at all: null, p 1. With too many events on
 *         both sides nothing is worked out: null, `too many events`.
 * Source  Lehmann & Romano, Testing Statistical Hypotheses, 4.5; Clopper & Pearson 1934.
 */
export function exactStratifiedRatio(strata: readonly RateStratum[], conf: number): ExactRatio {
  const { riskEvents: a, controlEvents: b } = countStrata(strata);
  if (a + b === 0) return { lower: null, upper: null, p: 1, reason: 'no event' };
  const isHeavy = (count: number) => count >= FEW && (a + b) * (count + 1) > MOST_WORK;
  if (isHeavy(Math.min(a, b))) return { lower: null, upper: null, p: null, reason: 'too many events' };
  const binomials = strataWithBothTimes(strata).flatMap(binomialOf);
  // P(at most a at risk) and P(at least a at risk): the second is "at most b in control time".
  const atMost = (logRatio: number): number => (isHeavy(a) ? 1 - tail(binomials, logRatio, b - 1, 'control') : tail(binomials, logRatio, a, 'risk'));
  const atLeast = (logRatio: number): number => (isHeavy(b) ? 1 - tail(binomials, logRatio, a - 1, 'risk') : tail(binomials, logRatio, b, 'control'));
  const alpha = (1 - conf) / 2;
  return {
    lower: a === 0 ? 0 : Math.exp(risingRoot((l) => atLeast(l) - alpha)),
    upper: b === 0 ? Infinity : Math.exp(risingRoot((l) => alpha - atMost(l))),
    p: Math.min(1, 2 * Math.min(atMost(0), atLeast(0))),
    reason: null,
  };
}

/**
 * Returns the ratio of two rates with exact limits.
 * Missing no event in control time: Infinity; none at all: null, both p 1.
 * Source  as `exactStratifiedRatio`; `pMinLike` as R's poisson.test.
 */
export function exactRateRatio(stratum: RateStratum, conf: number): ExactRateRatio {
  const { riskEvents: a, riskTime: t1, controlEvents: b, controlTime: t0 } = stratum;
  const exact = exactStratifiedRatio([stratum], conf);
  const rateRatio = a + b === 0 ? null : b === 0 ? Infinity : a / t1 / (b / t0);
  const [binomial] = binomialOf(stratum);
  if (binomial === undefined) return { ...exact, rateRatio, pMinLike: exact.p };
  const chances = probabilities(binomial, 0, a + b, 'risk');
  const seen = (chances[a] ?? NaN) * AS_LIKELY;
  return { ...exact, rateRatio, pMinLike: Math.min(1, chances.reduce((sum, chance) => (chance <= seen ? sum + chance : sum), 0)) };
}

/** Events of one stratum: how many, the log of the odds of lying at risk at a ratio of 1, and ln C(m, k). */
interface Binomial {
  readonly m: number;
  readonly logOdds: number;
  readonly logChoose: Float64Array;
}

function binomialOf({ riskEvents, riskTime, controlEvents, controlTime }: RateStratum): Binomial[] {
  const m = riskEvents + controlEvents;
  if (m === 0) return [];
  const logChoose = Float64Array.from({ length: m + 1 }, (_, k) => logGamma(m + 1) - logGamma(k + 1) - logGamma(m - k + 1));
  return [{ m, logOdds: Math.log(riskTime / controlTime), logChoose }];
}

/** Probabilities of 0, 1, 2 … up to `most` of the events lying on one side. */
function probabilities({ m, logOdds, logChoose }: Binomial, logRatio: number, most: number, side: 'risk' | 'control'): Float64Array {
  const odds = side === 'risk' ? logOdds + logRatio : -(logOdds + logRatio);
  // ln(1 + e^odds), also where e^odds is beyond any number.
  const logSum = odds > 0 ? odds + Math.log1p(Math.exp(-odds)) : Math.log1p(Math.exp(odds));
  return Float64Array.from({ length: Math.min(m, most) + 1 }, (_, k) => Math.exp((logChoose[k] ?? NaN) + k * odds - m * logSum));
}

/** P(at most `most` events of all strata lie on one side). */
function tail(binomials: readonly Binomial[], logRatio: number, most: number, side: 'risk' | 'control'): number {
  if (most < 0) return 0;
  let sums = Float64Array.of(1);
  for (const binomial of binomials) {
    const own = probabilities(binomial, logRatio, most, side);
    const next = new Float64Array(Math.min(most + 1, sums.length + own.length - 1));
    for (let i = 0; i < sums.length; i++) {
      const chance = sums[i] ?? NaN;
      const end = Math.min(own.length, next.length - i);
      for (let k = 0; k < end; k++) next[i + k] = (next[i + k] ?? NaN) + chance * (own[k] ?? NaN);
    }
    sums = next;
  }
  return sums.reduce((sum, chance) => sum + chance, 0);
}

/** The root of a rising function, by bisection between ends found by doubling steps from 0. */
function risingRoot(f: (x: number) => number): number {
  let low = -1;
  let high = 1;
  while (f(low) > 0 && low > -700) low *= 2;
  while (f(high) < 0 && high < 700) high *= 2;
  while (high - low > 1e-13 * Math.max(1, Math.abs(low))) {
    const mid = (low + high) / 2;
    if (mid === low || mid === high) break;
    if (f(mid) < 0) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}
