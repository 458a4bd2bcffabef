import type { ClusterRatioReason } from './cluster-ratio.ts';
import { clusterRobustRatio } from './cluster-ratio.ts';
import { studentQuantile } from './distributions.ts';

/** A part of a whole over clusters with the interval that lets clusters differ. */
export interface ClusterShare {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Standard error of ln(share/(1 − share)). */
  readonly seLogit: number | null;
  readonly df: number;
  readonly clusters: number;
  readonly reason: ClusterRatioReason | 'everything counted' | 'all clusters alike' | null;
}

/** A relative standard error below this is rounding. */
const ALIKE = 1e-12;

/**
 * Returns total part / total whole over clusters, with Student's interval on the logit scale: within 0 and 1, and the same for
 * the rest as for the part. For shares that may come near 1; near 0 it is that of `clusterRobustRatio`.
 * Shape   0 ≤ part ≤ whole per cluster, in any order. A cluster without a whole is no cluster.
 * Missing a whole of 0: everything null. One cluster, a share of 0 or 1, or the same share in all clusters: no interval.
 * Source  standard error as in `clusterRobustRatio`, carried to the logit by its derivative: the sandwich of a fractional logit
 *         with a constant alone (Papke & Wooldridge, J Appl Econom 1996;11:619). Coverage: docs/methods/intervals-over-cases.md.
 */
export function clusterRobustShare(parts: ArrayLike<number>, wholes: ArrayLike<number>, conf: number): ClusterShare {
  const { estimate, seLog, df, clusters, reason } = clusterRobustRatio(parts, wholes, conf);
  const none = { estimate, lower: null, upper: null, seLogit: null, df, clusters };
  if (estimate === null || seLog === null) return { ...none, reason };
  if (estimate >= 1) return { ...none, reason: 'everything counted' };
  if (seLog <= ALIKE) return { ...none, reason: 'all clusters alike' };
  const seLogit = seLog / (1 - estimate);
  const half = studentQuantile(1 - (1 - conf) / 2, df) * seLogit;
  const at = (move: number): number => estimate / (estimate + (1 - estimate) * Math.exp(-move));
  return { ...none, lower: at(-half), upper: at(half), seLogit, reason: null };
}
