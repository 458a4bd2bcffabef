import type { SiteAnalysis } from '../model/analysis.ts';
import type { FalseLowSigns } from '../model/hypoxaemia.ts';
import type { CaseContext } from './case-context.ts';
import { inOrder } from './case-context.ts';
import type { Column } from './column.ts';
import { recorded, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** A row of low-spo2.csv: a desaturation, or a run of low values under a published rule. */
export interface LowRow {
  readonly context: CaseContext;
  readonly site: SiteAnalysis;
  readonly rule: string;
  readonly startMs: number;
  readonly endMs: number;
  readonly lastedMs: number;
  readonly endedBy: string;
  readonly baselinePct: number | null;
  readonly lowestPct: number;
  readonly dyes: number;
  readonly sensorEvents: number;
  readonly headDown: boolean;
}

/** Yields the rows of low-spo2.csv: of each sensor its desaturations and low runs, by rule and time. */
export function* lowRows(contexts: readonly CaseContext[]): Generator<LowRow> {
  for (const context of contexts) {
    for (const site of context.sites) {
      const { desaturations, lowRuns } = site.hypoxaemia;
      const rows: LowRow[] = [
        ...desaturations.map((fall) => ({ context, site, ...fall, rule: 'desaturation', lastedMs: fall.endMs - fall.startMs, ...signsOf(fall) })),
        ...lowRuns.map((run) => ({ context, site, ...run, endedBy: '', baselinePct: null, ...signsOf(run) })),
      ];
      yield* rows.sort((a, b) => inOrder(a.rule, b.rule) || a.startMs - b.startMs);
    }
  }
}

function signsOf({ dyeIds, sensorIds, headDownIds }: FalseLowSigns): Pick<LowRow, 'dyes' | 'sensorEvents' | 'headDown'> {
  return { dyes: dyeIds.length, sensorEvents: sensorIds.length, headDown: headDownIds.length > 0 };
}

/** The columns of low-spo2.csv. */
export const LOW_COLUMNS: readonly Column<LowRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'site', meaning: 'where the sensor sat', unit: '', how: 'as in cases.csv', cell: ({ site }) => site.site },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in cases.csv', cell: ({ site }) => site.sensor },
  { name: 'rule', meaning: '`desaturation`: a fall from the running baseline; `hypoxaemia`: below 90 % for 2 min or more; `severe hypoxaemia`: 85 % or below for 2 min or more', unit: '', how: 'the last two: Ehrenfeld 2010, Can J Anaesth 57:888', cell: ({ rule }) => rule },
  { name: 'start_s', meaning: 'first low sample', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ startMs }) => seconds(startMs) },
  { name: 'end_s', meaning: 'last low sample; of a desaturation the first sample back near the baseline', unit: 's', type: 'number', how: 'seconds from the first trend row of the case', cell: ({ endMs }) => seconds(endMs) },
  { name: 'start_at', meaning: 'start as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context, startMs }) => context.at(startMs) },
  { name: 'end_at', meaning: 'end as an instant', unit: '', how: 'ISO 8601 with offset in the zone of the case; empty where the record has no date', cell: ({ context, endMs }) => context.at(endMs) },
  { name: 'lasted_s', meaning: 'how long it lasted', unit: 's', type: 'number', how: 'of a run: the time that its samples stand, at most one interval each', cell: ({ lastedMs }) => seconds(lastedMs) },
  { name: 'ended_by', meaning: '`return`, `loss` (cut short by a loss) or `end of monitoring`', unit: '', how: 'desaturations only', cell: ({ endedBy }) => endedBy },
  { name: 'baseline', meaning: 'baseline before the fall', unit: '%', type: 'number', how: 'median of the `desaturationBaselineS` before; desaturations only', cell: ({ baselinePct }) => recorded(baselinePct) },
  { name: 'lowest', meaning: 'lowest SpO2 of it', unit: '%', type: 'number', how: '', cell: ({ lowestPct }) => recorded(lowestPct) },
  { name: 'dyes', meaning: 'dyes given so shortly before that they may explain a false low value', unit: '', type: 'number', how: 'methylene blue 30 min, others 10 min', cell: ({ dyes }) => dyes },
  { name: 'sensor_events', meaning: 'times the sensor was put on, moved or taken off beside it: it may have read falsely low', unit: '', type: 'number', how: 'within `handTimeS` to either side; events of this site or of none named', cell: ({ sensorEvents }) => sensorEvents },
  { name: 'head_down', meaning: 'whether a forehead sensor was worn head down: it may have read falsely low', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: ({ headDown }) => headDown },
  PARAMETER_SET_COLUMN,
];
