import { ALL_SENSORS, WHOLE_CASE, type BurdenFigures, type BurdenRow, type CaseBurdenRow } from '../../../core/model/cohort-burden.ts';
import type { CaseFacet } from '../../../core/model/cohort-options.ts';
import { numberCell, textCell, type ChartColumn, type ChartRow, type ChartTable, type SeriesLook } from '../../charts/chart-types.ts';
import type { IntervalRow } from '../../charts/interval-chart.ts';
import type { QualityPoint } from '../../charts/quality-chart.ts';
import { countText, numberText, plainNumberText, shareText } from '../../format/number-text.ts';
import { durationText, intervalText } from '../../format/time-text.ts';
import { facetValueText, figureText, monthText, placeText, rateText } from './cohort-words.ts';
import type { PointCase } from './point-cases.tsx';

/** What of the burden is drawn. */
export const BURDEN_MEASURES = ['share', 'per hour', 'with dropout'] as const;
export type BurdenMeasure = (typeof BURDEN_MEASURES)[number];

export const MEASURE_NAMES: Readonly<Record<BurdenMeasure, string>> = {
  'share': 'Share of monitored time lost',
  'per hour': 'Dropouts per monitored hour',
  'with dropout': 'Share of cases with a dropout',
};

/** Returns estimate and interval of a measure. */
export function measureOf(figures: BurdenFigures, measure: BurdenMeasure): { readonly estimate: number | null; readonly lower: number | null; readonly upper: number | null; readonly reason: string | null } {
  switch (measure) {
    case 'share':
      return { estimate: figures.share?.mid ?? null, ...figures.shareInterval };
    case 'per hour':
      return { estimate: figures.perHour, ...figures.perHourInterval };
    case 'with dropout':
      return { estimate: figures.withDropout, ...figures.withDropoutInterval };
  }
}

export function measureText(measure: BurdenMeasure): (value: number) => string {
  return measure === 'per hour' ? rateText : shareText;
}

/** Returns how an axis names a value of a measure. */
export function measureTick(measure: BurdenMeasure): (value: number) => string {
  return measure === 'per hour' ? (value) => `${plainNumberText(value, 2)}/h` : (value) => `${plainNumberText(value * 100, 2)} %`;
}

/** Names a row of the burden among all of them. */
export function burdenKey(row: Pick<BurdenRow, 'scope' | 'value' | 'place'>): string {
  return `${row.scope}\n${row.value ?? ''}\n${row.place}`;
}

/** Returns the rows as a picture has them. */
export function intervalRows(rows: readonly BurdenRow[], measure: BurdenMeasure, label: (row: BurdenRow) => string, looks: ReadonlyMap<string, SeriesLook>): IntervalRow[] {
  return rows.map((row) => {
    const of = measureOf(row.primary, measure);
    const figure = figureText(of.estimate, of, measureText(measure));
    return {
      key: burdenKey(row), label: label(row), estimate: of.estimate, lower: of.lower, upper: of.upper,
      figure: of.estimate === null ? figure : `${figure}, ${countText(row.primary.cases, 'case', 'cases')}`, look: looks.get(row.place),
    };
  });
}

const COLUMNS: readonly ChartColumn[] = [
  { header: 'Place', name: 'place' },
  { header: 'Cases', name: 'cases', align: 'right' },
  { header: 'Monitored', name: 'monitored_s', align: 'right' },
  { header: 'Dropouts', name: 'dropouts', align: 'right' },
  { header: 'Lost, mid', name: 'lost_mid_s', align: 'right' },
  { header: 'low', name: 'lost_low_s', align: 'right' },
  { header: 'high', name: 'lost_high_s', align: 'right' },
  { header: 'Share', name: 'share', align: 'right' },
  { header: 'from', name: 'share_from', align: 'right' },
  { header: 'to', name: 'share_to', align: 'right' },
  { header: 'Per hour', name: 'per_hour', align: 'right' },
  { header: 'from', name: 'per_hour_from', align: 'right' },
  { header: 'to', name: 'per_hour_to', align: 'right' },
  { header: 'Cases with a dropout', name: 'cases_with_dropout', align: 'right' },
  { header: 'Share of cases', name: 'share_with_dropout', align: 'right' },
  { header: 'from', name: 'share_with_dropout_from', align: 'right' },
  { header: 'to', name: 'share_with_dropout_to', align: 'right' },
  { header: 'Median length', name: 'median_length_s', align: 'right' },
  { header: 'Longest', name: 'longest_s', align: 'right' },
  { header: 'Interval of the share', name: 'share_interval' },
  { header: 'Doubtful as lost: dropouts', name: 'doubtful_lost_dropouts', align: 'right' },
  { header: 'share', name: 'doubtful_lost_share', align: 'right' },
  { header: 'Recorded', name: 'recorded' },
];

const s = (ms: number | null): number | null => (ms === null ? null : ms / 1000);
const durationOf = (value: number): string => durationText(value * 1000);
const count = (value: number): string => numberText(value);

/**
 * Returns all numbers of the rows, both results where there is a second. `first` heads the column that tells the rows apart; their place has
 * a column of its own, in the file alone where it is what tells them apart.
 */
