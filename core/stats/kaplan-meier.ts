import { lowerBound, upperBound } from '../base/search.ts';
import { normalHalfWidth } from './normal.ts';
import { clusterNumbers, exitOrder, influencesAfterExit, survivalSteps } from './survival-steps.ts';
import type { CensoredTime, SurvivalSteps } from './survival-steps.ts';

/** How limits are made from a standard error: on the log(−log), the log or the plain scale. */
export type SurvivalScale = 'log-log' | 'log' | 'plain';

/** Where the standard error behind the limits comes from. */
export type SurvivalErrorSource = 'greenwood' | 'within clusters';

/** The step curve of Kaplan and Meier; the arrays have one entry per time with an event. */
export interface SurvivalCurve {
  readonly n: number;
  readonly events: number;
  readonly clusters: number;
  readonly errorSource: SurvivalErrorSource;
  readonly times: readonly number[];
  readonly atRisk: readonly number[];
  readonly nEvent: readonly number[];
  /** Value from this time on (right-continuous). */
  readonly survival: readonly number[];
  /** null where the curve is at 0. */
  readonly seGreenwood: readonly (number | null)[];
  /** Standard error behind the limits; where the curve is at 0, null by Greenwood and 0 within clusters. null for a single cluster. */
  readonly se: readonly (number | null)[];
  readonly lower: readonly (number | null)[];
  readonly upper: readonly (number | null)[];
  /** Every time, ascending: what is at risk at a time, and where the curve ends. */
  readonly allTimes: Float64Array;
}

