import { kaplanMeier, survivalQuantile } from './kaplan-meier.ts';
import type { CensoredTime } from './survival-steps.ts';

/**
 * Returns the median of times some of which are censored, by the product-limit curve; null when the curve does not come down to a half.
 * Source  Kaplan & Meier, JASA 1958;53:457; the rule for flat stretches: `survivalQuantile`.
 */
export function censoredMedian(times: readonly CensoredTime[]): number | null {
  return survivalQuantile(kaplanMeier(times, 0.95), 0.5).estimate;
}
