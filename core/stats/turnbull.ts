import { lowerBound, upperBound } from '../base/search.ts';

/** A time known to lie in (left, right]; exact where both are equal; right is Infinity when the event was not seen. */
export interface TimeBetween {
  readonly left: number;
  readonly right: number;
}

/** Why there is no curve, or why it is not to be trusted to the last digit. */
export type TurnbullReason = 'no times' | 'not converged';

/** The curve of interval-censored times: masses on intervals, ascending. Inside one of them the curve is not defined. */
export interface TurnbullCurve {
  readonly left: readonly number[];
  readonly right: readonly number[];
  readonly mass: readonly number[];
  /** null for no times. */
  readonly logLikelihood: number | null;
  readonly iterations: number;
  readonly reason: TurnbullReason | null;
}

/** Masses change by less: the curve stands. */
const CONVERGED = 1e-12;
/** Masses below are none, unless there are so many times that a single one weighs little more. */
const LEAST_MASS = 1e-6;
const LEAST_SHARE = 1e-3;
/** Steps of work after which the search ends, whatever the number of times. */
const MOST_WORK = 5e7;

/**
 * Returns the self-consistent curve of times that are known only between limits.
 * Shape   intervals (left, right] in any order; equal ones are counted once with their number.
 * Missing no times: empty. Where the search was ended before the masses stood: reason `not converged`, masses as they were.
 * Source  Turnbull, JRSS B 1976;38:290; longer steps along the way: Varadhan & Roland, Scand J Stat 2008;35:335 (squared
 *         extrapolation), taken only where they raise the likelihood.
 */
export function turnbull(times: readonly TimeBetween[]): TurnbullCurve {
  if (times.length === 0) return { left: [], right: [], mass: [], logLikelihood: null, iterations: 0, reason: 'no times' };
  const { distinct, counts } = countedApart(times);
  const inner = innermost(distinct);
  const m = inner.length;
  // The innermost intervals within each interval are neighbours: from, up to and without to.
  const lefts = Float64Array.from(inner, (one) => one.left);
  const rights = Float64Array.from(inner, (one) => one.right);
  const from = Uint32Array.from(distinct, ({ left, right }) => {
    const first = lowerBound(lefts, left);
    // An exact time at the open end does not belong to the interval.
    return left < right && lefts[first] === left && rights[first] === left ? first + 1 : first;
  });
  const to = Uint32Array.from(distinct, ({ right }) => upperBound(rights, right));

  const sums = new Float64Array(m + 1);
  const rises = new Float64Array(m + 1);
  const addUp = (mass: Float64Array): void => {
    for (let j = 0; j < m; j++) sums[j + 1] = (sums[j] ?? NaN) + (mass[j] ?? NaN);
  };
  const within = (i: number): number => (sums[to[i] ?? 0] ?? NaN) - (sums[from[i] ?? 0] ?? NaN);
  const likelihood = (mass: Float64Array): number => {
    addUp(mass);
    let sum = 0;
    counts.forEach((count, i) => (sum += count * Math.log(within(i))));
    return sum;
  };
  /** One step of self-consistency: each interval hands its weight to the masses within it, in their proportion. */
  const consistent = (mass: Float64Array): Float64Array<ArrayBuffer> => {
    addUp(mass);
    rises.fill(0);
    for (let i = 0; i < distinct.length; i++) {
      const weight = (counts[i] ?? NaN) / within(i);
      rises[from[i] ?? 0] = (rises[from[i] ?? 0] ?? NaN) + weight;
      rises[to[i] ?? 0] = (rises[to[i] ?? 0] ?? NaN) - weight;
    }
    let level = 0;
    return mass.map((own, j) => {
      level += rises[j] ?? NaN;
      return (own * level) / times.length;
    }) as Float64Array<ArrayBuffer>; // map of a Float64Array makes a new one
  };

  const most = Math.max(1000, Math.floor(MOST_WORK / (distinct.length + m)));
  let mass = new Float64Array(m).fill(1 / m);
  let iterations = 0;
  let change = Infinity;
  while (change >= CONVERGED && iterations < most) {
    const first = consistent(mass);
    const second = consistent(first);
    iterations += 2;
    change = greatestDifference(first, second);
    mass = change < CONVERGED ? second : furtherOn(mass, first, second, likelihood);
  }
  const logLikelihood = likelihood(mass);
  const least = Math.min(LEAST_MASS, LEAST_SHARE / times.length);
  const kept = inner.flatMap((one, j) => ((mass[j] ?? NaN) >= least ? [{ ...one, mass: mass[j] ?? NaN }] : []));
  return {
    left: kept.map((one) => one.left),
    right: kept.map((one) => one.right),
    mass: kept.map((one) => one.mass),
    logLikelihood,
    iterations,
    reason: change < CONVERGED ? null : 'not converged',
  };
}

