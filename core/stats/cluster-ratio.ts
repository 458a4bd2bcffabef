import { studentQuantile } from './distributions.ts';

/** Why a ratio over clusters has no value (the first) or no interval. */
export type ClusterRatioReason = 'no denominator' | 'one cluster' | 'nothing counted';

/** A ratio of totals over clusters with the interval that lets clusters differ. */
export interface ClusterRatio {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Standard error of the logarithm of the ratio. */
  readonly seLog: number | null;
  /** Clusters − 1. */
  readonly df: number;
  readonly clusters: number;
  /**
   * Pearson's: 1 where counts vary between clusters as independent events do, above 1.5 where an exact Poisson interval
   * misleads. It means nothing for a numerator that is no count.
   */
  readonly dispersion: number | null;
  readonly reason: ClusterRatioReason | null;
}

/**
 * Returns total / total over clusters (cases, or patients), with Student's interval on the scale of the logarithm and a
 * standard error from the differences between clusters: for counts per hour as for lost over monitored time.
 * Shape   one numerator and one denominator ≥ 0 per cluster, in any order. A cluster with neither is no cluster.
 * Missing a denominator of 0: everything null. One cluster, or a numerator of 0: no interval (an exact one may stand instead).
 * Source  Liang & Zeger, Biometrika 1986;73:13; ratio estimator: Cochran, Sampling Techniques, ch. 6; statistics a.
 * Example 4 events in 2 h and 1 in 3 h → 1 an hour, seLog 0.8, dispersion 3.33.
 */
export function clusterRobustRatio(numerators: ArrayLike<number>, denominators: ArrayLike<number>, conf: number): ClusterRatio {
  let clusters = 0;
  let above = 0;
  let below = 0;
  for (let i = 0; i < denominators.length; i++) {
    const y = numerators[i] ?? NaN;
    const t = denominators[i] ?? NaN;
    if (y === 0 && t === 0) continue;
    clusters++;
    above += y;
    below += t;
  }
  const df = Math.max(0, clusters - 1);
  const none = { lower: null, upper: null, seLog: null, df, clusters, dispersion: null };
  if (!(below > 0)) return { ...none, estimate: null, reason: 'no denominator' };
  const estimate = above / below;
  if (above === 0) return { ...none, estimate, reason: 'nothing counted' };
  if (clusters === 1) return { ...none, estimate, reason: 'one cluster' };
  let squares = 0;
  let pearson = 0;
  for (let i = 0; i < denominators.length; i++) {
    const y = numerators[i] ?? NaN;
    const t = denominators[i] ?? NaN;
    if (y === 0 && t === 0) continue;
    const residual = y - estimate * t;
    squares += residual ** 2;
    pearson += residual ** 2 / (estimate * t);
  }
  const seLog = Math.sqrt((clusters / df) * squares) / above;
  const half = studentQuantile(1 - (1 - conf) / 2, df) * seLog;
  return { ...none, estimate, lower: estimate * Math.exp(-half), upper: estimate * Math.exp(half), seLog, dispersion: Number.isFinite(pearson) ? pearson / df : null, reason: null };
}

/** Returns a share with limits that a share can have: on the scale of the logarithm the upper limit knows nothing of 1. */
export function withinOne(share: ClusterRatio): ClusterRatio {
  return share.upper === null ? share : { ...share, upper: Math.min(1, share.upper) };
}
