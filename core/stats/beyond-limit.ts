/** Share of a limit (at least of 1) that rounding may take. */
const ROUNDING = 1e-9;

/** Returns whether a value lies above a limit by more than rounding; a value on the limit does not. */
export function isAbove(value: number, limit: number): boolean {
  return value > limit + ROUNDING * Math.max(1, Math.abs(limit));
}

/** Returns whether a value lies below a limit by more than rounding; a value on the limit does not. */
export function isBelow(value: number, limit: number): boolean {
  return value < limit - ROUNDING * Math.max(1, Math.abs(limit));
}
