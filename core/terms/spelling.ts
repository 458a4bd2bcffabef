/**
 * Returns the number of single-letter edits (insert, delete, replace, swap of neighbours) that turn `a` into `b`,
 * or `limit + 1` when it is more than `limit`.
 */
export function editDistance(a: string, b: string, limit: number): number {
  if (Math.abs(a.length - b.length) > limit) return limit + 1;
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    let best = i;
    for (let j = 1; j <= b.length; j += 1) {
      const swap = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      const replace = at(last, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1);
      const cost = Math.min(at(last, j) + 1, at(row, j - 1) + 1, replace, swap ? at(before, j - 2) + 1 : Infinity);
      row.push(cost);
      best = Math.min(best, cost);
    }
    if (best > limit) return limit + 1;
    before = last;
    last = row;
  }
  return Math.min(at(last, b.length), limit + 1);
}

function at(row: readonly number[], index: number): number {
  return row[index] ?? Infinity;
}

/** Returns which of the letters a–z a word holds, as bits: a cheap first test before counting edits. */
export function letterBits(word: string): number {
  let bits = 0;
  for (let i = 0; i < word.length; i += 1) {
    const letter = word.charCodeAt(i) - 97;
    if (letter >= 0 && letter < 26) bits |= 1 << letter;
  }
  return bits;
}

/** Returns how many letters only one of the two words holds. */
export function lettersApart(bitsA: number, bitsB: number): number {
  let rest = bitsA ^ bitsB;
  let count = 0;
  while (rest !== 0) {
    rest &= rest - 1;
    count += 1;
  }
  return count;
}
