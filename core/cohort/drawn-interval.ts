import type { NamedInterval } from '../model/cohort-burden.ts';
import type { BootstrapInterval } from '../stats/cluster-bootstrap.ts';

/** Returns an interval from units drawn anew by its name: corrected for bias and acceleration, or by percentiles where that is not defined. */
export function drawnInterval({ bca, isBcaPercentile, reason }: BootstrapInterval, n: number): NamedInterval {
  if (bca === null) return { method: null, lower: null, upper: null, n, reason: reason === 'one cluster' ? 'one unit only' : reason };
  return { method: isBcaPercentile ? 'percentile bootstrap over units' : 'BCa bootstrap over units', lower: bca[0], upper: bca[1], n, reason: null };
}
