import { normalHalfWidth, normalTwoSided } from './normal.ts';
import { clusterNumbers, exitOrder, influencesAfterExit, survivalSteps } from './survival-steps.ts';
import type { CensoredTime } from './survival-steps.ts';

/** Why a restricted mean, or its interval, is not given: nothing to average, the curve not known as far as asked, or a single cluster. */
export type RestrictedMeanReason = 'no times' | 'curve ends before the limit' | 'one cluster';

/** Mean time up to a limit; all null with the reason where it is not defined. A single cluster has a mean and no interval. */
export interface RestrictedMean {
  readonly estimate: number | null;
  readonly se: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: RestrictedMeanReason | null;
}

/** Difference a − b of two restricted means. */
export interface RestrictedMeanDifference extends RestrictedMean {
  /** Two-sided, normal; null where there is no spread to hold the difference against. */
  readonly p: number | null;
}

/** Times of one group; `clusters` names what each time belongs to, null where every time stands for itself. */
export interface TimesOfGroup {
  readonly times: readonly CensoredTime[];
  readonly clusters: readonly string[] | null;
}

/**
 * Returns the mean time until the event, counted up to `limit`: the area under the product-limit curve.
 * Shape   times from 0 on, in the unit of `limit`. With clusters, the standard error sums influences within them.
 * Missing the curve is not drawn on beyond a censored last time: null with the reason. After an event that brought it to 0 it
 *         stays there. The interval is normal and not cut.
 * Source  Royston & Parmar, BMC Med Res Methodol 2013;13:152; variance: Klein & Moeschberger 2003, 4.5 (terms with n = d left
 *         out); clusters: infinitesimal jackknife as for the curve.
 */
export function restrictedMean({ times, clusters }: TimesOfGroup, limit: number, conf: number): RestrictedMean {
  const mean = areaWithInfluences(times, limit);
  if (typeof mean === 'string') return notDefined(mean);
  if (isSingle(clusters)) return { ...notDefined('one cluster'), estimate: mean.area };
  return interval(mean.area, clusters === null ? Math.sqrt(mean.variance) : clusteredError([{ sign: 1, influences: mean.influences, clusters }]), conf);
}

/**
 * Returns the difference a − b of two restricted means up to the same limit.
 * Shape   with clusters in both groups, a name that occurs in both is one cluster: the same patients at two sites. Without,
 *         the groups are independent of one another.
 * Missing as `restrictedMean`, where either is not defined.
 * Source  Royston & Parmar 2013; independent groups: sum of the variances.
 */
export function restrictedMeanDifference(a: TimesOfGroup, b: TimesOfGroup, limit: number, conf: number): RestrictedMeanDifference {
  const first = areaWithInfluences(a.times, limit);
  const second = areaWithInfluences(b.times, limit);
  if (typeof first === 'string') return { ...notDefined(first), p: null };
  if (typeof second === 'string') return { ...notDefined(second), p: null };
  const difference = first.area - second.area;
  if (isSingle(a.clusters) || isSingle(b.clusters)) return { ...notDefined('one cluster'), estimate: difference, p: null };
  const se =
    a.clusters === null || b.clusters === null
      ? Math.sqrt(first.variance + second.variance)
      : clusteredError([
          { sign: 1, influences: first.influences, clusters: a.clusters },
          { sign: -1, influences: second.influences, clusters: b.clusters },
        ]);
  return { ...interval(difference, se, conf), p: se > 1e-12 * limit ? normalTwoSided(difference / se) : null };
}

/** Influences of a single cluster add up to nothing: they tell no spread between clusters. */
function isSingle(clusters: readonly string[] | null): boolean {
  return clusters !== null && clusters.every((name) => name === clusters[0]);
}

function interval(estimate: number, se: number, conf: number): RestrictedMean {
  const half = normalHalfWidth(conf) * se;
  return { estimate, se, lower: estimate - half, upper: estimate + half, reason: null };
}

function notDefined(reason: RestrictedMeanReason): RestrictedMean {
  return { estimate: null, se: null, lower: null, upper: null, reason };
}

interface Area {
  readonly area: number;
  readonly variance: number;
  readonly influences: Float64Array;
}

/** The area up to `limit`, its variance for independent times, and the influence of each time on it. */
function areaWithInfluences(times: readonly CensoredTime[], limit: number): Area | RestrictedMeanReason {
  // What happens after the limit has no part in the area: those times are censored there.
  const cut = times.map((one) => (one.time > limit ? { time: limit, isEvent: false } : one));
  const order = exitOrder(cut);
  const last = order[order.length - 1];
  if (last === undefined) return 'no times';
  const steps = survivalSteps(cut, order);
  if ((cut[last]?.time ?? NaN) < limit && (steps.survival[steps.survival.length - 1] ?? 1) > 0) return 'curve ends before the limit';

  const influences = new Float64Array(times.length);
  const areaTo = new Float64Array(times.length);
  const areaToStep: number[] = [];
  let step = -1;
  let at = 0;
  let survival = 1;
  // S·G, with G the sum of Greenwood's terms: what a time at risk adds to its influence per unit of time. 0 where S is.
  let weight = 0;
  let area = 0;
  let weighted = 0;
  for (const i of order) {
    const time = cut[i]?.time ?? NaN;
    for (let next = steps.times[step + 1]; next !== undefined && next <= time; next = steps.times[step + 1]) {
      area += survival * (next - at);
      weighted += weight * (next - at);
      step++;
      at = next;
      survival = steps.survival[step] ?? NaN;
      weight = survival > 0 ? survival * (steps.greenwood[step] ?? NaN) : 0;
      areaToStep.push(area);
    }
    areaTo[i] = area + survival * (time - at);
    influences[i] = weighted + weight * (time - at);
  }
  area += survival * (limit - at);
  influencesAfterExit(cut, order, steps).forEach((after, i) => {
    influences[i] = (influences[i] ?? NaN) + after * (area - (areaTo[i] ?? NaN));
  });

  let variance = 0;
  areaToStep.forEach((before, j) => {
    const n = steps.atRisk[j] ?? NaN;
    const d = steps.nEvent[j] ?? NaN;
    if (n > d) variance += ((area - before) ** 2 * d) / (n * (n - d));
  });
  return { area, variance, influences };
}

/** Root of the sum of squares of the influences summed within clusters, over all groups. */
function clusteredError(groups: readonly { readonly sign: number; readonly influences: Float64Array; readonly clusters: readonly string[] }[]): number {
  const { of, count } = clusterNumbers(groups.flatMap(({ clusters }) => clusters));
  const sums = new Float64Array(count);
  let at = 0;
  for (const { sign, influences } of groups) {
    for (const influence of influences) {
      const cluster = of[at++] ?? 0;
      sums[cluster] = (sums[cluster] ?? 0) + sign * influence;
    }
  }
  return Math.sqrt(sums.reduce((sum, u) => sum + u * u, 0));
}
