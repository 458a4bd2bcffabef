import type { Range3 } from '../base/interval.ts';
import type { BurdenFigures, BurdenRow, CaseBurdenRow } from '../model/cohort-burden.ts';
import type { CasesLeftOut, FlowStep } from '../model/cohort-flow.ts';
import type { CohortResults } from '../model/cohort-results.ts';
import type { LossSelection, ReviewCounts } from '../model/confirmed.ts';
import type { CohortColumn } from './cohort-row.ts';
import { drawColumns, intervalColumns, setColumn } from './cohort-row.ts';
import { computed, seconds } from './numbers.ts';

/** A step of the flow with one of its reasons. */
export interface FlowRow {
  readonly step: FlowStep;
  readonly leftOut: CasesLeftOut | null;
}

/** Yields the rows of cohort-flow.csv: each step once, then its reasons. */
export function* flowRows(steps: readonly FlowStep[]): Generator<FlowRow> {
  for (const step of steps) {
    yield { step, leftOut: null };
    for (const leftOut of step.leftOut) yield { step, leftOut };
  }
}

/** The columns of cohort-flow.csv. */
export const FLOW_COLUMNS: readonly CohortColumn<FlowRow>[] = [
  { name: 'step', meaning: 'how far a case came', unit: '', how: '`imported`: named by a file; `readable`: could be put together and analysed; `usable`: has SpO2 and a monitored sensor; `analysed`: chosen too', cell: ({ of }) => of.step.step },
  { name: 'cases', meaning: 'cases that came so far; in a row with a reason, cases that did not', unit: '', type: 'number', how: '', cell: ({ of }) => of.leftOut?.cases.length ?? of.step.cases },
  { name: 'left_out_because', meaning: 'why cases of the step before are not in this one', unit: '', how: 'empty in the row of the step itself', cell: ({ of }) => of.leftOut?.reason ?? '' },
  { name: 'case_ids', meaning: 'which cases were left out', unit: '', how: 'parted by `; `', cell: ({ of }) => of.leftOut?.cases.map(({ caseId }) => caseId).join('; ') ?? '' },
  setColumn(),
];

/** A group of cases at one place, in one of the two results. */
export interface BurdenTableRow {
  readonly row: BurdenRow;
  readonly figures: BurdenFigures;
  readonly doubtfulLost: boolean;
  readonly selection: LossSelection;
}

/** Yields the rows of cohort-burden.csv: of the dropouts that the results are of, then of the others that stand beside them. */
export function* burdenRows({ selection, burden, beside }: Pick<CohortResults, 'selection' | 'burden' | 'beside'>): Generator<BurdenTableRow> {
  for (const one of [{ selection, burden }, ...beside]) {
    for (const row of one.burden.rows) {
      yield { row, figures: row.primary, doubtfulLost: false, selection: one.selection };
      // Reviewers read the dropouts of the first result: of theirs there is no second one.
      if (one.selection === 'computed') yield { row, figures: row.doubtfulLost, doubtfulLost: true, selection: one.selection };
    }
  }
}

/** A case at one place, by the dropouts that count. */
export type CaseBurdenTableRow = CaseBurdenRow & { readonly selection: LossSelection };

/** Yields the rows of cohort-cases.csv in the same order. */
export function* caseBurdenRows({ selection, burden, beside }: Pick<CohortResults, 'selection' | 'burden' | 'beside'>): Generator<CaseBurdenTableRow> {
  for (const one of [{ selection, burden }, ...beside]) for (const row of one.burden.cases) yield { ...row, selection: one.selection };
}

/** Returns the columns of what readers said of the dropouts of a row. */
export function countColumns<Of>(pick: (of: Of) => ReviewCounts | null): CohortColumn<Of>[] {
  const column = (name: string, meaning: string, of: (counts: ReviewCounts) => number): CohortColumn<Of> => ({
    name: `review_${name}`, meaning: `computed dropouts of the row ${meaning}`, unit: '', type: 'number', how: 'only with `--dropouts`; empty for blind intervals, which bear no verdict of their own',
    cell: (row) => {
      const counts = pick(row.of);
      return counts === null ? null : of(counts);
    },
  });
  return [
    column('confirmed', 'that are confirmed', (counts) => counts.confirmed),
    column('refuted', 'that are refuted', (counts) => counts.refuted),
    column('cannot_tell', 'of which it cannot be told', (counts) => counts.cannotTell),
    column('disputed', 'on which readers differ', (counts) => counts.disputed),
    column('not_reviewed', 'of which nobody has said anything', (counts) => counts.notReviewed),
    column('too_short', 'that are confirmed and too short once corrected', (counts) => counts.tooShort),
  ];
}

