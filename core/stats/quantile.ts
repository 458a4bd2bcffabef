/**
 * Returns the p-quantile of the finite values by linear interpolation of the order statistics (type 7), null for none.
 * Shape   `values` in any order; not modified. p from 0 to 1.
 * Missing values that are not finite are left out.
 * Source  Hyndman & Fan, Am Stat 1996;50:361–365, type 7.
 */
export function quantile(values: readonly number[] | Float64Array, p: number): number | null {
  return quantileOfSorted(Float64Array.from(values).filter(Number.isFinite).sort(), p);
}

/** Returns the median of the finite values (type 7), null for none. */
export function median(values: readonly number[] | Float64Array): number | null {
  return quantile(values, 0.5);
}

/** Returns the p-quantile of values that are finite and ascending (type 7), null for none. */
export function quantileOfSorted(sorted: ArrayLike<number>, p: number): number | null {
  if (sorted.length === 0) return null;
  const h = (sorted.length - 1) * p;
  const below = sorted[Math.floor(h)] ?? NaN;
  const above = sorted[Math.ceil(h)] ?? NaN;
  return below + (h - Math.floor(h)) * (above - below);
}
