/** Returns milliseconds as seconds with at most three decimals; null stays null. */
export function seconds(ms: number | null): number | null {
  return ms === null ? null : Math.round(ms) / 1000;
}

/** Returns a computed number (share, mean) with at most six significant digits; null stays null. */
export function computed(value: number | null): number | null {
  return value === null ? null : Number(value.toPrecision(6));
}

/** Returns a recorded number without the noise of a unit conversion (0.97 × 100): at most twelve significant digits; null stays null. */
export function recorded(value: number | null): number | null {
  return value === null ? null : Number(value.toPrecision(12));
}
