import type { BlindInterval, Dropout, FourInstants, StatusName } from '../model/analysis.ts';
import type { SensorPlace } from '../model/site.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { computed, recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of dropouts.csv or dropouts-doubtful-lost.csv. */
export type DropoutRow =
  | { readonly kind: 'dropout'; readonly context: CaseContext; readonly place: SensorPlace; readonly episode: Dropout }
  | { readonly kind: 'blind'; readonly context: CaseContext; readonly place: null; readonly episode: BlindInterval };

/** Which result the rows are of: doubtful samples as information, or as lost. */
export type DropoutResult = 'primary' | 'doubtful lost';

/** Yields the rows of dropouts.csv, or of its second result: of each case the dropouts by site, sensor and number, then its blind intervals. */
export function* dropoutRows(contexts: readonly CaseContext[], result: DropoutResult): Generator<DropoutRow> {
  const isPrimary = result === 'primary';
  for (const context of contexts) {
    for (const site of context.sites) {
      for (const episode of [...(isPrimary ? site.dropouts : site.dropoutsDoubtfulLost)].sort((a, b) => a.number - b.number)) yield { kind: 'dropout', context, place: site, episode };
    }
    const { blind, blindDoubtfulLost } = context.analysis;
    for (const episode of [...(isPrimary ? blind : blindDoubtfulLost)].sort((a, b) => a.number - b.number)) yield { kind: 'blind', context, place: null, episode };
  }
}

const dropoutOf = (row: DropoutRow): Dropout | null => (row.kind === 'dropout' ? row.episode : null);

/** Where information came back: the sensor itself unless another is named. */
function restoredPlace({ context, place, episode }: DropoutRow): SensorPlace | null {
  if (episode.restoredBy === 'not restored') return null;
  return context.place(episode.restoredSiteKey) ?? place;
}

const instantColumns = (name: string, pick: (instants: FourInstants) => number | null, meaning: string, how: string): [inSeconds: Column<DropoutRow>, asInstant: Column<DropoutRow>] => [
  { name: `${name}_s`, meaning, unit: 's', type: 'number', how: `${how}; seconds from the first trend row of the case`, cell: ({ episode }) => seconds(pick(episode)) },
  { name: `${name}_at`, meaning: `${meaning}, as an instant`, unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context, episode }) => context.at(pick(episode)) },
];
const [lastGoodS, lastGoodAt] = instantColumns('last_good', (i) => i.lastGoodMs, 'last sample with information before the loss', 'time of the sample');
const [firstLostS, firstLostAt] = instantColumns('first_lost', (i) => i.firstLostMs, 'first lost sample', 'time of the sample; where rows are missing altogether, last good + interval');
const [lastLostS, lastLostAt] = instantColumns('last_lost', (i) => i.lastLostMs, 'last lost sample', 'time of the sample; where rows are missing altogether, first good − interval, never before first lost; empty where information never came back');
const [firstGoodS, firstGoodAt] = instantColumns('first_good', (i) => i.firstGoodMs, 'first sample with information after the loss', 'time of the sample; empty where information never came back');

const LOST_STATUSES: readonly (readonly [status: StatusName, meaning: string])[] = [
  ['absent', 'no row when one was due, an empty cell or a filler'],
  ['implausible', 'outside the plausible limits'],
  ['flagged', 'flagged by the export as artefact or sensor off'],
  ['held', 'the display repeated an old value'],
];