/** The columns of cohort-burden.csv. */
export const BURDEN_COLUMNS: readonly CohortColumn<BurdenTableRow>[] = [
  { name: 'scope', meaning: 'what the row is of', unit: '', how: '`all` cases, a `group` of them, or a `month`', cell: ({ of }) => of.row.scope },
  { name: 'value', meaning: 'the group, or the month as YYYY-MM', unit: '', how: '`not stated` and `undated` are values of their own; a case with several values counts under each', cell: ({ of }) => valueText(of.row.scope, of.row.value) },
  { name: 'site', meaning: 'the sensor', unit: '', how: '`all sensors`: all of them together; `case`: blind intervals, in which no sensor of the case gave information', cell: ({ of }) => of.row.place },
  { name: 'doubtful_lost', meaning: 'whether weak and disputed samples count as lost', unit: '', type: 'yes or no', how: '`no` is the primary result; the other always stands beside it', cell: ({ of }) => of.doubtfulLost },
  { name: 'cases', meaning: 'cases monitored here', unit: '', type: 'number', how: '', cell: ({ of }) => of.figures.cases },
  { name: 'units', meaning: 'units of the intervals', unit: '', type: 'number', how: 'cases, or patients where a column names them', cell: ({ of }) => of.figures.units },
  { name: 'monitored_s', meaning: 'monitored time', unit: 's', type: 'number', how: 'summed over cases, record gaps taken out', cell: ({ of }) => seconds(of.figures.monitoredMs) },
  { name: 'dropouts', meaning: 'number of dropouts', unit: '', type: 'number', how: '', cell: ({ of }) => of.figures.dropouts },
  ...rangeColumns<BurdenTableRow>('lost', 'time lost', 's', (of) => of.figures.lostMs, seconds),
  ...rangeColumns<BurdenTableRow>('lost_share', 'share of the monitored time that was lost', '1', (of) => of.figures.share, computed),
  ...intervalColumns<BurdenTableRow>('lost_share', 'the mid share over units', '1', (of) => of.figures.shareInterval),
  { name: 'median_share_of_cases', meaning: 'median over the cases of their own shares', unit: '1', type: 'number', how: 'beside the ratio of totals, which weighs long cases more', cell: ({ of }) => computed(of.figures.medianShareOfCases) },
  { name: 'per_hour', meaning: 'dropouts per monitored hour', unit: '/h', type: 'number', how: 'ratio of the totals', cell: ({ of }) => computed(of.figures.perHour) },
  ...intervalColumns<BurdenTableRow>('per_hour', 'the rate over units', '/h', (of) => of.figures.perHourInterval),
  { name: 'dispersion', meaning: 'spread of the counts between units over that of independent dropouts', unit: '1', type: 'number', how: 'Pearson; above 1.5 an exact Poisson interval misleads', cell: ({ of }) => computed(of.figures.dispersion) },
  { name: 'cases_with_dropout', meaning: 'cases with at least one dropout', unit: '', type: 'number', how: '', cell: ({ of }) => of.figures.casesWithDropout },
  { name: 'with_dropout_share', meaning: 'share of the cases with at least one', unit: '1', type: 'number', how: '', cell: ({ of }) => computed(of.figures.withDropout) },
  ...intervalColumns<BurdenTableRow>('with_dropout', 'that share', '1', (of) => of.figures.withDropoutInterval),
  ...rangeColumns<BurdenTableRow>('median_length', 'median length of a dropout', 's', (of) => of.figures.medianMs, seconds),
  { name: 'lower_quartile_length_s', meaning: 'lower quartile of the lengths', unit: 's', type: 'number', how: 'mid estimates, type 7', cell: ({ of }) => seconds(of.figures.lowerQuartileMs?.mid ?? null) },
  { name: 'upper_quartile_length_s', meaning: 'upper quartile of the lengths', unit: 's', type: 'number', how: 'mid estimates, type 7', cell: ({ of }) => seconds(of.figures.upperQuartileMs?.mid ?? null) },
  { name: 'longest_s', meaning: 'longest dropout', unit: 's', type: 'number', how: 'mid estimate', cell: ({ of }) => seconds(of.figures.longestMs?.mid ?? null) },
  { name: 'recording_intervals', meaning: 'recording intervals with the cases that have them', unit: '', how: '`1 s: 12; 60 s: 3`; counts of rows with different intervals must not be compared', cell: ({ of }) => of.row.intervals.map(({ intervalMs, cases }) => `${intervalMs === null ? 'irregular' : `${intervalMs / 1000} s`}: ${cases}`).join('; ') },
  ...intervalColumns<BurdenTableRow>('lost_share_drawn', 'the mid share from units drawn anew', '1', (of) => (of.doubtfulLost ? null : (of.row.drawn?.share ?? null))),
  ...intervalColumns<BurdenTableRow>('per_hour_drawn', 'the rate from units drawn anew', '/h', (of) => (of.doubtfulLost ? null : (of.row.drawn?.perHour ?? null))),
  ...drawColumns<BurdenTableRow>(),
  setColumn(),
];

