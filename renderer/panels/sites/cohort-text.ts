import type { CohortShare, Spread } from '../../../core/model/site-cohort.ts';
import { countText, shareText } from '../../format/number-text.ts';
import { shareRangeText } from '../../format/site-text.ts';

/** Fewer cases than this, and an interval from drawing cases anew is not to be leaned on. */
export const FEW_CASES = 10;

/** Returns a number per case as median and range: "4.2 (1.0 to 9.8 in 12 cases)"; the number alone for one case. */
export function spreadText(spread: Spread | null, textOf: (value: number) => string): string {
  if (spread === null) return '–';
  if (spread.cases === 1) return `${textOf(spread.median)} (1 case)`;
  return `${textOf(spread.median)} (${textOf(spread.least)} to ${textOf(spread.most)} in ${countText(spread.cases, 'case', 'cases')})`;
}

/** Returns a share over cases with what is and is not known of it, in up to four phrases. */
export function cohortShareTexts(share: CohortShare | null): { readonly share: string; readonly interval: string; readonly drawn: string; readonly spread: string } {
  if (share === null) return { share: 'nothing lost', interval: '–', drawn: '–', spread: '–' };
  const { overCases, drawn, spread } = share;
  const isOne = spread.cases < 2;
  return {
    share: shareRangeText(share.share),
    interval: overCases === null ? (isOne ? 'none from one case' : 'none: cases do not differ') : `${shareText(overCases.lower)} to ${shareText(overCases.upper)}`,
    drawn: drawn === null ? (isOne ? 'none from one case' : 'none: all draws alike') : `${shareText(drawn.lower)} to ${shareText(drawn.upper)}${spread.cases < FEW_CASES ? ', few cases' : ''}`,
    spread: spreadText(spread, shareText),
  };
}
