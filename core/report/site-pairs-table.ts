import type { Range3 } from '../base/interval.ts';
import type { LagFigure, PairDifferences, PairFigures, SitePair } from '../model/site-comparison.ts';
import { coveredRange } from '../model/site-comparison.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { computed, recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of site-pairs.csv: two sensors of one case. */
export interface PairRow {
  readonly context: CaseContext;
  readonly pair: SitePair;
}

/** Yields the rows of site-pairs.csv. */
export function* pairRows(contexts: readonly CaseContext[]): Generator<PairRow> {
  for (const context of contexts) for (const pair of context.analysis.pairs) yield { context, pair };
}

function differenceColumns(name: string, pick: (pair: SitePair) => PairDifferences | null, about: string): Column<PairRow>[] {
  return [
    { name: `${name}_pairs`, meaning: 'pairs of values', unit: '', type: 'number', how: about, cell: ({ pair }) => pick(pair)?.n ?? 0 },
    { name: `${name}_bias`, meaning: 'mean difference, first − second', unit: '%', type: 'number', how: `points of SpO2; ${about}`, cell: ({ pair }) => computed(pick(pair)?.bias ?? null) },
    { name: `${name}_sd`, meaning: 'standard deviation of the difference', unit: '%', type: 'number', how: `within this case: no limits for other patients; ${about}`, cell: ({ pair }) => computed(pick(pair)?.sd ?? null) },
    { name: `${name}_rms`, meaning: 'root-mean-square difference', unit: '%', type: 'number', how: `neither sensor is a reference; ${about}`, cell: ({ pair }) => computed(pick(pair)?.rms ?? null) },
    { name: `${name}_max_abs`, meaning: 'largest difference', unit: '%', type: 'number', how: about, cell: ({ pair }) => recorded(pick(pair)?.maxAbs ?? null) },
  ];
}

function lagColumns(name: string, pick: (pair: SitePair) => LagFigure | null, about: string): Column<PairRow>[] {
  return [
    { name: `${name}_s`, meaning: `how long the second comes after the first, ${about}`, unit: 's', type: 'number', how: 'by cross-correlation around swings of at least `lagSwingPoints`; negative: before it', cell: ({ pair }) => seconds(pick(pair)?.lagMs ?? null) },
    { name: `${name}_low_s`, meaning: 'lower limit of it', unit: 's', type: 'number', how: 'lags that fit nearly as well, half an interval added', cell: ({ pair }) => seconds(pick(pair)?.lowMs ?? null) },
    { name: `${name}_high_s`, meaning: 'upper limit of it', unit: 's', type: 'number', how: 'lags that fit nearly as well, half an interval added', cell: ({ pair }) => seconds(pick(pair)?.highMs ?? null) },
    { name: `${name}_peak_r`, meaning: 'correlation there', unit: '1', type: 'number', how: '', cell: ({ pair }) => computed(pick(pair)?.peak ?? null) },
    { name: `${name}_swings`, meaning: 'falls and rises that it rests on', unit: '', type: 'number', how: '', cell: ({ pair }) => pick(pair)?.swings ?? null },
  ];
}

const AS_LOST = 'as the column without "doubtful_lost", with weak and disputed samples counted as lost, over the same time';

function coveredAsLost(name: 'first' | 'second', pick: (figures: PairFigures) => Range3 | null): Column<PairRow>[] {
  return (['mid', 'low', 'high'] as const).map((limit) => ({
    name: `doubtful_lost_${name}_covered_share${limit === 'mid' ? '' : `_${limit}`}`, meaning: `${limit === 'mid' ? '' : `${limit} estimate of the `}share of the lost time of the ${name} that the other covered, doubtful samples as lost`, unit: '1', type: 'number', how: AS_LOST,
    cell: ({ pair }) => computed(pick(pair.doubtfulLost)?.[limit] ?? null),
  }));
}

const ofMinutes = 'stable stretches (`stablePoints`, `stableS`), the second moved by its lag, at most one pair a minute';

