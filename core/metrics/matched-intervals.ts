import { lowerBound } from '../base/search.ts';
import type { ReturnComparison } from '../model/hypoxaemia.ts';
import { quantileOfSorted } from '../stats/quantile.ts';
import type { ValueSeries } from './value-series.ts';

/** Compared intervals begin a tenth of their length apart: closer ones tell nothing new. */
const STARTS_PER_LENGTH = 10;

/**
 * Returns a function that sets a change over a dropout beside the changes over intervals of the same length in which nothing was lost.
 * Shape   of the function: the length in ms and the change in points (after − before) → the comparison, or null where no
 *         interval of that length without loss exists.
 * Missing an interval with a record without value or a missing record inside is not compared with. Its length may differ
 *         by half a recording interval.
 * Source  analysis-spec 8; handbook 6.1, `gap-informative` (a change over a gap is to be judged against matched intervals
 *         of the same case, not against nought); docs/metrics/drop-on-return.md.
 */
export function returnComparisons(series: ValueSeries): (lengthMs: number, changePoints: number) => ReturnComparison | null {
  const stretches = [...unbroken(series)];
  const known = new Map<number, { readonly changes: Float64Array; readonly separate: number }>();
  return (lengthMs, changePoints) => {
    const found = known.get(lengthMs) ?? changesOver(stretches, lengthMs);
    known.set(lengthMs, found);
    const { changes, separate } = found;
    if (changes.length === 0) return null;
    return {
      changePoints,
      intervals: changes.length,
      separate,
      medianPoints: quantileOfSorted(changes, 0.5) ?? NaN,
      lowPoints: quantileOfSorted(changes, 0.05) ?? NaN,
      highPoints: quantileOfSorted(changes, 0.95) ?? NaN,
      shareAsLow: countUpTo(changes, changePoints) / changes.length,
    };
  };
}

interface Stretch {
  readonly t: number[];
  readonly value: number[];
}

function* unbroken({ t, value, gap }: ValueSeries): Generator<Stretch> {
  let stretch: Stretch = { t: [], value: [] };
  for (let i = 0; i < t.length; i++) {
    const at = t[i] ?? NaN;
    const v = value[i] ?? NaN;
    const before = t[i - 1];
    const limit = typeof gap === 'number' ? gap : Math.max(gap[i - 1] ?? 0, gap[i] ?? 0);
    const isBroken = before !== undefined && !(limit !== Infinity && at - before <= limit);
    if ((isBroken || Number.isNaN(v)) && stretch.t.length > 0) {
      yield stretch;
      stretch = { t: [], value: [] };
    }
    if (Number.isNaN(v)) continue;
    stretch.t.push(at);
    stretch.value.push(v);
  }
  if (stretch.t.length > 0) yield stretch;
}

function changesOver(stretches: readonly Stretch[], lengthMs: number): { changes: Float64Array; separate: number } {
  const changes: number[] = [];
  let separate = 0;
  for (const { t, value } of stretches) {
    const first = t[0] ?? NaN;
    const last = t[t.length - 1] ?? NaN;
    const intervalMs = t.length < 2 ? 0 : (last - first) / (t.length - 1);
    if (t.length < 2 || last - first < lengthMs - intervalMs / 2) continue;
    separate += Math.floor((last - first + intervalMs / 2) / lengthMs);
    let i = 0;
    while (i < t.length) {
      const at = t[i] ?? NaN;
      const k = lowerBound(t, at + lengthMs - intervalMs / 2);
      const end = t[k];
      if (end === undefined) break;
      if (end <= at + lengthMs + intervalMs / 2) {
        changes.push((value[k] ?? NaN) - (value[i] ?? NaN));
        i = Math.max(i + 1, lowerBound(t, at + lengthMs / STARTS_PER_LENGTH));
      } else i++;
    }
  }
  return { changes: Float64Array.from(changes).sort(), separate };
}

function countUpTo(sorted: Float64Array, x: number): number {
  return lowerBound(sorted, x + 1e-9);
}
