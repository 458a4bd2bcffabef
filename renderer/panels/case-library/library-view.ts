import type { Range3 } from '../../../core/base/interval.ts';
import { CASE_FLAGS, type ReviewState } from '../../../core/model/review.ts';
import type { CaseSummary } from '../../../core/protocol/host-api.ts';

export const LIBRARY_SORTS = ['name', 'date', 'site', 'dropouts', 'lost', 'longest', 'share', 'blind', 'interval', 'review'] as const;
export type LibrarySort = (typeof LIBRARY_SORTS)[number];

/** What the filter may ask of the review of a case. */
export const REVIEW_FILTERS = ['not begun', 'begun, not all read', 'all read', 'disputed', 'verdict without a dropout', 'flagged', ...CASE_FLAGS] as const;
export type ReviewFilter = (typeof REVIEW_FILTERS)[number];

export interface LibraryFilter {
  /** Every word must occur in the case's name, sites or file names; case does not matter. */
  readonly text: string;
  /** '' for every site. */
  readonly site: string;
  /** Least time lost, mid estimate, ms. */
  readonly minLostMs: number;
  /** Least length of the longest dropout, mid estimate, ms. */
  readonly minLongestMs: number;
  /** ISO dates, inclusive; '' for open. A case without a date is left out as soon as either is set. */
  readonly fromDate: string;
  readonly toDate: string;
  /** '' for every state of review. */
  readonly review: ReviewFilter | '';
}

export const NO_FILTER: LibraryFilter = { text: '', site: '', minLostMs: 0, minLongestMs: 0, fromDate: '', toDate: '', review: '' };

/** Returns the cases that pass; damaged ones pass unless a text asks for another name, so that they are not overlooked. */
export function filterCases(cases: readonly CaseSummary[], filter: LibraryFilter, reviews: ReadonlyMap<string, ReviewState>): CaseSummary[] {
  const words = filter.text.toLowerCase().split(/\s+/).filter((word) => word !== '');
  return cases.filter((summary) => {
    const haystack = [summary.caseId, ...summary.sites, ...summary.sourceNames].join('\n').toLowerCase();
    if (!words.every((word) => haystack.includes(word))) return false;
    if (summary.problem !== null) return true;
    if (filter.site !== '' && !summary.sites.includes(filter.site)) return false;
    if (summary.lostMidMs < filter.minLostMs || summary.longestMidMs < filter.minLongestMs) return false;
    if (filter.fromDate !== '' && (summary.date === null || summary.date < filter.fromDate)) return false;
    if (filter.toDate !== '' && (summary.date === null || summary.date > filter.toDate)) return false;
    return filter.review === '' || passesReview(reviews.get(summary.caseKey), filter.review);
  });
}

/** Returns whether a case is in the asked state of review; one whose state is not known is in none. */
function passesReview(state: ReviewState | undefined, asked: ReviewFilter): boolean {
  if (state === undefined) return false;
  switch (asked) {
    case 'not begun':
      return state.dropouts > 0 && state.notReviewed === state.dropouts;
    case 'begun, not all read':
      return state.notReviewed > 0 && state.notReviewed < state.dropouts;
    case 'all read':
      return state.dropouts > 0 && state.notReviewed === 0;
    case 'disputed':
      return state.disputed > 0;
    case 'verdict without a dropout':
      return state.without > 0;
    case 'flagged':
      return state.flags.length > 0;
    default:
      return state.flags.includes(asked);
  }
}

type SortValue = number | string | null;

function sortValue(summary: CaseSummary, by: LibrarySort, reviews: ReadonlyMap<string, ReviewState>): SortValue {
  if (summary.problem !== null && by !== 'name') return null;
  switch (by) {
    case 'name':
      return summary.caseId;
    case 'date':
      return summary.date;
    case 'site':
      return summary.sites.length === 0 ? null : summary.sites.join(', ');
    case 'dropouts':
      return summary.dropouts;
    case 'lost':
      return summary.lostMidMs;
    case 'longest':
      return summary.longestMidMs;
    case 'share':
      return summary.shareMid;
    case 'blind':
      return summary.blindMidMs;
    case 'interval':
      return summary.intervalMs;
    case 'review':
      return reviews.get(summary.caseKey)?.notReviewed ?? null;
  }
}

/** Compares names as people count: "case 2" before "case 10". */
const naturally = new Intl.Collator('en-GB', { numeric: true, sensitivity: 'base' });

/** Returns the cases sorted, by review those with most dropouts unread; unknown values stand last in either direction; equal ones by name. Input is not modified. */
export function sortCases(cases: readonly CaseSummary[], by: LibrarySort, direction: 'ascending' | 'descending', reviews: ReadonlyMap<string, ReviewState>): CaseSummary[] {
  const sign = direction === 'ascending' ? 1 : -1;
  return [...cases].sort((a, b) => {
    const left = sortValue(a, by, reviews);
    const right = sortValue(b, by, reviews);
    if (left === null || right === null) {
      if (left !== right) return left === null ? 1 : -1;
    } else {
      const order = typeof left === 'string' && typeof right === 'string' ? naturally.compare(left, right) : left < right ? -1 : left > right ? 1 : 0;
      if (order !== 0) return sign * order;
    }
    return naturally.compare(a.caseId, b.caseId);
  });
}

export interface LibrarySums {
  readonly cases: number;
  readonly damaged: number;
  readonly withDropout: number;
  readonly dropouts: number;
  readonly lostMs: Range3;
  readonly monitoredMs: number;
  readonly blindMidMs: number;
  /** With doubtful samples counted as lost. */
  readonly doubtfulLost: { readonly dropouts: number; readonly lostMidMs: number };
  /** Recording intervals that occur, ascending; counts of dropouts do not compare across them. */
  readonly intervalsMs: readonly number[];
}

/** Returns what the cases add up to; damaged ones are only counted. */
export function sumCases(cases: readonly CaseSummary[]): LibrarySums {
  const sound = cases.filter((summary) => summary.problem === null);
  const sum = (pick: (summary: CaseSummary) => number): number => sound.reduce((total, summary) => total + pick(summary), 0);
  const intervals = sound.flatMap((summary) => (summary.intervalMs === null ? [] : [summary.intervalMs]));
  return {
    cases: cases.length,
    damaged: cases.length - sound.length,
    withDropout: sound.filter((summary) => summary.dropouts > 0).length,
    dropouts: sum((summary) => summary.dropouts),
    lostMs: { low: sum((summary) => summary.lostLowMs), mid: sum((summary) => summary.lostMidMs), high: sum((summary) => summary.lostHighMs) },
    monitoredMs: sum((summary) => summary.monitoredMs),
    blindMidMs: sum((summary) => summary.blindMidMs),
    doubtfulLost: { dropouts: sum((summary) => summary.doubtfulLost.dropouts), lostMidMs: sum((summary) => summary.doubtfulLost.lostMidMs) },
    intervalsMs: [...new Set(intervals)].sort((a, b) => a - b),
  };
}

/** Returns the sites that occur in any case, sorted. */
export function sitesOf(cases: readonly CaseSummary[]): string[] {
  return [...new Set(cases.flatMap((summary) => summary.sites))].sort();
}
