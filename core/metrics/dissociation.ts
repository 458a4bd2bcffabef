/*
 * Oxygen saturation and tension of standard human blood (pH 7.40, 37 °C): an estimate for display, never for a statistic.
 * Source: Severinghaus, J Appl Physiol 1979;46:599–602, equations as given in its abstract; stated accuracy 0.55 % saturation.
 */

/** mmHg in one kPa. Source: statistics h (1 kPa = 7.50062 mmHg). */
export const MMHG_PER_KPA = 7.50062;

/** Returns the saturation in per cent at an oxygen tension in mmHg (equation 1); 0 at 0. */
export function saturationPct(po2MmHg: number): number {
  if (po2MmHg <= 0) return 0;
  return 100 / (23_400 / (po2MmHg ** 3 + 150 * po2MmHg) + 1);
}

/**
 * Returns the oxygen tension in mmHg at which equation 1 gives a saturation: its exact inverse.
 * Missing 0 at 0 %; Infinity at 100 %, which no finite tension reaches.
 * Source  the root of p³ + 150 p = 2a with a = 11 700/(1/s − 1), written without cancellation (statistics h; Ellis, J Appl
 *         Physiol 1989;67:902, from memory).
 */
export function tensionMmHg(saturation: number): number {
  if (saturation <= 0) return 0;
  if (saturation >= 100) return Infinity;
  const a = 11_700 / (100 / saturation - 1);
  return 2 * Math.sqrt(50) * Math.sinh(Math.asinh(a / 50 ** 1.5) / 3);
}

/** Returns the oxygen tension in mmHg by equation 2, which is no exact inverse of equation 1 (57.98 against 58.66 mmHg at 90 %). */
export function tensionByEquation2MmHg(saturation: number): number {
  const s = saturation / 100;
  return Math.exp(0.385 * Math.log(1 / (1 / s - 1)) + 3.32 - 1 / (72 * s) - 0.17 * s ** 6);
}
