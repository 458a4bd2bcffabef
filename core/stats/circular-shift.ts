import { mersenneTwister } from './mersenne-twister.ts';

/** One case on a circle of `length` slots, numbered from 0. */
export interface ShiftCase {
  readonly length: number;
  /** Exposed slots as runs from, up to and without to; ascending and apart. */
  readonly exposed: readonly (readonly [number, number])[];
  /** Slots in which something began. */
  readonly onsets: readonly number[];
}

/** How many onsets lie in exposed slots, and how often at least or at most as many would at any turn of the circles. */
export interface ShiftTest {
  readonly observed: number;
  readonly pGreater: number;
  readonly pLess: number;
  /** Twice the smaller, at most 1. */
  readonly p: number;
}

/** The exact test over every turn of every case. */
export interface CircularShift extends ShiftTest {
  readonly expected: number;
  /** Cases in which a turn can change the count. */
  readonly casesInformative: number;
  /** Chance of `first`, `first` + 1, … onsets in exposed slots. */
  readonly first: number;
  readonly chances: Float64Array;
}

/** A distribution is cut where it is longer than this and its ends are below `NEGLIGIBLE`. */
const LONG = 4096;
const NEGLIGIBLE = 1e-30;
/** p values below are given as this: beyond it the cut ends of the distribution would count. */
const LEAST_P = 1e-24;

/**
 * Returns the test whether onsets lie in exposed slots more or less often than where exposures and onsets of a case had been
 * turned against each other by any number of slots.
 * Shape   every turn 0 … length − 1 of a case is equally likely, the identity included; cases are independent and their counts
 *         add up. The distribution of a case is worked out at the turns where its count changes, not slot by slot: slots may be
 *         as fine as milliseconds. Keeps how onsets cluster among themselves, and exposures among themselves.
 * Missing no exposure, no onset, or a case that is all exposed: its count cannot change. None other: p 1.
 * Source  Lotwick & Silverman, JRSS B 1982;44:406 (toroidal shift).
 */
export function circularShift(cases: readonly ShiftCase[]): CircularShift {
  let observed = 0;
  let expected = 0;
  let casesInformative = 0;
  let first = 0;
  let chances = Float64Array.of(1);
  for (const one of cases) {
    observed += countAt(one, 0);
    const own = turnedCounts(one);
    own.forEach((chance, count) => (expected += chance * count));
    if (own.filter((chance) => chance > 0).length > 1) casesInformative++;
    const cut = cutEnds(convolve(chances, own));
    chances = cut.chances;
    first += cut.from;
  }
  const share = (from: number, to: number): number => {
    const sum = chances.subarray(Math.max(0, from - first), Math.max(0, to - first)).reduce((total, chance) => total + chance, 0);
    return Math.min(1, Math.max(LEAST_P, sum));
  };
  return { ...test(observed, share(observed, Infinity), share(0, observed + 1)), expected, casesInformative, first, chances };
}

/**
 * Returns the same test from turns that are drawn: one per case and draw, cases in their order.
 * Shape   p = (draws at least as far + 1)/(draws + 1).
 * Source  Phipson & Smyth, Stat Appl Genet Mol Biol 2010;9:39.
 */
export function drawnShift(cases: readonly ShiftCase[], draws: number, seed: number): ShiftTest {
  const { index } = mersenneTwister(seed);
  const observed = cases.reduce((sum, one) => sum + countAt(one, 0), 0);
  let atLeast = 0;
  let atMost = 0;
  for (let draw = 0; draw < draws; draw++) {
    let count = 0;
    for (const one of cases) count += countAt(one, index(one.length));
    if (count >= observed) atLeast++;
    if (count <= observed) atMost++;
  }
  return test(observed, (atLeast + 1) / (draws + 1), (atMost + 1) / (draws + 1));
}

function test(observed: number, pGreater: number, pLess: number): ShiftTest {
  return { observed, pGreater, pLess, p: Math.min(1, 2 * Math.min(pGreater, pLess)) };
}

/** Onsets in exposed slots after the exposures were turned by `turn`. */
function countAt({ length, exposed, onsets }: ShiftCase, turn: number): number {
  let count = 0;
  for (const onset of onsets) {
    const slot = (((onset - turn) % length) + length) % length;
    if (exposed.some(([from, to]) => slot >= from && slot < to)) count++;
  }
  return count;
}

/** The share of turns with 0, 1, 2 … onsets in exposed slots, up to the largest count that occurs. */
function turnedCounts({ length, exposed, onsets }: ShiftCase): Float64Array {
  // A run [s, e) holds the onset o at the turns o − e + 1 … o − s: an arc of the circle.
  const arcs = exposed.length * onsets.length;
  const starts = new Float64Array(arcs);
  const ends = new Float64Array(arcs);
  let level = 0;
  let at = 0;
  for (const [from, to] of exposed) {
    for (const onset of onsets) {
      const start = (((onset - to + 1) % length) + length) % length;
      const end = start + to - from;
      starts[at] = start;
      // An arc over the seam is open at turn 0 and ends on the second round.
      if (end > length) level++;
      ends[at] = end > length ? end - length : end;
      at++;
    }
  }
  starts.sort();
  ends.sort();
  const counts = new Float64Array(onsets.length + 1);
  let turn = 0;
  let i = 0;
  let j = 0;
  while (turn < length) {
    while (i < arcs && starts[i] === turn) [level, i] = [level + 1, i + 1];
    while (j < arcs && ends[j] === turn) [level, j] = [level - 1, j + 1];
    const next = Math.min(length, i < arcs ? (starts[i] ?? length) : length, j < arcs ? (ends[j] ?? length) : length);
    counts[level] = (counts[level] ?? 0) + (next - turn) / length;
    turn = next;
  }
  let most = counts.length;
  while (most > 1 && counts[most - 1] === 0) most--;
  return counts.subarray(0, most);
}

function convolve(a: Float64Array, b: Float64Array): Float64Array<ArrayBuffer> {
  const out = new Float64Array(a.length + b.length - 1);
  for (let k = 0; k < b.length; k++) {
    const chance = b[k] ?? NaN;
    if (chance === 0) continue;
    for (let i = 0; i < a.length; i++) out[i + k] = (out[i + k] ?? NaN) + chance * (a[i] ?? NaN);
  }
  return out;
}

function cutEnds(chances: Float64Array<ArrayBuffer>): { chances: Float64Array<ArrayBuffer>; from: number } {
  if (chances.length <= LONG) return { chances, from: 0 };
  let from = 0;
  let to = chances.length;
  while (from < to && (chances[from] ?? 0) < NEGLIGIBLE) from++;
  while (to > from && (chances[to - 1] ?? 0) < NEGLIGIBLE) to--;
  return { chances: chances.slice(from, to), from };
}
