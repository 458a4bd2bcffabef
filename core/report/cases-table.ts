import type { BelowThreshold, DropoutTotals, SiteAnalysis } from '../model/analysis.ts';
import type { Channel } from '../model/channel.ts';
import type { LowRunRule } from '../model/hypoxaemia.ts';
import { blindWithinMs } from '../episodes/blind.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { computed, recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of cases.csv: one sensor, or the whole case with its blind intervals (`site` null). */
export interface CaseRow {
  readonly context: CaseContext;
  readonly site: SiteAnalysis | null;
}

/** Yields the rows of cases.csv: of each case its sensors, then the case itself. */
export function* caseRows(contexts: readonly CaseContext[]): Generator<CaseRow> {
  for (const context of contexts) {
    for (const site of context.sites) yield { context, site };
    yield { context, site: null };
  }
}

const totals = ({ context, site }: CaseRow): DropoutTotals => site?.totals ?? context.analysis.blindTotals;
const totalsDoubtfulLost = ({ context, site }: CaseRow): DropoutTotals => site?.totalsDoubtfulLost ?? context.analysis.blindTotalsDoubtfulLost;
const below = ({ site }: CaseRow, thresholdPct: number): BelowThreshold | null => site?.below.find((b) => b.thresholdPct === thresholdPct) ?? null;
const longest = ({ count, longestMidMs }: DropoutTotals): number | null => (count === 0 ? null : seconds(longestMidMs));

const BELOW_HOW = 'along the line between neighbouring samples, clipped where it crosses the threshold, never across a loss; empty in the row of the case';
const DOUBTFUL_LOST = 'the same as the column without "doubtful_lost", with weak and disputed samples counted as lost';

function belowColumns(thresholdPct: number): Column<CaseRow>[] {
  return [
    {
      name: `time_below_${thresholdPct}_s`,
      meaning: `time with SpO2 below ${thresholdPct} %, as observed`,
      unit: 's',
      type: 'number',
      how: BELOW_HOW,
      cell: (row) => seconds(below(row, thresholdPct)?.observedMs ?? null),
    },
    {
      name: `time_below_${thresholdPct}_low_s`,
      meaning: `the least it can have been`,
      unit: 's',
      type: 'number',
      how: 'as observed, the lost time taken as all above the threshold',
      cell: (row) => seconds(below(row, thresholdPct)?.lowMs ?? null),
    },
    {
      name: `time_below_${thresholdPct}_high_s`,
      meaning: `the most it can have been`,
      unit: 's',
      type: 'number',
      how: 'as observed, the lost time taken as all below the threshold',
      cell: (row) => seconds(below(row, thresholdPct)?.highMs ?? null),
    },
  ];
}

function areaColumns(thresholdPct: number): Column<CaseRow>[] {
  return [
    {
      name: `area_below_${thresholdPct}_pct_s`,
      meaning: `area between ${thresholdPct} % and SpO2 below it, as observed`,
      unit: '%.s',
      type: 'number',
      how: BELOW_HOW,
      cell: (row) => computed(below(row, thresholdPct)?.areaPctS ?? null),
    },
    {
      name: `area_below_${thresholdPct}_low_pct_s`,
      meaning: 'the least it can have been',
      unit: '%.s',
      type: 'number',
      how: 'as observed, the lost time taken as all above the threshold',
      cell: (row) => computed(below(row, thresholdPct)?.areaLowPctS ?? null),
    },
    {
      name: `area_below_${thresholdPct}_high_pct_s`,
      meaning: 'the most it can have been',
      unit: '%.s',
      type: 'number',
      how: 'as observed, the lost time taken as all at `hypoxaemiaFloorPct`',
      cell: (row) => computed(below(row, thresholdPct)?.areaHighPctS ?? null),
    },
  ];
}

const lowRunCount = ({ site }: CaseRow, rule: LowRunRule['name']): number | null => site?.hypoxaemia.lowRuns.filter((run) => run.rule === rule).length ?? null;