/** The columns of cohort-cases.csv. */
export const COHORT_CASE_COLUMNS: readonly CohortColumn<CaseBurdenTableRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: '', cell: ({ of }) => of.caseId },
  { name: 'month', meaning: 'month of its first row in its own zone', unit: '', how: 'empty: undated', cell: ({ of }) => of.month },
  { name: 'group', meaning: 'its values of the property that cases are compared by', unit: '', how: 'parted by `; `; empty: not stated, or nothing is compared', cell: ({ of }) => of.values.join('; ') },
  { name: 'site', meaning: 'the sensor', unit: '', how: '`case`: blind intervals', cell: ({ of }) => of.place },
  { name: 'recording_interval_s', meaning: 'recording interval that covers most time', unit: 's', type: 'number', how: 'empty: irregular; for `case` the finest', cell: ({ of }) => seconds(of.intervalMs) },
  { name: 'monitored_s', meaning: 'monitored time', unit: 's', type: 'number', how: 'record gaps taken out', cell: ({ of }) => seconds(of.monitoredMs) },
  { name: 'dropouts', meaning: 'number of dropouts', unit: '', type: 'number', how: '', cell: ({ of }) => of.dropouts },
  ...rangeColumns<CaseBurdenTableRow>('lost', 'time lost', 's', (of) => of.lostMs, seconds),
  ...rangeColumns<CaseBurdenTableRow>('lost_share', 'share of the monitored time that was lost', '1', (of) => of.share, computed),
  { name: 'per_hour', meaning: 'dropouts per monitored hour', unit: '/h', type: 'number', how: '', cell: ({ of }) => computed(of.perHour) },
  { name: 'longest_s', meaning: 'longest dropout', unit: 's', type: 'number', how: 'mid estimate; empty: none', cell: ({ of }) => seconds(of.longestMidMs) },
  { name: 'dropouts_doubtful_lost', meaning: 'dropouts with doubtful samples counted as lost', unit: '', type: 'number', how: '', cell: ({ of }) => second(of, of.dropoutsDoubtfulLost) },
  { name: 'lost_mid_doubtful_lost_s', meaning: 'time lost, mid estimate, with doubtful samples counted as lost', unit: 's', type: 'number', how: '', cell: ({ of }) => seconds(second(of, of.lostMidDoubtfulLostMs)) },
  { name: 'lost_share_mid_doubtful_lost', meaning: 'its share of the monitored time', unit: '1', type: 'number', how: '', cell: ({ of }) => computed(second(of, of.shareMidDoubtfulLost)) },
  setColumn(),
];

/** Of the second result; there is none of dropouts that readers chose. */
function second<T>({ selection }: CaseBurdenTableRow, value: T): T | null {
  return selection === 'computed' ? value : null;
}

function valueText(scope: BurdenRow['scope'], value: string | null): string {
  return value === null ? '' : value !== '' ? value : scope === 'month' ? 'undated' : 'not stated';
}

/** Low, mid and high of a quantity. */
function rangeColumns<Of>(name: string, meaning: string, unit: string, pick: (of: Of) => Range3 | null, written: (value: number | null) => number | null): CohortColumn<Of>[] {
  const suffix = unit === 's' ? '_s' : '';
  return (['low', 'mid', 'high'] as const).map((limit) => ({
    name: `${name}_${limit}${suffix}`,
    meaning: `${meaning}, ${limit} estimate`,
    unit,
    type: 'number',
    how: 'what the recording interval leaves unknown is added up limit by limit',
    cell: ({ of }) => written(pick(of)?.[limit] ?? null),
  }));
}
