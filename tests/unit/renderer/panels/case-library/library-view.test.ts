import { describe, expect, it } from 'vitest';
import type { ReviewState } from '../../../../../core/model/review.ts';
import { filterCases, LIBRARY_SORTS, NO_FILTER, sitesOf, sortCases, sumCases, type LibraryFilter } from '../../../../../renderer/panels/case-library/library-view.ts';
import { buildCaseSummary } from '../../../../builders/case-summary.ts';

const ten = buildCaseSummary({ caseId: 'case 10', date: '2031-05-01', sites: ['toe'], lostMidMs: 120_000, lostLowMs: 110_000, lostHighMs: 130_000, longestMidMs: 60_000, dropouts: 2, shareMid: 0.2, intervalMs: 1000, sourceNames: ['night.csv'] });
const two = buildCaseSummary({ caseId: 'case 2', date: null, sites: ['finger', 'ear lobe'], lostMidMs: 0, lostLowMs: 0, lostHighMs: 0, longestMidMs: 0, dropouts: 0, shareMid: 0, blindMidMs: 0 });
const three = buildCaseSummary({ caseId: 'case 3', date: '2031-04-01', shareMid: null });
const damaged = buildCaseSummary({ caseId: 'case 4', problem: 'it is cut short.', sites: [], date: null, lostMidMs: 0 });
const all = [ten, two, three, damaged];
const stateOf = (caseKey: string, over: Partial<ReviewState>): ReviewState => ({ caseKey, dropouts: 4, confirmed: 0, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: 4, without: 0, flags: [], readers: 0, ...over });
const reviews = new Map([
  stateOf('case 10', { notReviewed: 1, confirmed: 2, disputed: 1, flags: ['clock doubtful'] }), stateOf('case 2', { dropouts: 0, notReviewed: 0 }), stateOf('case 3', {}),
].map((state) => [state.caseKey, state]));
const names = (cases: readonly { readonly caseId: string }[]): string[] => cases.map((summary) => summary.caseId);
const filtered = (part: Partial<LibraryFilter>): string[] => names(filterCases(all, { ...NO_FILTER, ...part }, reviews));

describe('filterCases', () => {
  it('lets everything pass without a condition', () => {
    expect(filtered({})).toEqual(names(all));
  });
  it('searches every word in name, sites and files', () => {
    expect([filtered({ text: 'CASE 10' }), filtered({ text: 'ear case' }), filtered({ text: 'night' }), filtered({ text: 'nothing' })]).toEqual([['case 10'], ['case 2'], ['case 10'], []]);
  });
  it('filters by site, least time lost, longest dropout and date, both ends included', () => {
    expect(filtered({ site: 'toe' })).toEqual(['case 10', 'case 4']);
    expect(filtered({ minLostMs: 30_000 })).toEqual(['case 10', 'case 3', 'case 4']);
    expect(filtered({ minLongestMs: 60_000 })).toContain('case 10');
    expect(filtered({ minLongestMs: 60_001 })).not.toContain('case 10');
    expect(filtered({ fromDate: '2031-04-01', toDate: '2031-04-01' })).toEqual(['case 3', 'case 4']);
  });
  it('leaves a case without a date out as soon as a date is asked for', () => {
    expect(filtered({ fromDate: '1900-01-01' })).not.toContain('case 2');
  });
  it('filters by the state of review; a case without a dropout is neither read nor unread', () => {
    const of = (review: LibraryFilter['review']): string[] => filtered({ review }).filter((name) => name !== 'case 4');
    expect([of('not begun'), of('begun, not all read'), of('all read'), of('disputed'), of('verdict without a dropout'), of('flagged'), of('clock doubtful'), of('site doubtful')])
      .toEqual([['case 3'], ['case 10'], [], ['case 10'], [], ['case 10'], ['case 10'], []]);
  });
  it('never hides a damaged case behind numbers that it does not have', () => {
    expect(filtered({ minLostMs: 1e9 })).toEqual(['case 4']);
  });
});

describe('sortCases', () => {
  it('sorts names as people count', () => {
    expect(names(sortCases(all, 'name', 'ascending', reviews))).toEqual(['case 2', 'case 3', 'case 4', 'case 10']);
  });
  it('sorts by time lost either way, the damaged last in both', () => {
    expect(names(sortCases(all, 'lost', 'descending', reviews))).toEqual(['case 10', 'case 3', 'case 2', 'case 4']);
    expect(names(sortCases(all, 'lost', 'ascending', reviews))).toEqual(['case 2', 'case 3', 'case 10', 'case 4']);
  });
  it('sorts by what nobody has read, cases of unknown state last', () => {
    expect(names(sortCases(all, 'review', 'descending', reviews))).toEqual(['case 3', 'case 10', 'case 2', 'case 4']);
  });
  it('puts unknown dates and shares last', () => {
    expect(names(sortCases(all, 'date', 'ascending', reviews))).toEqual(['case 3', 'case 10', 'case 2', 'case 4']);
    expect(names(sortCases(all, 'share', 'descending', reviews))).toEqual(['case 10', 'case 2', 'case 3', 'case 4']);
  });
  it.each(LIBRARY_SORTS)('keeps every case when sorting by %s, and leaves the input alone', (by) => {
    const before = names(all);
    expect(names(sortCases(all, by, 'descending', reviews)).sort()).toEqual([...before].sort());
    expect(names(all)).toEqual(before);
  });
});

describe('sumCases', () => {
  it('adds up what can be added, and only counts the damaged', () => {
    expect(sumCases(all)).toEqual({
      cases: 4, damaged: 1, withDropout: 2, dropouts: 3, lostMs: { low: 130_000, mid: 150_000, high: 170_000 }, monitoredMs: 3 * 3_600_000, blindMidMs: 60_000, doubtfulLost: { dropouts: 3, lostMidMs: 150_000 }, intervalsMs: [1000, 10_000],
    });
  });
  it('lists the sites that occur', () => {
    expect(sitesOf(all)).toEqual(['ear lobe', 'finger', 'toe']);
  });
});