const HYPOXAEMIA_COLUMNS: readonly Column<CaseRow>[] = [
  ...areaColumns(90),
  ...areaColumns(85),
  ...areaColumns(80),
  { name: 'spo2_observed_s', meaning: 'time with information that the figures of SpO2 rest on', unit: 's', type: 'number', how: 'between neighbouring samples with information', cell: ({ site }) => seconds(site?.hypoxaemia.observedMs ?? null) },
  { name: 'spo2_mean', meaning: 'mean SpO2 weighted by time', unit: '%', type: 'number', how: 'over spo2_observed_s; empty where nothing was observed', cell: ({ site }) => computed(site?.hypoxaemia.meanPct ?? null) },
  { name: 'spo2_lowest', meaning: 'lowest SpO2 seen', unit: '%', type: 'number', how: 'within the monitored span; a loss may hide a lower one (see dropouts.csv)', cell: ({ site }) => recorded(site?.hypoxaemia.lowest?.pct ?? null) },
  { name: 'spo2_lowest_s', meaning: 'when that was, for the first time', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ site }) => seconds(site?.hypoxaemia.lowest?.atMs ?? null) },
  { name: 't90_share', meaning: 'share of the time observed with SpO2 below 90 %', unit: '1', type: 'number', how: 'each sample stands until the next record, at most 1.5 intervals', cell: ({ site }) => computed(site?.hypoxaemia.t90.observed ?? null) },
  { name: 't90_share_low', meaning: 'share of the monitored time, had all that was not observed been above', unit: '1', type: 'number', how: 'of monitored_s; a bound, not an estimate', cell: ({ site }) => computed(site?.hypoxaemia.t90.low ?? null) },
  { name: 't90_share_high', meaning: 'share of the monitored time, had all that was not observed been below', unit: '1', type: 'number', how: 'of monitored_s; a bound, not an estimate', cell: ({ site }) => computed(site?.hypoxaemia.t90.high ?? null) },
  { name: 'desaturations', meaning: 'falls of SpO2 from a running baseline', unit: '', type: 'number', how: 'listed in low-spo2.csv', cell: ({ site }) => site?.hypoxaemia.desaturations.length ?? null },
  { name: 'hypoxaemia_runs', meaning: 'runs of SpO2 below 90 % for 2 min or more', unit: '', type: 'number', how: 'listed in low-spo2.csv; limits of Ehrenfeld 2010', cell: (row) => lowRunCount(row, 'hypoxaemia') },
  { name: 'severe_hypoxaemia_runs', meaning: 'runs of SpO2 of 85 % or below for 2 min or more', unit: '', type: 'number', how: 'listed in low-spo2.csv; limits of Ehrenfeld 2010', cell: (row) => lowRunCount(row, 'severe hypoxaemia') },
];

const perHour = (count: number | undefined, site: SiteAnalysis | null): number | null => (count === undefined || site === null || site.monitoredMs === 0 ? null : (count * 3_600_000) / site.monitoredMs);
const OF_INDEX = 'over the monitored span, each value by the time it stands; not comparable between makes of oximeter; empty where there is no perfusion index';

const SIGNAL_COLUMNS: readonly Column<CaseRow>[] = [
  { name: 'pi_median', meaning: 'median perfusion index', unit: '', type: 'number', how: OF_INDEX, cell: ({ site }) => computed(site?.signal.perfusion?.median ?? null) },
  { name: 'pi_p10', meaning: 'perfusion index that 10 % of the time lie at or below', unit: '', type: 'number', how: OF_INDEX, cell: ({ site }) => computed(site?.signal.perfusion?.low ?? null) },
  { name: 'pi_p90', meaning: 'perfusion index that 90 % of the time lie at or below', unit: '', type: 'number', how: OF_INDEX, cell: ({ site }) => computed(site?.signal.perfusion?.high ?? null) },
  { name: 'pi_seen_s', meaning: 'time behind these', unit: 's', type: 'number', how: OF_INDEX, cell: ({ site }) => seconds(site?.signal.perfusion?.seenMs ?? null) },
  { name: 'pi_share_below_weak', meaning: 'share of it below `weakPerfusionIndex`', unit: '1', type: 'number', how: OF_INDEX, cell: ({ site }) => computed(site?.signal.perfusion?.belowWeakShare ?? null) },
  { name: 'pi_share_below_desirable', meaning: 'share of it below `desirablePerfusionIndex`', unit: '1', type: 'number', how: OF_INDEX, cell: ({ site }) => computed(site?.signal.perfusion?.belowDesirableShare ?? null) },
  { name: 'short_losses', meaning: 'losses too short for a dropout', unit: '', type: 'number', how: 'in no dropout; a coarse interval hides most of them', cell: ({ site }) => site?.signal.shortLosses ?? null },
  { name: 'short_losses_per_h', meaning: 'the same per monitored hour', unit: '/h', type: 'number', how: 'short_losses / monitored_s; empty where nothing was monitored', cell: ({ site }) => computed(perHour(site?.signal.shortLosses, site)) },
  { name: 'doubtful_runs', meaning: 'unbroken runs of weak or disputed samples', unit: '', type: 'number', how: 'within the monitored span', cell: ({ site }) => site?.signal.doubtfulRuns ?? null },
  { name: 'doubtful_runs_per_h', meaning: 'the same per monitored hour', unit: '/h', type: 'number', how: 'doubtful_runs / monitored_s; empty where nothing was monitored', cell: ({ site }) => computed(perHour(site?.signal.doubtfulRuns, site)) },
];

