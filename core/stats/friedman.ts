import { chiSquareUpper } from './distributions.ts';
import { midranks, toTie } from './ranks.ts';

/** The Friedman test of three or more sites in the same patients. */
export interface Friedman {
  /** Complete blocks, and sites in each. */
  readonly n: number;
  readonly k: number;
  readonly chiSquare: number | null;
  readonly df: number | null;
  readonly p: number | null;
  readonly reason: 'no complete block' | 'fewer than two sites' | 'all values equal' | null;
}

/**
 * Returns whether sites differ within patients, by ranks within each.
 * Shape   one block per patient with one value per site, in the same order. Corrected for ties; equal up to 1e-9 is tied.
 * Missing a block with a value that is not finite is no complete block and is left out (n says how many are used); none, or
 *         fewer than two sites, or no difference in any block: null, with the reason.
 * Source  Friedman, JASA 1937;32:675; Hollander & Wolfe 7.1.
 */
export function friedman(blocks: readonly (readonly number[])[]): Friedman {
  const k = blocks[0]?.length ?? 0;
  const complete = blocks.filter((block) => block.length === k && block.every(Number.isFinite));
  const n = complete.length;
  const none = { n, k, chiSquare: null, df: null, p: null };
  if (n === 0) return { ...none, reason: 'no complete block' };
  if (k < 2) return { ...none, reason: 'fewer than two sites' };
  const sums = new Float64Array(k);
  let ties = 0;
  for (const block of complete) {
    const { doubled, tieSum } = midranks(block.map(toTie));
    doubled.forEach((rank, site) => {
      sums[site] = (sums[site] ?? 0) + rank / 2;
    });
    ties += tieSum;
  }
  const spread = n * k * (k + 1) - ties / (k - 1);
  if (!(spread > 0)) return { ...none, reason: 'all values equal' };
  let squares = 0;
  for (const sum of sums) squares += (sum - (n * (k + 1)) / 2) ** 2;
  const chiSquare = (12 * squares) / spread;
  return { n, k, chiSquare, df: k - 1, p: chiSquareUpper(chiSquare, k - 1), reason: null };
}
