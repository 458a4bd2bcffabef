/** One fall or rise of a series: indices of the turning points at its ends. */
export interface Swing {
  readonly from: number;
  readonly to: number;
  readonly direction: 'fall' | 'rise';
}

/** A value with the first and the last index at which it stood as the extreme of its time. */
interface Extreme {
  readonly value: number;
  readonly first: number;
  readonly last: number;
}

/**
 * Returns the falls and rises of a series that are at least `leastPoints` high.
 * Shape   in order, falls and rises in turn. A plateau belongs to neither: a swing starts with the last index of the
 *         extreme before it and ends with the first of its own.
 * Missing NaN is passed over.
 */
export function findSwings(values: Float64Array, leastPoints: number): Swing[] {
  const out: Swing[] = [];
  let direction: Swing['direction'] | null = null;
  let low: Extreme = { value: Infinity, first: -1, last: -1 };
  let high: Extreme = { value: -Infinity, first: -1, last: -1 };
  const end = () => {
    if (direction === 'fall') out.push({ from: high.last, to: low.first, direction });
    if (direction === 'rise') out.push({ from: low.last, to: high.first, direction });
  };
  for (let i = 0; i < values.length; i++) {
    const v = values[i] ?? NaN;
    if (Number.isNaN(v)) continue;
    const here: Extreme = { value: v, first: i, last: i };
    if (direction !== 'rise') {
      if (v < low.value) low = here;
      else if (v === low.value) low = { ...low, last: i };
    }
    if (direction !== 'fall') {
      if (v > high.value) high = here;
      else if (v === high.value) high = { ...high, last: i };
    }
    if (direction === null && high.value - low.value >= leastPoints) direction = low.last > high.last ? 'fall' : 'rise';
    else if (direction === 'fall' && v - low.value >= leastPoints) {
      end();
      [direction, high] = ['rise', here];
    } else if (direction === 'rise' && high.value - v >= leastPoints) {
      end();
      [direction, low] = ['fall', here];
    }
  }
  end();
  return out;
}