const list = (entries: readonly (readonly [name: string, count: number])[] | undefined): string | null => entries?.map(([name, count]) => `${name} ${count}`).join(';') ?? null;

const RESTORATION_COLUMNS: readonly Column<CaseRow>[] = [
  { name: 'restored_same_site', meaning: 'dropouts that ended at this sensor', unit: '', type: 'number', how: '', cell: ({ site }) => site?.restoration.sameSite ?? null },
  { name: 'restored_other_site', meaning: 'dropouts that ended at another site', unit: '', type: 'number', how: '', cell: ({ site }) => site?.restoration.otherSite ?? null },
  { name: 'not_restored', meaning: 'dropouts that did not end', unit: '', type: 'number', how: '', cell: ({ site }) => site?.restoration.notRestored ?? null },
  { name: 'restored_median_s', meaning: 'median time to information at this sensor', unit: 's', type: 'number', how: 'mid estimates; those that ended elsewhere or never are censored (Kaplan-Meier); empty where the curve does not come down to a half', cell: ({ site }) => seconds(site?.restoration.medianMs ?? null) },
  { name: 'restored_elsewhere_median_s', meaning: 'median time to information at another site', unit: 's', type: 'number', how: 'from first lost, over the dropouts that ended there', cell: ({ site }) => seconds(site?.restoration.medianElsewhereMs ?? null) },
  { name: 'dropouts_answered', meaning: 'dropouts during which something is on record as done', unit: '', type: 'number', how: 'rows of links.csv with certainty `during`; what was not written down is not here', cell: ({ site }) => site?.restoration.dropoutsAnswered ?? null },
  { name: 'to_response_median_s', meaning: 'median time from onset to the first of it', unit: 's', type: 'number', how: 'over dropouts_answered', cell: ({ site }) => seconds(site?.restoration.medianToResponseMs ?? null) },
  { name: 'responses', meaning: 'what was done, with the number of dropouts', unit: '', how: 'several parted by ";", most first', cell: ({ site }) => list(site?.restoration.responses.map((r) => [r.kind, r.dropouts])) },
  { name: 'patterns', meaning: 'onset patterns, with the number of dropouts', unit: '', how: 'several parted by ";", most first; a dropout may count under several; evidence, not a verdict', cell: ({ site }) => list(site?.restoration.patterns.map((p) => [p.pattern, p.dropouts])) },
];

function belowDoubtfulLostColumns(thresholdPct: number): Column<CaseRow>[] {
  const second = ({ site }: CaseRow): BelowThreshold | null => site?.belowDoubtfulLost.find((b) => b.thresholdPct === thresholdPct) ?? null;
  return [
    { name: `doubtful_lost_time_below_${thresholdPct}_s`, meaning: `time with SpO2 below ${thresholdPct} % in good samples alone, as observed`, unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(second(row)?.observedMs ?? null) },
    { name: `doubtful_lost_time_below_${thresholdPct}_low_s`, meaning: 'the least it can have been', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(second(row)?.lowMs ?? null) },
    { name: `doubtful_lost_time_below_${thresholdPct}_high_s`, meaning: 'the most it can have been', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(second(row)?.highMs ?? null) },
  ];
}

