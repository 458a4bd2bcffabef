/** Above this a number has fewer than nine exact decimals, and rounding to them would only add noise. */
const EXACT_DECIMALS = 1e6;

/** Returns a value rounded to 9 decimals, so that sums such as 0.1 + 0.2 tie with what they stand for. Source: statistics 0. */
export function toTie(value: number): number {
  // + 0 turns a negative nought into 0.
  return Math.abs(value) < EXACT_DECIMALS ? Math.round(value * 1e9) / 1e9 + 0 : value;
}

/** Ranks from 1, equal values sharing the mean of theirs. */
export interface Midranks {
  /** Twice the rank of each value, a whole number, in the order of the values. */
  readonly doubled: Float64Array;
  /** Sum over groups of equal values of t³ − t. */
  readonly tieSum: number;
}

/** Returns the midranks of values that are finite and rounded with `toTie`. */
export function midranks(values: readonly number[]): Midranks {
  const order = values.map((_, i) => i).sort((a, b) => (values[a] ?? NaN) - (values[b] ?? NaN));
  const doubled = new Float64Array(values.length);
  let tieSum = 0;
  for (let from = 0; from < order.length; ) {
    let to = from;
    while (to < order.length && values[order[to] ?? -1] === values[order[from] ?? -1]) to++;
    // Ranks from + 1 … to: twice their mean is their first and last together.
    for (let i = from; i < to; i++) doubled[order[i] ?? 0] = from + 1 + to;
    const t = to - from;
    tieSum += t ** 3 - t;
    from = to;
  }
  return { doubled, tieSum };
}

/** Returns the greatest common divisor of whole numbers, 1 for none. */
export function commonDivisor(values: ArrayLike<number>): number {
  let divisor = 0;
  for (let i = 0; i < values.length && divisor !== 1; i++) {
    let a = values[i] ?? 0;
    while (a !== 0) [divisor, a] = [a, divisor % a];
  }
  return divisor === 0 ? 1 : divisor;
}
