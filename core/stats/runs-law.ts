import { logGamma } from './distributions.ts';

/** How likely so few, or so many, runs are when the order of the points means nothing. */
export interface RunsTail {
  readonly pFew: number | null;
  readonly pMany: number | null;
  readonly expected: number | null;
}

/**
 * Returns the law of the number of runs of `above` points of one kind and `below` of another in random order: entry r is P(runs = r).
 * Missing no point of either kind: empty. One kind only: one run for certain.
 * Source  Wald & Wolfowitz, Ann Math Stat 1940;11:147; Swed & Eisenhart, Ann Math Stat 1943;14:66.
 */
export function runsLaw(above: number, below: number): readonly number[] {
  if (above + below === 0) return [];
  if (above === 0 || below === 0) return [0, 1];
  const all = logChoose(above + below, above);
  const law: number[] = [0, 0];
  for (let r = 2; r <= 2 * Math.min(above, below) + 1; r++) {
    const k = Math.floor(r / 2);
    law.push(
      r % 2 === 0
        ? 2 * share(above - 1, k - 1, below - 1, k - 1, all)
        : share(above - 1, k, below - 1, k - 1, all) + share(above - 1, k - 1, below - 1, k, all),
    );
  }
  return law;
}

/** Returns the chance of at most, and of at least, that many runs, and the number to expect. Missing no point: null. */
export function runsTail(above: number, below: number, runs: number): RunsTail {
  const law = runsLaw(above, below);
  if (law.length === 0) return { pFew: null, pMany: null, expected: null };
  const sum = (list: readonly number[]): number => Math.min(1, list.reduce((total, p) => total + p, 0));
  return { pFew: sum(law.slice(0, runs + 1)), pMany: sum(law.slice(runs)), expected: (2 * above * below) / (above + below) + 1 };
}

function share(a: number, i: number, b: number, j: number, all: number): number {
  return i > a || j > b ? 0 : Math.exp(logChoose(a, i) + logChoose(b, j) - all);
}

function logChoose(n: number, k: number): number {
  return logGamma(n + 1) - logGamma(k + 1) - logGamma(n - k + 1);
}
