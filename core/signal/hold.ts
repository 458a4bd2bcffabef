/**
 * Returns a channel's value at each instant of another: the last plausible one before or at it.
 * Shape   `tMs` and `sourceT` ascending; a new array as long as `tMs`. Arrays are not modified.
 * Units   ms; values as given. `limits` are inclusive. `maxAgeMs` has one entry per sample of the source.
 * Missing NaN where the last plausible value has reached its greatest age (a value of the very instant is never too old).
 * Source  a sample stands for the time until the next is due: docs/methods/sample-status.md.
 */
export function valuesAt(
  tMs: Float64Array,
  sourceT: Float64Array,
  sourceValue: Float64Array,
  limits: readonly [number, number],
  maxAgeMs: Float64Array,
): Float64Array {
  const out = new Float64Array(tMs.length);
  const [low, high] = limits;
  let j = 0;
  let heldAt = -Infinity;
  let held = NaN;
  let heldForMs = 0;
  for (let i = 0; i < tMs.length; i++) {
    const t = tMs[i] ?? NaN;
    while (j < sourceT.length) {
      const at = sourceT[j] ?? Infinity;
      if (at > t) break;
      const v = sourceValue[j] ?? NaN;
      if (v >= low && v <= high) {
        heldAt = at;
        held = v;
        heldForMs = maxAgeMs[j] ?? 0;
      }
      j++;
    }
    out[i] = heldAt === t || t - heldAt < heldForMs ? held : NaN;
  }
  return out;
}