const DOUBTFUL_LOST_COLUMNS: readonly Column<CaseRow>[] = [
  ...belowDoubtfulLostColumns(90),
  ...belowDoubtfulLostColumns(85),
  ...belowDoubtfulLostColumns(80),
  { name: 'doubtful_lost_spo2_lowest', meaning: 'lowest SpO2 among good samples', unit: '%', type: 'number', how: DOUBTFUL_LOST, cell: ({ site }) => recorded(site?.hypoxaemiaDoubtfulLost.lowest?.pct ?? null) },
  { name: 'doubtful_lost_t90_share', meaning: 'share of the time observed with SpO2 below 90 %, good samples alone', unit: '1', type: 'number', how: DOUBTFUL_LOST, cell: ({ site }) => computed(site?.hypoxaemiaDoubtfulLost.t90.observed ?? null) },
  { name: 'doubtful_lost_desaturations', meaning: 'falls of SpO2 from a running baseline, good samples alone', unit: '', type: 'number', how: DOUBTFUL_LOST, cell: ({ site }) => site?.hypoxaemiaDoubtfulLost.desaturations.length ?? null },
  { name: 'doubtful_lost_restored_median_s', meaning: 'median time to information at this sensor, doubtful samples counted as lost', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: ({ site }) => seconds(site?.restorationDoubtfulLost.medianMs ?? null) },
];