/** The columns of dropouts.csv. */
export const DROPOUT_COLUMNS: readonly Column<DropoutRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'site', meaning: 'where the sensor sat, or `case` for a blind interval: no site gave information', unit: '', how: 'as in cases.csv', cell: ({ place }) => place?.site ?? 'case' },
  { name: 'dropout', meaning: 'number of the dropout', unit: '', type: 'number', how: '1, 2, 3 … in time order within case, site and sensor; blind intervals are counted apart', cell: ({ episode }) => episode.number },
  lastGoodS,
  firstLostS,
  lastLostS,
  firstGoodS,
  lastGoodAt,
  firstLostAt,
  lastLostAt,
  firstGoodAt,
  { name: 'lost_low_s', meaning: 'time lost, low estimate', unit: 's', type: 'number', how: 'last lost − first lost, less information and record gaps inside', cell: ({ episode }) => seconds(episode.lostMs.low) },
  { name: 'lost_mid_s', meaning: 'time lost, mid estimate', unit: 's', type: 'number', how: 'mean of low and high', cell: ({ episode }) => seconds(episode.lostMs.mid) },
  { name: 'lost_high_s', meaning: 'time lost, high estimate', unit: 's', type: 'number', how: 'first good − last good, less information and record gaps inside, plus the device hold', cell: ({ episode }) => seconds(episode.lostMs.high) },
  { name: 'restored_by', meaning: 'how the dropout ended', unit: '', how: '`same site`, `other site` or `not restored`', cell: ({ episode }) => episode.restoredBy },
  { name: 'restored_site', meaning: 'site that gave information again', unit: '', how: 'empty where not restored', cell: (row) => restoredPlace(row)?.site ?? null },
  { name: 'spo2_before', meaning: 'SpO2 before the loss', unit: '%', type: 'number', how: 'value of the last good sample; empty for blind intervals', cell: (row) => recorded(dropoutOf(row)?.spo2Before ?? null) },
  { name: 'spo2_after', meaning: 'SpO2 after the loss', unit: '%', type: 'number', how: 'value of the first good sample; empty where not restored and for blind intervals', cell: (row) => recorded(dropoutOf(row)?.spo2After ?? null) },
  { name: 'pi_before', meaning: 'perfusion index before the loss, of the same sensor', unit: '', type: 'number', how: 'last value at or before the last good sample; empty where none is recorded; not comparable between makes of oximeter', cell: (row) => recorded(dropoutOf(row)?.perfusionBefore ?? null) },
  { name: 'patterns', meaning: 'onset patterns whose rule holds: evidence, not a verdict', unit: '', how: 'several parted by ";"', cell: (row) => dropoutOf(row)?.patterns.join(';') ?? null },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in cases.csv', cell: ({ place }) => place?.sensor ?? null },
  { name: 'restored_sensor', meaning: 'sensor that gave information again', unit: '', how: 'empty where the site has only one sensor', cell: (row) => restoredPlace(row)?.sensor ?? null },
  { name: 'restored_after_s', meaning: 'how long after the first lost sample another site gave information', unit: 's', type: 'number', how: 'empty unless restored there', cell: (row) => seconds(dropoutOf(row)?.restoredAfterMs ?? null) },
  { name: 'censored_at_s', meaning: 'where the count ends when this sensor gave no information any more', unit: 's', type: 'number', how: 'information at another site, or the end of the other channels; seconds from the first trend row; empty where restored here', cell: (row) => seconds(dropoutOf(row)?.censoredAtMs ?? null) },
  { name: 'censored_at', meaning: 'the same as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: (row) => row.context.at(dropoutOf(row)?.censoredAtMs ?? null) },
  { name: 'drop_on_return', meaning: 'how much lower SpO2 came back', unit: '%', type: 'number', how: 'spo2_before − spo2_after where positive, else 0; empty where nothing came after', cell: (row) => recorded(dropoutOf(row)?.dropOnReturn ?? null) },
  { name: 'marked', meaning: 'came back clearly lower', unit: '', type: 'yes or no', how: '`yes` where drop_on_return is at least `returnDropPoints` or spo2_after is below `returnBelowPct`', cell: (row) => dropoutOf(row)?.isMarked ?? null },
  { name: 'bridged_s', meaning: 'information inside the dropout', unit: 's', type: 'number', how: 'pieces shorter than `bridgeS` or of a single sample; taken off the time lost', cell: (row) => seconds(dropoutOf(row)?.bridgedMs ?? null) },
  { name: 'record_gap_low_s', meaning: 'record gap inside the dropout, low estimate', unit: 's', type: 'number', how: 'taken off the time lost unless `keepRecordGaps`', cell: (row) => seconds(dropoutOf(row)?.recordGapMs.low ?? null) },
  { name: 'record_gap_mid_s', meaning: 'record gap inside the dropout, mid estimate', unit: 's', type: 'number', how: 'taken off the time lost unless `keepRecordGaps`', cell: (row) => seconds(dropoutOf(row)?.recordGapMs.mid ?? null) },
  { name: 'record_gap_high_s', meaning: 'record gap inside the dropout, high estimate', unit: 's', type: 'number', how: 'taken off the time lost unless `keepRecordGaps`', cell: (row) => seconds(dropoutOf(row)?.recordGapMs.high ?? null) },
  ...LOST_STATUSES.map(
    ([status, meaning]): Column<DropoutRow> => ({
      name: `samples_${status}`,
      meaning: `lost samples of this status: ${meaning}`,
      unit: '',
      type: 'number',
      how: 'counted from first lost to last lost; empty for blind intervals',
      cell: (row) => (row.kind === 'blind' ? null : (row.episode.lostSamples[status] ?? 0)),
    }),
  ),
  { name: 'pressure_before_from', meaning: 'channel of the pressures before the loss', unit: '', how: 'invasive mean, else cuff mean, else systolic; empty where no pressure was recorded', cell: (row) => dropoutOf(row)?.pressureBefore?.quantity ?? null },
  { name: 'pressure_before_mean', meaning: 'mean of that pressure before the loss', unit: 'mm[Hg]', type: 'number', how: 'over the `pressureBeforeS` before the onset', cell: (row) => computed(dropoutOf(row)?.pressureBefore?.mean ?? null) },
  { name: 'pressure_before_lowest', meaning: 'lowest of that pressure before the loss', unit: 'mm[Hg]', type: 'number', how: 'over the `pressureBeforeS` before the onset', cell: (row) => recorded(dropoutOf(row)?.pressureBefore?.lowest ?? null) },
  { name: 'pressure_before_n', meaning: 'number of pressure values behind the two', unit: '', type: 'number', how: 'over the `pressureBeforeS` before the onset', cell: (row) => dropoutOf(row)?.pressureBefore?.n ?? null },
  { name: 'links_certain', meaning: 'preceding exposures linked as certain', unit: '', type: 'number', how: 'counted from links.csv; association in time, not cause', cell: (row) => dropoutOf(row)?.links.filter((link) => link.certainty === 'certain').length ?? null },
  { name: 'links_possible', meaning: 'preceding exposures linked as possible', unit: '', type: 'number', how: 'counted from links.csv; association in time, not cause', cell: (row) => dropoutOf(row)?.links.filter((link) => link.certainty === 'possible').length ?? null },
  { name: 'responses', meaning: 'what was done during the dropout', unit: '', type: 'number', how: 'counted from the rows of links.csv with certainty `during`', cell: (row) => dropoutOf(row)?.responses.length ?? null },
  { name: 'pi_level_last', meaning: 'perfusion index at the loss', unit: '', type: 'number', how: 'median of the last 10 s of values; behind the patterns fading and abrupt', cell: (row) => computed(dropoutOf(row)?.evidence.perfusion?.last ?? null) },
  { name: 'pi_level_highest', meaning: 'its highest level within `fadeWindowS` before', unit: '%', type: 'number', how: 'medians of 10 s, since the sensor was last moved', cell: (row) => computed(dropoutOf(row)?.evidence.perfusion?.highest ?? null) },
  { name: 'pi_fade_ratio', meaning: 'the one over the other', unit: '1', type: 'number', how: 'pi_level_last / pi_level_highest', cell: (row) => computed(dropoutOf(row)?.evidence.perfusion?.fadeRatio ?? null) },
  { name: 'pi_median_last', meaning: 'median perfusion index of the last `onsetLastS`', unit: '', type: 'number', how: '', cell: (row) => computed(dropoutOf(row)?.evidence.perfusion?.medianOfLastPart ?? null) },
  { name: 'pi_median_before', meaning: 'median perfusion index of the `steadyWindowS` before', unit: '', type: 'number', how: 'since the sensor was last moved', cell: (row) => computed(dropoutOf(row)?.evidence.perfusion?.medianBefore ?? null) },
  { name: 'cuff_measurements', meaning: 'cuff pressures measured beside the loss', unit: '', type: 'number', how: 'within `cuffMarginS`; 0 where the loss is longer than `cuffMaxS`; empty for blind intervals', cell: (row) => (row.kind === 'blind' ? null : (row.episode.evidence.cuff?.atMs.length ?? 0)) },
  { name: 'cuff_alike', meaning: 'dropouts of the sensor that are as short and have a cuff pressure beside them', unit: '', type: 'number', how: 'this one included', cell: (row) => dropoutOf(row)?.evidence.cuff?.alike ?? null },
  { name: 'cuff_regular', meaning: 'whether those are spaced like the cuff', unit: '', type: 'yes or no', how: '`yes` where at least two steps between them, three quarters of them all, are whole numbers of its cycle', cell: (row) => dropoutOf(row)?.evidence.cuff?.isRegular ?? null },
  { name: 'short_losses_before', meaning: 'short losses within `unsteadyWindowS` before', unit: '', type: 'number', how: 'shorter than `minDurationS`', cell: (row) => dropoutOf(row)?.evidence.unsteady.shortLosses ?? null },
  { name: 'doubtful_runs_before', meaning: 'runs of doubtful samples within `unsteadyWindowS` before', unit: '', type: 'number', how: 'weak or disputed', cell: (row) => dropoutOf(row)?.evidence.unsteady.doubtfulRuns ?? null },
  { name: 'temp_core', meaning: 'core temperature at the onset', unit: 'Cel', type: 'number', how: 'last value before, no older than 15 min; empty where there is none', cell: (row) => recorded(dropoutOf(row)?.evidence.temperature?.celsius ?? null) },
  { name: 'matched_intervals', meaning: 'intervals as long as the dropout in which nothing was lost, of the same case and sensor', unit: '', type: 'number', how: 'they may overlap; empty where there is none', cell: (row) => dropoutOf(row)?.returnComparison?.intervals ?? null },
  { name: 'matched_separate', meaning: 'how many of them could lie side by side', unit: '', type: 'number', how: 'what the comparison rests on', cell: (row) => dropoutOf(row)?.returnComparison?.separate ?? null },
  { name: 'matched_median_change', meaning: 'median change of SpO2 over them', unit: '%', type: 'number', how: 'after − before: a fall is negative', cell: (row) => computed(dropoutOf(row)?.returnComparison?.medianPoints ?? null) },
  { name: 'matched_low_change', meaning: '5 % of them changed by this or less', unit: '%', type: 'number', how: 'after − before', cell: (row) => computed(dropoutOf(row)?.returnComparison?.lowPoints ?? null) },
  { name: 'matched_high_change', meaning: '95 % of them changed by this or less', unit: '%', type: 'number', how: 'after − before', cell: (row) => computed(dropoutOf(row)?.returnComparison?.highPoints ?? null) },
  { name: 'matched_share_as_low', meaning: 'share of them whose change was no higher than over this dropout (of a fall: that fell by as much or more)', unit: '1', type: 'number', how: '', cell: (row) => computed(dropoutOf(row)?.returnComparison?.shareAsLow ?? null) },
  { name: 'lowest_not_excluded', meaning: 'SpO2 that cannot be excluded inside the dropout: a bound, not what happened', unit: '%', type: 'number', how: 'from the values before and after and the greatest rates `fallPctPerS` and `risePctPerS`; empty for blind intervals', cell: (row) => computed(dropoutOf(row)?.cannotExclude.pct ?? null) },
  PARAMETER_SET_COLUMN,
];
