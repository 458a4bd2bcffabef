import { lowerBound } from '../base/search.ts';
import type { PressureBefore } from '../model/analysis.ts';
import type { Channel } from '../model/channel.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';

const PREFERRED: readonly PressureBefore['quantity'][] = ['art-mean', 'nibp-mean', 'art-sys', 'nibp-sys'];

/**
 * Returns the mean and lowest arterial pressure of the time before a dropout, or null where none was recorded.
 * Shape   from the first of invasive mean, cuff mean, invasive systolic, cuff systolic that has a plausible value there.
 * Units   mmHg; `windowMs` before `lastGoodMs`, both ends included.
 * Missing values outside the limits of `QUANTITY_FACTS` are left out.
 * Source  analysis-spec 7, handbook 5 (confounding by indication); docs/methods/linkage.md.
 */
export function pressureBefore(channels: readonly Channel[], lastGoodMs: number, windowMs: number): PressureBefore | null {
  for (const quantity of PREFERRED) {
    const [low, high] = QUANTITY_FACTS[quantity].plausible ?? [-Infinity, Infinity];
    let sum = 0;
    let lowest = Infinity;
    let n = 0;
    for (const channel of channels) {
      if (channel.quantity !== quantity) continue;
      for (let i = lowerBound(channel.tMs, lastGoodMs - windowMs); i < channel.tMs.length && (channel.tMs[i] ?? NaN) <= lastGoodMs; i++) {
        const v = channel.value[i] ?? NaN;
        if (!(v >= low && v <= high)) continue;
        sum += v;
        lowest = Math.min(lowest, v);
        n++;
      }
    }
    if (n > 0) return { quantity, mean: sum / n, lowest, n };
  }
  return null;
}