/** The columns of cases.csv. */
export const CASE_COLUMNS: readonly Column<CaseRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'from the case column of the input, else the name of the folder', cell: ({ context }) => context.record.caseId },
  { name: 'site', meaning: 'where the sensor sat, or `case` for the blind intervals of the whole case', unit: '', how: 'from the name of the column or of the row, or from a column of its own; `unstated` where the input does not say', cell: ({ site }) => site?.site ?? 'case' },
  { name: 'interval_s', meaning: 'recording interval of SpO2', unit: 's', type: 'number', how: 'the interval that covers most time, from the most frequent difference between consecutive rows, worked out piecewise; empty where recorded irregularly and in the row of the case', cell: ({ site }) => seconds(site?.intervalMs ?? null) },
  { name: 'monitored_s', meaning: 'time in which the site was meant to give information: the denominator', unit: 's', type: 'number', how: 'from the first to the last good sample within the bounds of the case (monitored_from_s, monitored_to_s) and on to the point at which a dropout that was not restored is censored, record gaps taken out unless the parameters keep them; 0 where the site never gave information (see notes); in the row of the case: the time in which at least one site was monitored', cell: ({ context, site }) => seconds(site?.monitoredMs ?? blindWithinMs(context.analysis.sites, context.analysis.recordGaps, context.analysis.parameters.keepRecordGaps, 'dropouts')) },
  { name: 'dropouts', meaning: 'number of dropouts (of blind intervals in the row of the case)', unit: '', type: 'number', how: 'maximal runs of lost samples, joined where the information between is shorter than `bridgeS` or a single sample, kept from a mid estimate of `minDurationS`', cell: (row) => totals(row).count },
  { name: 'lost_low_s', meaning: 'time lost, low estimate', unit: 's', type: 'number', how: 'sum over the dropouts of last lost − first lost', cell: (row) => seconds(totals(row).lostMs.low) },
  { name: 'lost_mid_s', meaning: 'time lost, mid estimate', unit: 's', type: 'number', how: 'mean of low and high', cell: (row) => seconds(totals(row).lostMs.mid) },
  { name: 'lost_high_s', meaning: 'time lost, high estimate', unit: 's', type: 'number', how: 'sum over the dropouts of first good − last good, plus the device hold', cell: (row) => seconds(totals(row).lostMs.high) },
  { name: 'lost_share_mid', meaning: 'share of the monitored time that was lost', unit: '1', type: 'number', how: 'lost_mid_s / monitored_s; empty where nothing was monitored', cell: (row) => computed(totals(row).shareMid) },
  { name: 'longest_mid_s', meaning: 'longest dropout, mid estimate', unit: 's', type: 'number', how: 'the greatest lost_mid_s of the dropouts; empty where there is none', cell: (row) => longest(totals(row)) },
  { name: 'doubtful_s', meaning: 'time standing under weak and disputed samples', unit: 's', type: 'number', how: 'counted as information in this row; the columns "doubtful_lost" count it as lost', cell: ({ site }) => seconds(site?.doubtfulMs ?? null) },
  { name: 'record_gap_s', meaning: 'time in which every channel of the record is missing: the recorder stopped, not the sensor', unit: 's', type: 'number', how: 'mid estimate, within the monitored span (row of the case: within the case)', cell: ({ context, site }) => seconds(site === null ? context.analysis.recordGaps.reduce((sum, gap) => sum + gap.gapMs.mid, 0) : site.recordGapMs) },
  ...belowColumns(90),
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'what the input calls it; empty where the site has only one', cell: ({ site }) => site?.sensor ?? null },
  { name: 'monitored_from_s', meaning: 'start of the monitored span', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ site }) => seconds(site?.monitored?.startMs ?? null) },
  { name: 'monitored_to_s', meaning: 'end of the monitored span: the last sample with information; monitored_s runs on where a loss was not restored', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ site }) => seconds(site?.monitored?.endMs ?? null) },
  { name: 'doubtful_lost_dropouts', meaning: 'number of dropouts, doubtful samples counted as lost', unit: '', type: 'number', how: DOUBTFUL_LOST, cell: (row) => totalsDoubtfulLost(row).count },
  { name: 'doubtful_lost_low_s', meaning: 'time lost, low estimate, doubtful samples counted as lost', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(totalsDoubtfulLost(row).lostMs.low) },
  { name: 'doubtful_lost_mid_s', meaning: 'time lost, mid estimate, doubtful samples counted as lost', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(totalsDoubtfulLost(row).lostMs.mid) },
  { name: 'doubtful_lost_high_s', meaning: 'time lost, high estimate, doubtful samples counted as lost', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => seconds(totalsDoubtfulLost(row).lostMs.high) },
  { name: 'doubtful_lost_share_mid', meaning: 'share of the monitored time lost, doubtful samples counted as lost', unit: '1', type: 'number', how: DOUBTFUL_LOST, cell: (row) => computed(totalsDoubtfulLost(row).shareMid) },
  { name: 'doubtful_lost_longest_mid_s', meaning: 'longest dropout, mid estimate, doubtful samples counted as lost', unit: 's', type: 'number', how: DOUBTFUL_LOST, cell: (row) => longest(totalsDoubtfulLost(row)) },
  ...belowColumns(85),
  ...belowColumns(80),
  { name: 'samples_good', meaning: 'samples without objection', unit: '', type: 'number', how: 'counted over the whole channel', cell: ({ site }) => site?.statusCounts.good ?? null },
  { name: 'samples_weak', meaning: 'samples beside a perfusion index below `weakPerfusionIndex`', unit: '', type: 'number', how: 'counted over the whole channel; class doubtful', cell: ({ site }) => site?.statusCounts.weak ?? null },
  { name: 'samples_disputed', meaning: 'samples while pulse rate and heart rate disagreed', unit: '', type: 'number', how: 'counted over the whole channel; class doubtful', cell: ({ site }) => site?.statusCounts.disputed ?? null },
  { name: 'samples_absent', meaning: 'samples due and not there: no row, an empty cell or a filler', unit: '', type: 'number', how: 'counted over the whole channel; class lost', cell: ({ site }) => site?.statusCounts.absent ?? null },
  { name: 'samples_implausible', meaning: 'samples outside the plausible limits', unit: '', type: 'number', how: 'counted over the whole channel; class lost', cell: ({ site }) => site?.statusCounts.implausible ?? null },
  { name: 'samples_flagged', meaning: 'samples that the export itself flags as artefact or sensor off', unit: '', type: 'number', how: 'counted over the whole channel; class lost', cell: ({ site }) => site?.statusCounts.flagged ?? null },
  { name: 'samples_held', meaning: 'samples of a display that repeated an old value', unit: '', type: 'number', how: 'counted over the whole channel; class lost', cell: ({ site }) => site?.statusCounts.held ?? null },
  { name: 'case_start_s', meaning: 'start of the case', unit: 's', type: 'number', how: 'anaesthesia start where the events give it, else the first row; seconds from the first trend row', cell: ({ context }) => seconds(context.analysis.bounds.startMs) },
  { name: 'case_start_at', meaning: 'the same as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context }) => context.at(context.analysis.bounds.startMs) },
  { name: 'case_start_from', meaning: 'what the start was taken from', unit: '', how: '`anaesthesia start` or `first row`', cell: ({ context }) => context.analysis.bounds.startFrom },
  { name: 'case_end_s', meaning: 'end of the case', unit: 's', type: 'number', how: 'anaesthesia end where the events give it, else the last row; seconds from the first trend row', cell: ({ context }) => seconds(context.analysis.bounds.endMs) },
  { name: 'case_end_at', meaning: 'the same as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context }) => context.at(context.analysis.bounds.endMs) },
  { name: 'case_end_from', meaning: 'what the end was taken from', unit: '', how: '`anaesthesia end` or `last row`', cell: ({ context }) => context.analysis.bounds.endFrom },
  { name: 'value_making', meaning: 'how the record keeper made the stored values of the sensor', unit: '', how: 'as a mapping states it: `snapshot`, `mean`, `median` or `hold` (an older value carried on); `not stated` where it does not; see docs/methods/value-making.md for what it does to the estimates', cell: ({ context, site }) => (site === null ? null : (channelOf(context, site)?.valueMaking ?? 'not stated')) },
  { name: 'device_hold_s', meaning: 'how long the device is taken to have shown its last value before it blanked', unit: 's', type: 'number', how: 'added to the high estimate of each dropout', cell: ({ context, site }) => (site === null ? null : (channelOf(context, site)?.deviceHoldS ?? context.analysis.parameters.deviceHoldS)) },
  { name: 'device_hold_from', meaning: 'who says so', unit: '', how: '`mapping`: stated for the file; `parameter`: `deviceHoldS` of the run', cell: ({ context, site }) => (site === null ? null : channelOf(context, site)?.deviceHoldS === undefined ? 'parameter' : 'mapping') },
  { name: 'zone', meaning: 'time zone in which the instants are written', unit: '', how: 'stated by the user or by the input; `UTC` where nobody stated it, which zone_stated then says', cell: ({ context }) => context.record.origin.zone },
  { name: 'zone_stated', meaning: 'whether somebody stated the zone', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: ({ context }) => context.record.origin.zoneStated },
  { name: 'clock_offsets', meaning: 'seconds added to the times of input files whose clock was set', unit: 's', how: 'file name, colon, seconds (positive: the clock was taken as behind); several parted by " | "; empty where none was set', cell: ({ context }) => clockOffsets(context) },
  { name: 'clock_offset_grounds', meaning: 'why those clocks were set', unit: '', how: '`by hand`, or `accepted proposal` with the file it was compared with, the limits in seconds, and the agreement; in the order of clock_offsets', cell: ({ context }) => clockOffsetGrounds(context) },
  { name: 'record_gaps_can_be_told', meaning: 'whether the record holds channels by which a record gap is told from a dropout', unit: '', type: 'yes or no', how: '`no` where the input has no channel but those of the oximeter', cell: ({ context }) => context.analysis.recordGapsCanBeTold },
  { name: 'notes', meaning: 'what a reader of the row must know', unit: '', how: 'why the site was not monitored; in the row of the case: what was found in the record and its analysis; several parted by " | "', cell: notes },
  ...HYPOXAEMIA_COLUMNS,
  ...SIGNAL_COLUMNS,
  ...RESTORATION_COLUMNS,
  ...DOUBTFUL_LOST_COLUMNS,
  PARAMETER_SET_COLUMN,
];

function channelOf({ record }: CaseContext, site: SiteAnalysis): Channel | undefined {
  return record.channels.find((channel) => channel.channelId === site.channelId);
}

function clockOffsetGrounds({ record }: CaseContext): string {
  return record.sources
    .filter((source) => source.clockOffsetMs !== 0)
    .map(({ name, acceptedOffset: own }) => `${name}: ${own === undefined ? 'by hand' : `accepted proposal against ${own.against}, ${own.lowMs / 1000} to ${own.highMs / 1000} s, agreement ${computed(own.peak) ?? ''} over ${own.n}`}`)
    .join(' | ');
}

function clockOffsets({ record }: CaseContext): string {
  return record.sources.filter((source) => source.clockOffsetMs !== 0).map((source) => `${source.name}: ${source.clockOffsetMs / 1000}`).join(' | ');
}

function notes({ context, site }: CaseRow): string {
  if (site !== null) return site.notMonitoredReason ?? '';
  const messages = [...context.record.findings, ...context.analysis.findings].map((finding) => finding.message);
  return [...new Set(messages)].join(' | ');
}
