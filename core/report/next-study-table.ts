import type { NextStudy, StudySize } from '../model/next-study.ts';
import type { Column } from './column.ts';
import { headingText, rowsText } from './column.ts';
import { computed } from './numbers.ts';

/** A row of next-study.csv: one size. */
export interface NextStudyRow {
  readonly study: NextStudy;
  readonly size: StudySize;
  readonly asked: 'shown' | 'for the power' | 'for the half width';
}

/** The columns of next-study.csv. */
export const NEXT_STUDY_COLUMNS: readonly Column<NextStudyRow>[] = [
  { name: 'design', meaning: 'paired (both sites on each patient) or parallel (one site per patient)', unit: '', how: 'as asked', cell: ({ study }) => study.options.design },
  { name: 'outcome', meaning: 'what is compared', unit: '', how: '`share lost` of the monitored time, or `dropouts per hour` monitored', cell: ({ study }) => study.options.outcome },
  { name: 'first_site', meaning: 'the one site', unit: '', how: 'as asked', cell: ({ study }) => study.options.firstKey },
  { name: 'second_site', meaning: 'the other site', unit: '', how: 'as asked', cell: ({ study }) => study.options.secondKey },
  { name: 'effect', meaning: 'how they are compared', unit: '', how: '`ratio` second / first of the totals, or `difference` second − first of the patients’ own figures', cell: ({ study }) => study.options.effect },
  { name: 'effect_size', meaning: 'the effect to be found', unit: '1, or 1/h', type: 'number', how: 'as asked', cell: ({ study }) => study.options.effectSize },
  { name: 'n', meaning: 'patients; per group in the parallel design', unit: '', type: 'number', how: 'as asked, or found', cell: ({ size }) => size.n },
  { name: 'asked', meaning: 'why this size is here', unit: '', how: '`shown`, or the least one `for the power` or `for the half width` that was wanted', cell: ({ asked }) => asked },
  { name: 'power', meaning: 'chance to find the effect', unit: '1', type: 'number', how: 'share of simulated studies whose interval leaves out no difference', cell: ({ size }) => computed(size.power.value) },
  { name: 'power_error', meaning: 'Monte Carlo standard error of the power', unit: '1', type: 'number', how: 'binomial', cell: ({ size }) => computed(size.power.error) },
  { name: 'rank_power', meaning: 'the same by ranks', unit: '1', type: 'number', how: 'signed ranks after Pratt, or rank sums; normal law', cell: ({ size }) => computed(size.rankPower.value) },
  { name: 'half_width', meaning: 'expected half width of the interval', unit: '1, or 1/h', type: 'number', how: 'mean over the simulated studies; for a ratio the factor from the estimate to its limit', cell: ({ size }) => computed(size.halfWidth?.value ?? null) },
  { name: 'half_width_error', meaning: 'its Monte Carlo standard error', unit: 'as half_width', type: 'number', how: '', cell: ({ size }) => computed(size.halfWidth?.error ?? null) },
  { name: 'coverage', meaning: 'share of the intervals that held the true effect', unit: '1', type: 'number', how: 'well below the confidence: the interval is too narrow for such data', cell: ({ size }) => computed(size.coverage?.value ?? null) },
  { name: 'without_interval', meaning: 'simulated studies that gave no interval', unit: '', type: 'number', how: 'nothing lost at one site, or all alike; they count as not found', cell: ({ size }) => size.without },
  { name: 'confidence', meaning: 'of the intervals', unit: '1', type: 'number', how: 'as asked', cell: ({ study }) => study.options.conf },
  { name: 'draws', meaning: 'simulated studies per size', unit: '', type: 'number', how: 'as asked', cell: ({ study }) => study.options.draws },
  { name: 'seed', meaning: 'of the stream of each size', unit: '', type: 'number', how: 'MT19937', cell: ({ study }) => study.options.seed },
];

/**
 * Returns next-study.csv: one row per size that was asked about; a least size found stands among them with its own row.
 * Missing nothing could be planned: the headings alone.
 */
export function nextStudyText(study: NextStudy): string {
  const row = (size: StudySize): NextStudyRow => ({ study, size, asked: size.n === study.forPower?.n ? 'for the power' : size.n === study.forHalfWidth?.n ? 'for the half width' : 'shown' });
  return headingText(NEXT_STUDY_COLUMNS) + rowsText(NEXT_STUDY_COLUMNS, study.sizes.map(row));
}
