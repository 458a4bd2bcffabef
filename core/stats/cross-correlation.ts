/** The lag of one series behind another. */
export interface LagEstimate {
  /** Pearson's r at lag −maxLag … maxLag; null where too few pairs are present or a part is constant. */
  readonly r: readonly (number | null)[];
  /** Positive: y comes late. Between samples by a parabola through the three highest. null: no lag has a correlation. */
  readonly lagSamples: number | null;
  readonly peak: number | null;
  /** The highest r stands at the edge of the search or beside a lag without correlation: not interpolated, not to be trusted. */
  readonly atEdge: boolean | null;
}

/** Sums of squares below this share of n·mean² are rounding. */
const CONSTANT = 1e-24;

/**
 * Returns Pearson's correlation of x(i) with y(i + k) for every lag k from −maxLag to maxLag.
 * Shape   x and y on one grid of time, as long as each other. NaN: no value.
 * Missing pairs with a missing partner are left out at each lag; fewer than `minPairs` or a constant part: null.
 * Source  Box & Jenkins, Time Series Analysis, ch. 11.
 */
export function crossCorrelation(x: Float64Array, y: Float64Array, maxLag: number, minPairs: number): (number | null)[] {
  const out: (number | null)[] = [];
  for (let k = -maxLag; k <= maxLag; k++) out.push(correlationAt(x, y, k, minPairs));
  return out;
}

function correlationAt(x: Float64Array, y: Float64Array, k: number, minPairs: number): number | null {
  const from = Math.max(0, -k);
  const to = Math.min(x.length, y.length - k);
  let n = 0;
  let sx = 0;
  let sy = 0;
  for (let i = from; i < to; i++) {
    const a = x[i] ?? NaN;
    const b = y[i + k] ?? NaN;
    if (a !== a || b !== b) continue;
    n++;
    sx += a;
    sy += b;
  }
  if (n < minPairs || n < 2) return null;
  const mx = sx / n;
  const my = sy / n;
  let sxx = 0;
  let syy = 0;
  let sxy = 0;
  for (let i = from; i < to; i++) {
    const a = (x[i] ?? NaN) - mx;
    const b = (y[i + k] ?? NaN) - my;
    if (a !== a || b !== b) continue;
    sxx += a * a;
    syy += b * b;
    sxy += a * b;
  }
  if (sxx <= CONSTANT * n * mx * mx || syy <= CONSTANT * n * my * my) return null;
  return Math.max(-1, Math.min(1, sxy / Math.sqrt(sxx * syy)));
}

/**
 * Returns the lag at which y follows x best.
 * Shape   the highest r; of equal ones the lag nearest to 0.
 * Source  three-point parabola: Boucher & Hassab, IEEE Trans ASSP 1981;29:549.
 */
export function estimateLag(x: Float64Array, y: Float64Array, maxLag: number, minPairs: number): LagEstimate {
  const r = crossCorrelation(x, y, maxLag, minPairs);
  let best = -1;
  r.forEach((value, i) => {
    if (value === null) return;
    const highest = best < 0 ? null : (r[best] ?? null);
    if (highest === null || value > highest || (value === highest && Math.abs(i - maxLag) < Math.abs(best - maxLag))) best = i;
  });
  if (best < 0) return { r, lagSamples: null, peak: null, atEdge: null };
  const at = r[best] ?? NaN;
  const before = r[best - 1] ?? null;
  const after = r[best + 1] ?? null;
  if (before === null || after === null) return { r, lagSamples: best - maxLag, peak: at, atEdge: true };
  const bend = before - 2 * at + after;
  const shift = bend === 0 ? 0 : (0.5 * (before - after)) / bend;
  return { r, lagSamples: best - maxLag + shift, peak: Math.min(1, at - 0.25 * (before - after) * shift), atEdge: false };
}
