/**
 * Returns p values adjusted for being a family, in the order given.
 * Missing null (a comparison that could not be tested) stays null and is not counted.
 * Source  Holm, Scand J Stat 1979;6:65: ascending, the running maximum of min(1, (m − i + 1) p).
 * Example 0.01, 0.04, 0.03, 0.005 → 0.03, 0.06, 0.06, 0.02.
 */
export function holmAdjusted(ps: readonly (number | null)[]): (number | null)[] {
  const out: (number | null)[] = ps.map(() => null);
  const tested = ps.flatMap((p, at) => (p === null ? [] : [{ p, at }])).sort((a, b) => a.p - b.p);
  let most = 0;
  tested.forEach(({ p, at }, i) => {
    most = Math.max(most, Math.min(1, (tested.length - i) * p));
    out[at] = most;
  });
  return out;
}
