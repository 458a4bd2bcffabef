import { normalQuantile } from './normal.ts';

/** Two rates of clusters of one size, their true rates varying between clusters with one coefficient of variation. */
export interface ClusterRates {
  readonly first: number;
  readonly second: number;
  /** Time observed in each cluster, in the unit of the rates. */
  readonly timePerCluster: number;
  /** Coefficient of variation of the clusters' true rates, within each group. */
  readonly variation: number;
}

/**
 * Returns the number of clusters per group that two rates need, not rounded: 1 + (z + z')² [(λ0 + λ1)/y + k²(λ0² + λ1²)]/(λ0 − λ1)².
 * Missing null for equal rates.
 * Source  Hayes & Bennett, Int J Epidemiol 1999;28:319-26 (unmatched trials, rates; formula from memory). Checked against the worked
 *         example of clusterPower, crtpwr.2rate (25 clusters per condition).
 */
export function clusterRateSize({ first, second, timePerCluster, variation }: ClusterRates, conf: number, power: number): number | null {
  if (first === second) return null;
  const z = normalQuantile(0.5 + conf / 2) + normalQuantile(power);
  const variance = (first + second) / timePerCluster + variation ** 2 * (first ** 2 + second ** 2);
  return 1 + (z ** 2 * variance) / (first - second) ** 2;
}
