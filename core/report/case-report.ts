import type { CaseAnalysis, SiteAnalysis } from '../model/analysis.ts';
import type { SealedEntry } from '../model/review.ts';
import type { SitePair } from '../model/site-comparison.ts';
import type { AnalyzedCase } from './case-context.ts';
import type { CaseContext } from './case-context.ts';
import { contextOf } from './case-context.ts';
import { CASE_COLUMNS, caseRows, type CaseRow } from './cases-table.ts';
import { CHANNEL_COLUMNS, channelRows } from './channels-table.ts';
import { CLOCK_COLUMNS, clockRows } from './clock-offsets-table.ts';
import { rowsText, type Column } from './column.ts';
import { DROPOUT_COLUMNS, dropoutRows, type DropoutRow } from './dropouts-table.ts';
import { EXPOSURE_COLUMNS, exposureRows } from './exposures-table.ts';
import { LINK_COLUMNS, linkRows } from './links-table.ts';
import { LOW_COLUMNS, lowRows } from './low-spo2-table.ts';
import { relativeColumns } from './relative-time.ts';
import { CASE_REVIEW_COLUMNS, DROPOUT_REVIEW_COLUMNS, reviewedContext, type Reviewed } from './review-columns.ts';
import { REVIEW_COLUMNS, reviewRows, unmatchedRows, type ReviewRow } from './reviews-table.ts';
import { ROBUSTNESS_COLUMNS, robustnessRows } from './robustness-table.ts';
import { PAIR_COLUMNS, pairRows } from './site-pairs-table.ts';

/** The tables whose rows each belong to one case. */
export type CaseTable = 'cases.csv' | 'dropouts.csv' | 'dropouts-doubtful-lost.csv' | 'links.csv' | 'exposures.csv' | 'low-spo2.csv' | 'site-pairs.csv' | 'clock-offsets.csv' | 'robustness.csv' | 'reviews.csv' | 'channels.csv';

/** Sums over a run are made from these. */
export interface CaseFigures {
  readonly dropouts: number;
  readonly lostMidMs: number;
  readonly blindIntervals: number;
  readonly blindMidMs: number;
}

/** All that the output says of one case, small beside the case itself: text of its rows, without headings. */
export interface CaseReport {
  readonly caseId: string;
  readonly rows: Readonly<Record<CaseTable, string>>;
  readonly pairs: readonly SitePair[];
  readonly figures: CaseFigures;
}

/** What is wanted of the tables of a run. */
export interface CaseReportWishes {
  readonly withRobustness: boolean;
  /** Whether what each channel is, and where it came from, is written; left out: not. */
  readonly withChannels?: boolean | undefined;
  /** Whether what readers said is written, and their free text with it. */
  readonly reviews: 'none' | 'without notes' | 'with notes';
  /** Whether instants are left out but as seconds from the start of the case. */
  readonly relativeTime: boolean;
}

/** Returns the columns of cases.csv; with reviews those that they add stand last. */
export function casesColumns(withReviews: boolean): readonly Column<Reviewed<CaseRow>>[] {
  return withReviews ? [...CASE_COLUMNS, ...CASE_REVIEW_COLUMNS] : CASE_COLUMNS;
}

/** Returns the columns of dropouts.csv; with reviews those that they add stand last. */
export function dropoutsColumns(withReviews: boolean): readonly Column<Reviewed<DropoutRow>>[] {
  return withReviews ? [...DROPOUT_COLUMNS, ...DROPOUT_REVIEW_COLUMNS] : DROPOUT_COLUMNS;
}

/** Returns the rows of reviews.csv of one case as text, without headings. */
export function reviewRowsText(analyzed: AnalyzedCase, reviews: 'without notes' | 'with notes'): string {
  return rowsText(REVIEW_COLUMNS, rowsOfReviews(contextOf(analyzed), reviews === 'with notes'));
}

/** Returns the rows of entries whose case is not known, as text. */
export function unmatchedText(entries: readonly SealedEntry[], { withNotes, relativeTime }: { readonly withNotes: boolean; readonly relativeTime: boolean }): string {
  return rowsText(relativeTime ? relativeColumns(REVIEW_COLUMNS) : REVIEW_COLUMNS, unmatchedRows(entries, withNotes));
}

function rowsOfReviews(context: CaseContext, withNotes: boolean): Iterable<ReviewRow> {
  const { record, review, entries } = context;
  return review === undefined || review === null ? [] : reviewRows({ caseId: record.caseId, entries: entries ?? [], review, dropoutAt: dropoutAt(context), withNotes });
}

function dropoutAt(context: CaseContext): (dropoutId: string) => ReviewRow['at'] {
  const found = new Map(context.sites.flatMap((site) => site.dropouts.map(({ dropoutId, number }) => [dropoutId, { place: site, dropout: number }])));
  return (dropoutId) => found.get(dropoutId) ?? null;
}

/** Returns what the output says of one case; the rows of `robustness.csv` only where they are wanted, since they take long. */
export function reportCase(analyzed: AnalyzedCase, { withRobustness, withChannels = false, reviews, relativeTime }: CaseReportWishes): CaseReport {
  const text = <Row>(columns: readonly Column<Row>[], rows: Iterable<Row>): string => rowsText(relativeTime ? relativeColumns(columns) : columns, rows);
  const context = contextOf(analyzed);
  const said = reviews === 'none' ? null : reviewedContext(context);
  const withSaid = function* <Row>(rows: Iterable<Row>): Generator<Row & { readonly said: typeof said }> {
    for (const row of rows) yield { ...row, said };
  };
  const { analysis } = analyzed;
  return {
    caseId: analyzed.record.caseId,
    rows: {
      'cases.csv': text(casesColumns(reviews !== 'none'), withSaid(caseRows([context]))),
      'dropouts.csv': text(dropoutsColumns(reviews !== 'none'), withSaid(dropoutRows([context], 'primary'))),
      'dropouts-doubtful-lost.csv': text(DROPOUT_COLUMNS, dropoutRows([context], 'doubtful lost')),
      'links.csv': text(LINK_COLUMNS, linkRows([context])),
      'exposures.csv': text(EXPOSURE_COLUMNS, exposureRows([context])),
      'low-spo2.csv': text(LOW_COLUMNS, lowRows([context])),
      'site-pairs.csv': text(PAIR_COLUMNS, pairRows([context])),
      'clock-offsets.csv': text(CLOCK_COLUMNS, clockRows([context])),
      'robustness.csv': withRobustness ? text(ROBUSTNESS_COLUMNS, robustnessRows([context])) : '',
      'channels.csv': withChannels ? text(CHANNEL_COLUMNS, channelRows([context])) : '',
      'reviews.csv': said === null ? '' : text(REVIEW_COLUMNS, rowsOfReviews(context, reviews === 'with notes')),
    },
    pairs: analysis.pairs,
    figures: caseFigures(analysis),
  };
}

/** Returns what sums over a run are made from. */
export function caseFigures({ sites, blind, blindTotals }: CaseAnalysis): CaseFigures {
  const sum = (pick: (site: SiteAnalysis) => number): number => sites.reduce((total, site) => total + pick(site), 0);
  return {
    dropouts: sum((site) => site.dropouts.length),
    lostMidMs: sum((site) => site.totals.lostMs.mid),
    blindIntervals: blind.length,
    blindMidMs: blindTotals.lostMs.mid,
  };
}