/** Two steps of self-consistency, extrapolated: further along the same way, unless that leaves the masses or lowers the likelihood. */
function furtherOn(start: Float64Array, first: Float64Array, second: Float64Array<ArrayBuffer>, likelihood: (mass: Float64Array) => number): Float64Array<ArrayBuffer> {
  let rr = 0;
  let vv = 0;
  for (let j = 0; j < start.length; j++) {
    const r = (first[j] ?? NaN) - (start[j] ?? NaN);
    const v = (second[j] ?? NaN) - (first[j] ?? NaN) - r;
    rr += r * r;
    vv += v * v;
  }
  const length = Math.sqrt(rr / vv);
  if (!(length > 1) || !Number.isFinite(length)) return second;
  const further = second.map((_, j) => {
    const r = (first[j] ?? NaN) - (start[j] ?? NaN);
    const v = (second[j] ?? NaN) - (first[j] ?? NaN) - r;
    // A mass that would fall below nothing stays where the plain steps took it.
    const to = (start[j] ?? NaN) + 2 * length * r + length * length * v;
    return to > 0 ? to : (second[j] ?? NaN);
  });
  const total = further.reduce((sum, own) => sum + own, 0);
  const scaled = further.map((own) => own / total);
  return likelihood(scaled) >= likelihood(second) ? scaled : second;
}

function greatestDifference(a: Float64Array, b: Float64Array): number {
  return a.reduce((most, own, j) => Math.max(most, Math.abs(own - (b[j] ?? NaN))), 0);
}

/**
 * Returns between which times the share `p` has had the event: the interval whose mass takes the curve down to 1 − p.
 * Missing not reached, or reached only beyond the last time known: null.
 */
export function turnbullQuantile(curve: TurnbullCurve, p: number): TimeBetween | null {
  let sum = 0;
  for (let j = 0; j < curve.mass.length; j++) {
    sum += curve.mass[j] ?? NaN;
    if (sum < p - 1e-9) continue;
    const left = curve.left[j] ?? NaN;
    const right = curve.right[j] ?? NaN;
    return right === Infinity ? null : { left, right };
  }
  return null;
}

function countedApart(times: readonly TimeBetween[]): { distinct: TimeBetween[]; counts: number[] } {
  const sorted = [...times].sort((a, b) => a.left - b.left || (a.right === b.right ? 0 : a.right - b.right));
  const distinct: TimeBetween[] = [];
  const counts: number[] = [];
  for (const { left, right } of sorted) {
    const last = distinct[distinct.length - 1];
    if (last?.left === left && last.right === right) counts[counts.length - 1] = (counts[counts.length - 1] ?? 0) + 1;
    else {
      distinct.push({ left, right });
      counts.push(1);
    }
  }
  return { distinct, counts };
}

/** The innermost intervals: a left end directly followed by a right end. An exact time begins before all that end there, an open one after. */
function innermost(distinct: readonly TimeBetween[]): TimeBetween[] {
  const ends = distinct
    .flatMap(({ left, right }) => [
      { at: left, rank: left === right ? 0 : 2, isLeft: true },
      { at: right, rank: 1, isLeft: false },
    ])
    .sort((a, b) => (a.at === b.at ? a.rank - b.rank : a.at - b.at));
  return ends.flatMap((end, i) => {
    const next = ends[i + 1];
    return end.isLeft && next !== undefined && !next.isLeft ? [{ left: end.at, right: next.at }] : [];
  });
}