/** A quantile of the curve with its limits; null is "not reached", hence not estimable. */
export interface SurvivalQuantile {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

/** Values of the curve that differ by less are one. */
const SAME = 1e-9;

/**
 * Returns the product-limit curve of censored times.
 * Shape   `times` in any order. At equal times events come before censorings. `clusters`, when given, has one name per
 *         time: times of one cluster are not taken as independent of one another, and the standard error sums their
 *         influences (infinitesimal jackknife) before squaring. Takes n·log n steps with or without clusters.
 * Missing no time: an empty curve. Where the curve is at 0: no limits. A single cluster says nothing of the spread between
 *         clusters: no standard error and no limits.
 * Source  Kaplan & Meier, JASA 1958;53:457; Greenwood 1926; log(−log) limits: Kalbfleisch & Prentice, 1.4; clusters: Ying &
 *         Wei, J Multivar Anal 1994;50:17, Therneau & Grambsch, Modeling Survival Data, 2000, 7.
 */
export function kaplanMeier(times: readonly CensoredTime[], conf: number, scale: SurvivalScale = 'log-log', clusters: readonly string[] | null = null): SurvivalCurve {
  const order = exitOrder(times);
  const steps = survivalSteps(times, order);
  const within = clusters === null ? null : clusteredErrors(times, order, clusters, steps);
  const z = normalHalfWidth(conf);
  const greenwood = steps.greenwood.map(Math.sqrt);
  const relative = within === null ? greenwood : within.relative;
  const limits = steps.survival.map((s, i) => limitsOf(s, relative[i] ?? NaN, z, scale));
  const scaled = (errors: readonly number[]) => steps.survival.map((s, i) => (s > 0 ? s * (errors[i] ?? NaN) : null));
  return {
    n: times.length,
    events: steps.nEvent.reduce((sum, d) => sum + d, 0),
    clusters: within === null ? times.length : within.clusters,
    errorSource: within === null ? 'greenwood' : 'within clusters',
    times: steps.times,
    atRisk: steps.atRisk,
    nEvent: steps.nEvent,
    survival: steps.survival,
    seGreenwood: scaled(greenwood),
    se: within === null ? scaled(greenwood) : steps.survival.map((s, i) => (within.clusters < 2 ? null : s > 0 ? s * (relative[i] ?? NaN) : 0)),
    lower: limits.map(([lower]) => lower),
    upper: limits.map(([, upper]) => upper),
    allTimes: Float64Array.from(order, (i) => times[i]?.time ?? NaN),
  };
}

/**
 * Returns the value of the curve at a time with its limits, and how many are at risk there.
 * Missing before the first event: 1 with limits 1 and 1. Where the curve is at 0: no limits.
 */
export function survivalAt(curve: SurvivalCurve, time: number): { survival: number; lower: number | null; upper: number | null; atRisk: number } {
  const at = upperBound(curve.times, time) - 1;
  const atRisk = curve.n - lowerBound(curve.allTimes, time);
  if (at < 0) return { survival: 1, lower: 1, upper: 1, atRisk };
  return { survival: curve.survival[at] ?? NaN, lower: curve.lower[at] ?? null, upper: curve.upper[at] ?? null, atRisk };
}

/**
 * Returns the time by which the share `p` has had the event, with limits read off the limits of the curve.
 * Shape   the first time at which the curve is at or below 1 − p. Where it stands at exactly 1 − p, the middle of that flat
 *         stretch: up to the next event, or the last time when there is none.
 * Missing not reached: null.
 * Source  the rule of R survival; limits: Brookmeyer & Crowley, Biometrics 1982;38:29.
 */
export function survivalQuantile(curve: SurvivalCurve, p: number): SurvivalQuantile {
  const last = curve.allTimes[curve.allTimes.length - 1] ?? NaN;
  const reach = (values: readonly (number | null)[]): number | null => {
    const at = values.findIndex((value) => value !== null && value <= 1 - p + SAME);
    const from = curve.times[at];
    if (from === undefined) return null;
    if ((values[at] ?? NaN) < 1 - p - SAME) return from;
    const next = values.findIndex((value, i) => i > at && (value === null || value < 1 - p - SAME));
    return (from + (next < 0 ? last : (curve.times[next] ?? NaN))) / 2;
  };
  return { estimate: reach(curve.survival), lower: reach(curve.lower), upper: reach(curve.upper) };
}

/**
 * The standard error of ln S at each step, with influences summed within clusters. A cluster with r times still at risk and
 * the sum C of those that have left has the influence r·G + C; the sum of the squares over clusters is G²·Σr² + 2G·ΣrC + ΣC²,
 * kept up to date as times leave.
 */
function clusteredErrors(times: readonly CensoredTime[], order: Uint32Array, clusters: readonly string[], steps: SurvivalSteps): { relative: number[]; clusters: number } {
  const { of, count } = clusterNumbers(clusters);
  const influences = influencesAfterExit(times, order, steps);
  const atRisk = new Float64Array(count);
  const left = new Float64Array(count);
  for (const cluster of of) atRisk[cluster] = (atRisk[cluster] ?? 0) + 1;
  let rr = atRisk.reduce((sum, r) => sum + r * r, 0);
  let rc = 0;
  let cc = 0;
  let at = 0;
  const relative = steps.times.map((time, step) => {
    for (; at < order.length; at++) {
      const i = order[at] ?? 0;
      if ((times[i]?.time ?? NaN) > time) break;
      const cluster = of[i] ?? 0;
      const r = atRisk[cluster] ?? 0;
      const c = left[cluster] ?? 0;
      const more = influences[i] ?? NaN;
      rr += 1 - 2 * r;
      rc += (r - 1) * (c + more) - r * c;
      cc += more * (2 * c + more);
      atRisk[cluster] = r - 1;
      left[cluster] = c + more;
    }
    const g = steps.greenwood[step] ?? NaN;
    return count > 1 && (steps.survival[step] ?? 0) > 0 ? Math.sqrt(Math.max(0, g * g * rr + 2 * g * rc + cc)) : NaN;
  });
  return { relative, clusters: count };
}

function limitsOf(s: number, relative: number, z: number, scale: SurvivalScale): [number | null, number | null] {
  if (!(s > 0) || Number.isNaN(relative)) return [null, null];
  if (scale === 'plain') return [Math.max(0, s - z * s * relative), Math.min(1, s + z * s * relative)];
  if (scale === 'log') return [s * Math.exp(-z * relative), Math.min(1, s * Math.exp(z * relative))];
  const spread = (z * relative) / -Math.log(s);
  return [s ** Math.exp(spread), s ** Math.exp(-spread)];
}
