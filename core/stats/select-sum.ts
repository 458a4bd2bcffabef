/**
 * Returns the k-th smallest (from 1) of the sums a[i] + b[j], without making them all.
 * Shape   a and b ascending. `isTriangle`: a and b are the same list and only j ≥ i counts (each pair once, and with itself).
 *         k from 1 to the number of sums. Time grows as n log² n, memory as n.
 * Source  Johnson & Mizoguchi, SIAM J Comput 1978;7:147: the weighted median of the rows' medians parts what is left until
 *         little remains. Exact: sums are compared as computed.
 */
export function kthSum(a: Float64Array, b: Float64Array, k: number, isTriangle: boolean): number {
  const rows = a.length;
  const low = Int32Array.from(a, (_, i) => (isTriangle ? i : 0));
  const high = new Int32Array(rows).fill(b.length);
  const below = new Int32Array(rows);
  const upTo = new Int32Array(rows);
  /** Sums known to come before all that are left. */
  let passed = 0;
  for (;;) {
    let left = 0;
    for (let i = 0; i < rows; i++) left += (high[i] ?? 0) - (low[i] ?? 0);
    if (left <= 4 * rows + 16) return kthOfRest(a, b, low, high, left, k - passed);
    const pivot = middleOfMiddles(a, b, low, high, left);
    let less = 0;
    let notMore = 0;
    // Down the rows sums only grow, so both edges only move left.
    let under = b.length;
    let over = b.length;
    for (let i = 0; i < rows; i++) {
      const x = a[i] ?? NaN;
      while (under > 0 && x + (b[under - 1] ?? NaN) >= pivot) under--;
      while (over > 0 && x + (b[over - 1] ?? NaN) > pivot) over--;
      const from = low[i] ?? 0;
      const to = high[i] ?? 0;
      below[i] = Math.min(to, Math.max(from, under));
      upTo[i] = Math.min(to, Math.max(from, over));
      less += (below[i] ?? 0) - from;
      notMore += (upTo[i] ?? 0) - from;
    }
    const wanted = k - passed;
    if (wanted <= less) high.set(below);
    else if (wanted > notMore) {
      low.set(upTo);
      passed += notMore;
    } else return pivot;
  }
}

function middleOfMiddles(a: Float64Array, b: Float64Array, low: Int32Array, high: Int32Array, left: number): number {
  const middles: { readonly sum: number; readonly weight: number }[] = [];
  for (let i = 0; i < a.length; i++) {
    const weight = (high[i] ?? 0) - (low[i] ?? 0);
    if (weight > 0) middles.push({ sum: (a[i] ?? NaN) + (b[((low[i] ?? 0) + (high[i] ?? 0)) >> 1] ?? NaN), weight });
  }
  middles.sort((x, y) => x.sum - y.sum);
  let seen = 0;
  for (const { sum, weight } of middles) {
    seen += weight;
    if (2 * seen >= left) return sum;
  }
  return NaN;
}

function kthOfRest(a: Float64Array, b: Float64Array, low: Int32Array, high: Int32Array, left: number, k: number): number {
  const rest = new Float64Array(left);
  let at = 0;
  for (let i = 0; i < a.length; i++) for (let j = low[i] ?? 0; j < (high[i] ?? 0); j++) rest[at++] = (a[i] ?? NaN) + (b[j] ?? NaN);
  return rest.sort()[k - 1] ?? NaN;
}
