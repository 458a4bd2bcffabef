/** Returns the first index whose value is >= `x` in an ascending array (its length when there is none). */
export function lowerBound(sorted: ArrayLike<number>, x: number): number {
  let lo = 0;
  let hi = sorted.length;
  while (lo < hi) {
    const mid = (lo + hi) >>> 1;
    if ((sorted[mid] as number) < x) lo = mid + 1; // in range by the loop's own bounds
    else hi = mid;
  }
  return lo;
}

/** Returns the first index whose value is > `x` in an ascending array (its length when there is none). */
export function upperBound(sorted: ArrayLike<number>, x: number): number {
  let lo = 0;
  let hi = sorted.length;
  while (lo < hi) {
    const mid = (lo + hi) >>> 1;
    if ((sorted[mid] as number) <= x) lo = mid + 1; // in range by the loop's own bounds
    else hi = mid;
  }
  return lo;
}

/** Returns the index of the value nearest to `x` (the earlier of two equally near), or -1 for an empty array. */
export function nearestIndex(sorted: ArrayLike<number>, x: number): number {
  if (sorted.length === 0) return -1;
  const i = lowerBound(sorted, x);
  if (i === 0) return 0;
  if (i === sorted.length) return i - 1;
  return x - (sorted[i - 1] as number) <= (sorted[i] as number) - x ? i - 1 : i; // both in range
}
