import type { PreparedSite } from '../model/prepared-case.ts';
import type { CurvePoint, DropoutDefinition } from '../robustness/apply-definition.ts';
import { blindCurve, durationCurve } from '../robustness/apply-definition.ts';
import { prepareRobustness } from '../robustness/prepare-robustness.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { computed, seconds } from './numbers.ts';
import { PARAMETER_SET_COLUMN } from './parameter-set-column.ts';

/** Minimum durations from 5 s to 10 min. Source: analysis-spec 10; the published ones among them: handbook 1.1. */
const DURATIONS_S = [5, 10, 15, 20, 30, 45, 60, 90, 120, 180, 300, 600] as const;
const BRIDGES_S = [0, 5, 10, 20, 30, 60] as const;
const SHORTER_LOOK_BACK = 0.5;
const LONGER_LOOK_BACK = 2;

/** A row of robustness.csv: one sensor, or the whole case with its blind intervals (`site` null), under one definition. */
export interface RobustnessRow {
  readonly context: CaseContext;
  readonly site: PreparedSite | null;
  readonly doubtfulLost: boolean;
  readonly bridgeS: number;
  readonly point: CurvePoint;
  readonly atShorterLookBack: CurvePoint;
  readonly atLongerLookBack: CurvePoint;
}

/** Yields the rows of robustness.csv; each case is worked out when its rows are asked for. The values of the run itself are always among those drawn. */
export function* robustnessRows(contexts: readonly CaseContext[]): Generator<RobustnessRow> {
  for (const context of contexts) {
    const { parameters } = context.analysis;
    const prepared = prepareRobustness(context.record, parameters);
    const durationsS = ascending([...DURATIONS_S, parameters.minDurationS]);
    const sites = context.sites.map(({ siteKey }) => {
      const site = prepared.sites.find((one) => one.siteKey === siteKey);
      if (site === undefined) throw new Error(`a prepared case lacks the sensor ${siteKey}`);
      return site;
    });
    for (const site of [...sites, null]) {
      const curveOf = (definition: DropoutDefinition): CurvePoint[] => (site === null ? blindCurve(prepared, definition, durationsS) : durationCurve(prepared, site, definition, durationsS));
      for (const doubtfulLost of [false, true]) {
        for (const bridgeS of ascending([...BRIDGES_S, parameters.bridgeS])) {
          const curve = (lookBackFactor: number) => curveOf({ minDurationS: 0, bridgeS, lookBackFactor, doubtfulLost });
          const usual = curve(1);
          const [shorter, longer] = site === null ? [usual, usual] : [curve(SHORTER_LOOK_BACK), curve(LONGER_LOOK_BACK)];
          for (const [i, point] of usual.entries()) {
            yield { context, site, doubtfulLost, bridgeS, point, atShorterLookBack: shorter[i] ?? point, atLongerLookBack: longer[i] ?? point };
          }
        }
      }
    }
  }
}

function ascending(values: readonly number[]): number[] {
  return [...new Set(values)].sort((a, b) => a - b);
}

function isOfRun({ context, doubtfulLost, bridgeS, point }: RobustnessRow): boolean {
  const { parameters } = context.analysis;
  return !doubtfulLost && bridgeS === parameters.bridgeS && point.minDurationS === parameters.minDurationS;
}

/** The columns of robustness.csv. */
export const ROBUSTNESS_COLUMNS: readonly Column<RobustnessRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'site', meaning: 'where the sensor sat, or `case` for the blind intervals of the whole case', unit: '', how: 'as in cases.csv', cell: ({ site }) => site?.site ?? 'case' },
  { name: 'sensor', meaning: 'tells two sensors at one site apart', unit: '', how: 'as in cases.csv', cell: ({ site }) => site?.sensor ?? null },
  { name: 'doubtful_lost', meaning: 'whether weak and disputed samples count as lost', unit: '', type: 'yes or no', how: '`yes` or `no`', cell: ({ doubtfulLost }) => doubtfulLost },
  { name: 'bridge_s', meaning: 'information too short to part two losses', unit: 's', type: 'number', how: 'in place of `bridgeS`', cell: ({ bridgeS }) => bridgeS },
  { name: 'min_duration_s', meaning: 'shortest mid estimate that counts', unit: 's', type: 'number', how: 'in place of `minDurationS`', cell: ({ point }) => point.minDurationS },
  { name: 'of_this_run', meaning: 'whether this is the definition of the run', unit: '', type: 'yes or no', how: '`yes` in one row per sensor and one per case: its figures are those of cases.csv', cell: isOfRun },
  { name: 'dropouts', meaning: 'number of dropouts (of blind intervals in the rows of the case)', unit: '', type: 'number', how: 'as in cases.csv', cell: ({ point }) => point.count },
  { name: 'lost_low_s', meaning: 'time lost, low estimate', unit: 's', type: 'number', how: 'as in cases.csv', cell: ({ point }) => seconds(point.lostMs.low) },
  { name: 'lost_mid_s', meaning: 'time lost, mid estimate', unit: 's', type: 'number', how: 'as in cases.csv', cell: ({ point }) => seconds(point.lostMs.mid) },
  { name: 'lost_high_s', meaning: 'time lost, high estimate', unit: 's', type: 'number', how: 'as in cases.csv', cell: ({ point }) => seconds(point.lostMs.high) },
  { name: 'lost_share_mid', meaning: 'share of the monitored time that was lost', unit: '1', type: 'number', how: 'as in cases.csv', cell: ({ point }) => computed(point.shareMid) },
  { name: 'linked_certain', meaning: 'dropouts with an exposure before them, certain', unit: '', type: 'number', how: 'association in time, not cause; empty in the rows of the case', cell: ({ point }) => point.linked?.certain ?? null },
  { name: 'linked_any', meaning: 'dropouts with an exposure before them, certain or possible', unit: '', type: 'number', how: 'association in time, not cause; empty in the rows of the case', cell: ({ point }) => point.linked?.any ?? null },
  { name: 'linked_any_half_look_back', meaning: 'the same with every look-back halved', unit: '', type: 'number', how: 'states reach as far as they last, whatever the look-back', cell: ({ atShorterLookBack }) => atShorterLookBack.linked?.any ?? null },
  { name: 'linked_any_double_look_back', meaning: 'the same with every look-back doubled', unit: '', type: 'number', how: 'states reach as far as they last, whatever the look-back', cell: ({ atLongerLookBack }) => atLongerLookBack.linked?.any ?? null },
  PARAMETER_SET_COLUMN,
];
