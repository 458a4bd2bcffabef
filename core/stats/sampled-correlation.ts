/** Sums over pairs, from which Pearson's r follows; sums of several blocks add up. */
export interface PairSums {
  n: number;
  x: number;
  y: number;
  xx: number;
  yy: number;
  xy: number;
}

/** Sums of squares below this share of n·mean² are rounding. */
const CONSTANT = 1e-24;

/** Returns the sums of no pair. */
export function noPairs(): PairSums {
  return { n: 0, x: 0, y: 0, xx: 0, yy: 0, xy: 0 };
}

/** Adds the sums of `more` to `sums`. */
export function addSums(sums: PairSums, more: PairSums): void {
  sums.n += more.n;
  sums.x += more.x;
  sums.y += more.y;
  sums.xx += more.xx;
  sums.yy += more.yy;
  sums.xy += more.xy;
}

/**
 * Returns the sums over the pairs (x[i], grid[at[i] + shift]) for i from `from` up to, but without, `to`.
 * Shape   `at` holds whole places on the grid, as many as x has values.
 * Missing a pair with a missing partner (NaN, or a place off the grid) is left out.
 */
export function sampledSums(x: Float64Array, at: Int32Array, grid: Float64Array, shift: number, from: number, to: number): PairSums {
  let n = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let syy = 0;
  let sxy = 0;
  for (let i = from; i < to; i++) {
    const a = x[i] ?? NaN;
    const b = grid[(at[i] ?? -1) + shift] ?? NaN;
    if (a !== a || b !== b) continue;
    n++;
    sx += a;
    sy += b;
    sxx += a * a;
    syy += b * b;
    sxy += a * b;
  }
  return { n, x: sx, y: sy, xx: sxx, yy: syy, xy: sxy };
}

/**
 * Returns Pearson's r of the pairs behind `sums`.
 * Missing fewer than `minPairs` (or two) pairs, or a constant part: null.
 */
export function correlationOf(sums: PairSums, minPairs: number): number | null {
  const { n } = sums;
  if (n < minPairs || n < 2) return null;
  const xx = sums.xx - (sums.x * sums.x) / n;
  const yy = sums.yy - (sums.y * sums.y) / n;
  if (xx <= CONSTANT * (sums.x * sums.x) / n + Number.MIN_VALUE || yy <= CONSTANT * (sums.y * sums.y) / n + Number.MIN_VALUE) return null;
  return Math.max(-1, Math.min(1, (sums.xy - (sums.x * sums.y) / n) / Math.sqrt(xx * yy)));
}
