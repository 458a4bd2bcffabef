import type { QueuedDropout, QueueOrder, ReviewBasis } from '../model/review.ts';
import { mersenneTwister } from '../stats/mersenne-twister.ts';

/** A case with the dropouts on which the reader has a verdict. */
export interface QueuedCase {
  readonly basis: ReviewBasis;
  readonly read: ReadonlySet<string>;
}

/**
 * Returns the dropouts of cases in the order in which they are to be read, those that were read among them.
 * Shape   `worst first`: longest lost mid first; `case by case`: the cases as given, each in the order of time; `random sample`: drawn
 *         without replacement and in the order of the draw, so that a smaller sample is the beginning of a larger one; the draw depends on
 *         the seed and on what is drawn from, not on the order of the cases.
 * Source  Fisher & Yates as in `core/stats/mersenne-twister.ts`; docs/methods/review.md.
 */
export function reviewQueue(cases: readonly QueuedCase[], order: QueueOrder): QueuedDropout[] {
  const perCase = cases.map(({ basis, read }) => queuedOf(basis, read).sort((a, b) => a.firstLostMs - b.firstLostMs || compare(a.siteKey, b.siteKey)));
  const all = perCase.flat();
  switch (order.kind) {
    case 'case by case':
      return all;
    case 'worst first':
      return all.sort((a, b) => b.lostMs.mid - a.lostMs.mid || b.lostMs.high - a.lostMs.high || inFixedOrder(a, b));
    case 'random sample': {
      const from = all.sort(inFixedOrder);
      const drawn = Uint32Array.from(from.keys());
      mersenneTwister(order.seed).shuffle(drawn);
      return [...drawn.subarray(0, order.size)].flatMap((i) => from[i] ?? []);
    }
  }
}

function queuedOf({ caseKey, caseId, sites }: ReviewBasis, read: ReadonlySet<string>): QueuedDropout[] {
  return sites.flatMap(({ dropouts }) => dropouts.map(({ dropoutId, siteKey, firstLostMs, lostMs }) => ({ caseKey, caseId, dropoutId, siteKey, firstLostMs, lostMs, isRead: read.has(dropoutId) })));
}

/** By the case's own name first: the key is this library's, and another library with the same cases draws the same. */
function inFixedOrder(a: QueuedDropout, b: QueuedDropout): number {
  return compare(a.caseId, b.caseId) || compare(a.caseKey, b.caseKey) || a.firstLostMs - b.firstLostMs || compare(a.siteKey, b.siteKey);
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
