/** Why nothing is attributed. */
export type AttributableReason = 'ratio not above 1' | 'no finite ratio' | 'interval holds 1' | 'no interval';

/** The share and the number of events at risk that would be due to the exposure if the association were causal. */
export interface Attributable {
  readonly fraction: number | null;
  readonly events: number | null;
  readonly reason: AttributableReason | null;
}

/**
 * Returns what part of the events at risk would be due to the exposure, if the association were causal.
 * Missing a ratio at or below 1, none, or an infinite one: null with the reason.
 * Source  Miettinen, Am J Epidemiol 1974;99:325.
 */
export function attributable(riskEvents: number, rateRatio: number | null): Attributable {
  if (rateRatio === null || !Number.isFinite(rateRatio)) return { fraction: null, events: null, reason: 'no finite ratio' };
  if (rateRatio <= 1) return { fraction: null, events: null, reason: 'ratio not above 1' };
  const fraction = (rateRatio - 1) / rateRatio;
  return { fraction, events: riskEvents * fraction, reason: null };
}

/** Returns the same only where the interval of the ratio lies above 1: otherwise chance alone may have made it. */
export function attributableAboveChance(riskEvents: number, rateRatio: number | null, lower: number | null): Attributable {
  const plain = attributable(riskEvents, rateRatio);
  if (plain.reason !== null) return plain;
  if (lower === null) return { fraction: null, events: null, reason: 'no interval' };
  return lower > 1 ? plain : { fraction: null, events: null, reason: 'interval holds 1' };
}