/** The columns of site-pairs.csv. */
export const PAIR_COLUMNS: readonly Column<PairRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'first_site', meaning: 'the first of the two', unit: '', how: 'as in cases.csv', cell: ({ context, pair }) => context.place(pair.firstKey)?.site ?? null },
  { name: 'first_sensor', meaning: 'its sensor', unit: '', how: 'as in cases.csv', cell: ({ context, pair }) => context.place(pair.firstKey)?.sensor ?? null },
  { name: 'second_site', meaning: 'the second', unit: '', how: 'as in cases.csv', cell: ({ context, pair }) => context.place(pair.secondKey)?.site ?? null },
  { name: 'second_sensor', meaning: 'its sensor', unit: '', how: 'as in cases.csv', cell: ({ context, pair }) => context.place(pair.secondKey)?.sensor ?? null },
  { name: 'shared_s', meaning: 'time in which both were meant to give information', unit: 's', type: 'number', how: 'record gaps and bypass taken out unless the parameters keep them; 0 where one was worn after the other', cell: ({ pair }) => seconds(pair.sharedMs) },
  { name: 'bypass_s', meaning: 'time on bypass while both were worn', unit: 's', type: 'number', how: '', cell: ({ pair }) => seconds(pair.bypassMs) },
  { name: 'both_s', meaning: 'both gave information', unit: 's', type: 'number', how: 'each loss, however short, from the middle of its onset to the middle of its end', cell: ({ pair }) => seconds(pair.bothMs) },
  { name: 'only_first_s', meaning: 'only the first gave information', unit: 's', type: 'number', how: 'as both_s', cell: ({ pair }) => seconds(pair.onlyFirstMs) },
  { name: 'only_second_s', meaning: 'only the second gave information', unit: 's', type: 'number', how: 'as both_s', cell: ({ pair }) => seconds(pair.onlySecondMs) },
  { name: 'neither_s', meaning: 'neither gave information', unit: 's', type: 'number', how: 'as both_s', cell: ({ pair }) => seconds(pair.neitherMs) },
  { name: 'first_covered_share', meaning: 'share of the lost time of the first in which the second gave information', unit: '1', type: 'number', how: 'only_second_s / (only_second_s + neither_s); empty where nothing was lost', cell: ({ pair }) => computed(pair.firstCoveredShare) },
  { name: 'second_covered_share', meaning: 'share of the lost time of the second in which the first gave information', unit: '1', type: 'number', how: 'only_first_s / (only_first_s + neither_s); empty where nothing was lost', cell: ({ pair }) => computed(pair.secondCoveredShare) },
  ...differenceColumns('stable', (pair) => pair.stablePairs, ofMinutes),
  ...differenceColumns('all', (pair) => pair.allPairs, 'every instant with both, as recorded: lag and dependence of neighbouring values are in it'),
  ...lagColumns('lag', (pair) => pair.lag, 'over all swings'),
  ...lagColumns('lag_falls', (pair) => pair.lagAtFalls, 'at falls'),
  ...lagColumns('lag_rises', (pair) => pair.lagAtRises, 'at rises'),
  { name: 'no_lag_reason', meaning: 'why no lag is given', unit: '', how: '', cell: ({ pair }) => pair.noLagReason },
  { name: 'pi_ratio', meaning: 'perfusion index of the first over that of the second', unit: '1', type: 'number', how: 'median over minutes; means nothing between two makes of oximeter', cell: ({ pair }) => computed(pair.perfusionRatio) },
  { name: 'pi_minutes', meaning: 'minutes behind it', unit: '', type: 'number', how: '', cell: ({ pair }) => pair.perfusionMinutes },
  { name: 'cautions', meaning: 'what a reader of the row must know', unit: '', how: 'several parted by ";"', cell: ({ pair }) => pair.cautions.join(';') },
  { name: 'first_covered_share_low', meaning: 'the least that first_covered_share can be', unit: '1', type: 'number', how: 'edges of losses counted against the other site where the samples leave them open', cell: ({ pair }) => computed(coveredRange(pair.firstCoveredShare, pair.firstCovered)?.low ?? null) },
  { name: 'first_covered_share_high', meaning: 'the most that first_covered_share can be', unit: '1', type: 'number', how: 'edges of losses counted for the other site where the samples leave them open', cell: ({ pair }) => computed(coveredRange(pair.firstCoveredShare, pair.firstCovered)?.high ?? null) },
  { name: 'second_covered_share_low', meaning: 'the least that second_covered_share can be', unit: '1', type: 'number', how: 'edges of losses counted against the other site where the samples leave them open', cell: ({ pair }) => computed(coveredRange(pair.secondCoveredShare, pair.secondCovered)?.low ?? null) },
  { name: 'second_covered_share_high', meaning: 'the most that second_covered_share can be', unit: '1', type: 'number', how: 'edges of losses counted for the other site where the samples leave them open', cell: ({ pair }) => computed(coveredRange(pair.secondCoveredShare, pair.secondCovered)?.high ?? null) },
  { name: 'doubtful_lost_both_s', meaning: 'both gave information, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.bothMs) },
  { name: 'doubtful_lost_only_first_s', meaning: 'only the first did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.onlyFirstMs) },
  { name: 'doubtful_lost_only_second_s', meaning: 'only the second did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.onlySecondMs) },
  { name: 'doubtful_lost_neither_s', meaning: 'neither did, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.neitherMs) },
  ...coveredAsLost('first', (figures) => coveredRange(figures.firstCoveredShare, figures.firstCovered)),
  ...coveredAsLost('second', (figures) => coveredRange(figures.secondCoveredShare, figures.secondCovered)),
  { name: 'doubtful_lost_stable_pairs', meaning: 'stable pairs of values, doubtful samples as lost', unit: '', type: 'number', how: AS_LOST, cell: ({ pair }) => pair.doubtfulLost.stablePairs?.n ?? 0 },
  { name: 'doubtful_lost_stable_bias', meaning: 'mean difference of them, first − second', unit: '%', type: 'number', how: AS_LOST, cell: ({ pair }) => computed(pair.doubtfulLost.stablePairs?.bias ?? null) },
  { name: 'doubtful_lost_stable_sd', meaning: 'standard deviation of the difference', unit: '%', type: 'number', how: AS_LOST, cell: ({ pair }) => computed(pair.doubtfulLost.stablePairs?.sd ?? null) },
  { name: 'doubtful_lost_stable_rms', meaning: 'root-mean-square difference', unit: '%', type: 'number', how: AS_LOST, cell: ({ pair }) => computed(pair.doubtfulLost.stablePairs?.rms ?? null) },
  { name: 'doubtful_lost_lag_s', meaning: 'how long the second comes after the first, doubtful samples as lost', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.lag?.lagMs ?? null) },
  { name: 'doubtful_lost_lag_low_s', meaning: 'lower limit of it', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.lag?.lowMs ?? null) },
  { name: 'doubtful_lost_lag_high_s', meaning: 'upper limit of it', unit: 's', type: 'number', how: AS_LOST, cell: ({ pair }) => seconds(pair.doubtfulLost.lag?.highMs ?? null) },
  PARAMETER_SET_COLUMN,
];
