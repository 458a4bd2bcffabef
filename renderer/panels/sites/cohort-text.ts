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

/** Returns a share over cases with what is and is not known of it, in up to three phrases. */
export function cohortShareTexts(share: CohortShare | null): { readonly share: string; readonly interval: string; readonly spread: string } {
  if (share === null) return { share: 'nothing lost', interval: '–', spread: '–' };
  const { overCases, spread } = share;
  const interval = overCases === null ? (spread.cases < 2 ? 'none from one case' : 'none: all draws alike') : `${shareText(overCases.lower)} to ${shareText(overCases.upper)}${spread.cases < FEW_CASES ? ', few cases' : ''}`;
  return { share: shareRangeText(share.share), interval, spread: spreadText(spread, shareText) };
}
