import type { FourInstants } from '../../core/model/analysis.ts';
import type { BlindReading, ReadCase, ReadDropout } from '../../core/model/review-agreement.ts';
import type { Verdict } from '../../core/model/review.ts';

/** Returns a dropout from 100 to 160 s, 2 s between rows, with what readers said of it blinded. */
export function readDropout(said: Readonly<Record<string, Verdict | Omit<BlindReading, 'by'>>>, over: Partial<ReadDropout> = {}): ReadDropout {
  return {
    dropoutId: 'finger@100000',
    siteKey: 'finger',
    lastGoodMs: 98_000,
    firstLostMs: 100_000,
    lastLostMs: 160_000,
    firstGoodMs: 162_000,
    blind: Object.entries(said).map(([by, own]) => (typeof own === 'string' ? { by, verdict: own, correctedBounds: null } : { by, ...own })),
    unblinded: [],
    ...over,
  };
}

/** Returns a case with these dropouts. */
export function readCase(caseId: string, dropouts: readonly ReadDropout[], without = 0): ReadCase {
  return { caseKey: caseId, caseId, dropouts, without };
}

/** Returns the bounds of such a dropout with onset and end moved by so many seconds. */
export function movedBounds(onsetS: number, endS: number): FourInstants {
  return { lastGoodMs: 98_000 + onsetS * 1000, firstLostMs: 100_000 + onsetS * 1000, lastLostMs: 160_000 + endS * 1000, firstGoodMs: 162_000 + endS * 1000 };
}
