/** A time with whether the event came then, or watching ended before it. */
export interface CensoredTime {
  readonly time: number;
  readonly isEvent: boolean;
}

/**
 * Returns the median of times some of which are censored, by the product-limit curve; null when the curve does not come down to a half.
 * Shape   at equal times events come before censorings. Where the curve stands at exactly a half, the middle of that flat
 *         stretch (up to the next event, or the last time when there is none).
 * Source  Kaplan & Meier, JASA 1958;53:457; the rule for flat stretches as in R survival.
 */
export function censoredMedian(times: readonly CensoredTime[]): number | null {
  const sorted = [...times].sort((a, b) => a.time - b.time || Number(b.isEvent) - Number(a.isEvent));
  let survival = 1;
  let halfFrom: number | null = null;
  let i = 0;
  while (i < sorted.length) {
    const time = sorted[i]?.time ?? NaN;
    const atRisk = sorted.length - i;
    let events = 0;
    while (i < sorted.length && sorted[i]?.time === time) {
      if (sorted[i]?.isEvent === true) events++;
      i++;
    }
    if (events === 0) continue;
    if (halfFrom !== null) return (halfFrom + time) / 2;
    survival *= 1 - events / atRisk;
    if (Math.abs(survival - 0.5) < 1e-9) halfFrom = time;
    else if (survival < 0.5) return time;
  }
  return halfFrom === null ? null : (halfFrom + (sorted[sorted.length - 1]?.time ?? NaN)) / 2;
}