export function burdenTable(rows: readonly BurdenRow[], first: string, label: (row: BurdenRow) => string, hasSecond: boolean): ChartTable {
  const isByPlace = rows.every((row) => row.scope === 'all');
  return {
    columns: [{ header: first, name: 'group' }, ...COLUMNS.filter(({ name }) => hasSecond || !name.startsWith('doubtful_lost')).map((column) => (isByPlace && column.name === 'place' ? { ...column, isOnlyInFile: true } : column))],
    rows: rows.map((row): ChartRow => {
      const { primary, doubtfulLost } = row;
      const recorded = row.intervals.map(({ intervalMs, cases }) => `${intervalText(intervalMs)} (${cases})`).join(', ');
      return {
        pointKey: burdenKey(row),
        cells: [
          textCell(label(row)), textCell(placeText(row.place)), numberCell(primary.cases, count), numberCell(s(primary.monitoredMs), durationOf), numberCell(primary.dropouts, count),
          numberCell(s(primary.lostMs.mid), durationOf), numberCell(s(primary.lostMs.low), durationOf), numberCell(s(primary.lostMs.high), durationOf),
          numberCell(primary.share?.mid ?? null, shareText), numberCell(primary.shareInterval.lower, shareText), numberCell(primary.shareInterval.upper, shareText),
          numberCell(primary.perHour, rateText), numberCell(primary.perHourInterval.lower, rateText), numberCell(primary.perHourInterval.upper, rateText),
          numberCell(primary.casesWithDropout, count), numberCell(primary.withDropout, shareText), numberCell(primary.withDropoutInterval.lower, shareText), numberCell(primary.withDropoutInterval.upper, shareText),
          numberCell(s(primary.medianMs?.mid ?? null), durationOf), numberCell(s(primary.longestMs?.mid ?? null), durationOf),
          textCell(primary.shareInterval.method ?? `none: ${primary.shareInterval.reason ?? 'not defined'}`), ...(hasSecond ? [numberCell(doubtfulLost.dropouts, count), numberCell(doubtfulLost.share?.mid ?? null, shareText)] : []), textCell(recorded),
        ],
      };
    }),
  };
}

/** Returns the cases behind a row, those with the most lost first. */
export function casesBehind(row: Pick<BurdenRow, 'scope' | 'value' | 'place'>, cases: readonly CaseBurdenRow[]): PointCase[] {
  const here = cases.filter((one) => {
    if (row.place === ALL_SENSORS ? one.place === WHOLE_CASE : one.place !== row.place) return false;
    if (row.scope === 'month') return one.month === row.value;
    return row.scope === 'all' || one.values.includes(row.value ?? '');
  });
  return [...here]
    .sort((a, b) => b.lostMs.mid - a.lostMs.mid)
    .map((one) => ({
      caseKey: one.caseKey,
      caseId: one.caseId,
      figure: `${row.place === ALL_SENSORS ? `${placeText(one.place)}: ` : ''}${caseFigure(one)}`,
    }));
}

function caseFigure(one: CaseBurdenRow): string {
  const { mid } = one.lostMs;
  if (one.place === WHOLE_CASE) return one.dropouts === 0 ? 'no time without information that counts' : `${countText(one.dropouts, 'time', 'times')} without information, ${durationText(mid)}`;
  return one.dropouts === 0 ? 'no dropout' : `${countText(one.dropouts, 'dropout', 'dropouts')}, ${durationText(mid)} lost (${shareText(one.share?.mid ?? null)})`;
}

/** Returns the months as points in order; a month between two without cases has a place and no value. Undated cases are not among them. */
export function monthPoints(rows: readonly BurdenRow[], measure: BurdenMeasure): QualityPoint[] {
  const dated = rows.filter((row) => row.scope === 'month' && row.value !== null && row.value !== '');
  const byMonth = new Map(dated.map((row) => [row.value ?? '', row]));
  const names = [...byMonth.keys()].sort();
  const [first, last] = [names[0], names.at(-1)];
  if (first === undefined || last === undefined) return [];
  return monthsBetween(first, last).map((month) => {
    const row = byMonth.get(month);
    const of = row === undefined ? null : measureOf(row.primary, measure);
    return {
      key: burdenKey(row ?? { scope: 'month', value: month, place: '' }), label: monthText(month), value: of?.estimate ?? null, centre: null, lower: null, upper: null, signal: null, kind: 'counted', isBaseline: false,
      figure: row === undefined || of === null ? 'no case' : `${figureText(of.estimate, of, measureText(measure))}, ${countText(row.primary.cases, 'case', 'cases')}`,
    };
  });
}

/** Most months that are laid out: thirty years. A wrong date in a record must not fill the memory. */
const MOST_MONTHS = 360;

/** Returns the months from `first` to `last`, both "2031-03", those without cases included; where that were too many, only the two. */
export function monthsBetween(first: string, last: string): string[] {
  const at = (month: string): number => Number(month.slice(0, 4)) * 12 + Number(month.slice(5, 7)) - 1;
  const [from, to] = [at(first), at(last)];
  if (to - from >= MOST_MONTHS) return [first, last];
  return Array.from({ length: to - from + 1 }, (_, i) => `${String(Math.floor((from + i) / 12)).padStart(4, '0')}-${String(((from + i) % 12) + 1).padStart(2, '0')}`);
}

/** Returns how a row is called: its place, or its value of the property. */
export function rowLabel(row: BurdenRow, groupBy: CaseFacet | null): string {
  return row.scope === 'all' ? placeText(row.place) : row.scope === 'month' ? monthText(row.value ?? '') : facetValueText(groupBy, row.value);
}
