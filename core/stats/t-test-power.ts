import { logGamma, studentQuantile } from './distributions.ts';
import { normalCdf } from './normal.ts';

/** Points of the sum over the law of the standard deviation: an even number of steps, enough for ten decimals from df 1 on. */
const STEPS = 2000;
/** So many of its standard errors around 1 hold all of that law that a double can show. */
const REACH = 10;

/**
 * Returns the power of the two-sided t test: P(|T| > t) where T has `df` degrees of freedom and is shifted by `shift`, the expected
 * difference divided by its standard error.
 * Shape   both tails count: with no shift the power is 1 − conf.
 * Source  noncentral t, by its mixture over the chi law; Johnson, Kotz & Balakrishnan 1995, ch. 31 (from memory). Checked against
 *         Dalgaard 2002, p. 145, and scipy (tests/reference/stats).
 */
export function tTestPower(shift: number, df: number, conf: number): number {
  const limit = studentQuantile(0.5 + conf / 2, df);
  // T = (Z + shift)/S with S² = χ²/df: sum P(|Z + shift| > limit·s) over the density of s (Simpson).
  const spread = REACH / Math.sqrt(2 * df);
  const from = Math.max(0, 1 - spread);
  const step = (1 + spread - from) / STEPS;
  const front = Math.LN2 + (df / 2) * Math.log(df / 2) - logGamma(df / 2);
  let sum = 0;
  for (let i = 0; i <= STEPS; i++) {
    const s = from + i * step;
    const density = s === 0 ? (df === 1 ? Math.exp(front) : 0) : Math.exp(front + (df - 1) * Math.log(s) - (df * s * s) / 2);
    const beyond = normalCdf(shift - limit * s) + normalCdf(-shift - limit * s);
    sum += density * beyond * (i === 0 || i === STEPS ? 1 : i % 2 === 0 ? 2 : 4);
  }
  return (sum * step) / 3;
}

/** Subjects beyond this are no study of one department. */
const MOST = 10_000_000;

/**
 * Returns the least number of subjects (pairs, or subjects per group) at which `powerAt` reaches `power`; it rises with the number.
 * Missing null where it does not below ten million.
 */
export function leastSize(powerAt: (n: number) => number, power: number, from: number): number | null {
  let high = from;
  while (powerAt(high) < power) {
    if (high > MOST) return null;
    high *= 2;
  }
  let low = high === from ? from : high / 2;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (powerAt(middle) < power) low = middle;
    else high = middle;
  }
  return powerAt(low) >= power ? low : high;
}
