import type { FourInstants } from '../model/analysis.ts';
import type { Disagreement, DisagreementState } from '../model/disagreement.ts';
import type { CaseReview, ReviewBasis, StandingVerdict } from '../model/review.ts';
import { VERDICTS } from '../model/review.ts';

/**
 * Returns the dropouts of a case on which readers differ, or differed before they agreed; site by site in time order.
 * Shape   `review` as one reader may see it: what is hidden from that reader is no disagreement to it.
 * Source  docs/methods/reviews-between-libraries.md.
 */
export function disagreementsOf(review: CaseReview, basis: ReviewBasis): Disagreement[] {
  const computed = new Map(basis.sites.flatMap(({ dropouts }) => dropouts.map((one) => [one.dropoutId, one] as const)));
  return review.dropouts.flatMap(({ dropoutId, siteKey, verdicts }): Disagreement[] => {
    const dropout = computed.get(dropoutId);
    const readings = verdicts.filter(({ role, isCounted }) => role === 'reading' && isCounted);
    const agreed = verdicts.filter(({ role, isCounted }) => role === 'consensus' && isCounted);
    const state = stateOf(readings, agreed);
    if (dropout === undefined || state === null) return [];
    const { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, lostMs } = dropout;
    return [{ caseKey: review.caseKey, caseId: review.caseId, dropoutId, siteKey, bounds: { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }, lostMs, state, readings, agreed }];
  });
}

function stateOf(readings: readonly StandingVerdict[], agreed: readonly StandingVerdict[]): DisagreementState | null {
  if (differenceIn(agreed) !== null) return 'two agreements';
  const difference = differenceIn(readings);
  return difference === null ? null : agreed.length > 0 ? 'settled' : difference;
}

function differenceIn(said: readonly StandingVerdict[]): 'disputed' | 'kinds differ' | 'bounds differ' | null {
  const [first, ...others] = said.map(({ judgement }) => judgement);
  if (first === undefined) return null;
  if (others.some(({ verdict }) => VERDICTS[verdict].loss !== VERDICTS[first.verdict].loss)) return 'disputed';
  if (others.some(({ verdict }) => verdict !== first.verdict)) return 'kinds differ';
  if (VERDICTS[first.verdict].loss === true && others.some(({ correctedBounds }) => !sameBounds(correctedBounds, first.correctedBounds))) return 'bounds differ';
  return null;
}

function sameBounds(a: FourInstants | null, b: FourInstants | null): boolean {
  if (a === null || b === null) return a === b;
  return a.lastGoodMs === b.lastGoodMs && a.firstLostMs === b.firstLostMs && a.lastLostMs === b.lastLostMs && a.firstGoodMs === b.firstGoodMs;
}
