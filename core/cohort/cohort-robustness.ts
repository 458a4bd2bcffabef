import { ALL_SENSORS, WHOLE_CASE } from '../model/cohort-burden.ts';
import type { CohortCase, CohortLosses } from '../model/cohort-case.ts';
import { CANDIDATE_BRIDGES_S } from '../model/cohort-case.ts';
import type { CohortDefinition } from '../model/cohort-definition.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { RobustFigure, RobustPoint } from '../model/cohort-robustness.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { beforeLoss } from './before-loss.ts';
import { burden } from './burden.ts';
import { chooseCases } from './choose-cases.ts';
import { restorationTimes } from './restoration-times.ts';
import { selectionOf } from './main-results.ts';
import { cohortReviewFigures, selectLosses } from './select-losses.ts';
import { sitesWithinPatients } from './sites-within-patients.ts';
import { amongConfirmed, underDefinition } from './under-definition.ts';

/** Source: analysis-spec 10 (5 s to 10 min); the published minimum durations among them: handbook 1.1. */
const MIN_DURATIONS_S = [5, 10, 20, 30, 60, 120, 180, 300, 600] as const;
const LOOK_BACK_FACTORS = [0.5, 2] as const;
type RobustOptions = Pick<CohortOptions, 'conf' | 'meanLimitS' | 'windows'>;

/** The figures drawn here have no interval from draws. */
const NO_DRAWS = { draws: 1, seed: 0 } as const;

/**
 * Returns the main results of a cohort under other definitions of a dropout, one thing moved at a time.
 * Shape   `cases` in any order: those that the options choose take part. The definition of the run first, then minimum durations, bridgings, look-backs and doubtful samples as lost, in order.
 *         `onPoint` is called after each. Of confirmed dropouts only those definitions that leave them whole: longer minimum durations and look-backs.
 * Source  analysis-spec 10; docs/metrics/cohort-robustness.md.
 */
export function cohortRobustness(cases: readonly CohortCase[], options: CohortOptions, parameters: AnalysisParameters, onPoint: (done: number, total: number) => void): RobustPoint[] {
  const { chosen } = chooseCases(cases, options);
  const selection = selectionOf(options.dropouts, cohortReviewFigures(chosen));
  const selected = chosen.map((one) => selectLosses(one, selection));
  const definitions = definitionsOf(parameters).filter(({ definition }) => selection === 'computed' || leavesDropoutsWhole(definition, parameters));
  return definitions.map(({ moved, definition }, i): RobustPoint => {
    const under = selected.map((one) => (selection === 'computed' ? underDefinition(one, definition, parameters) : amongConfirmed(one, definition, parameters)));
    const point = { moved, definition, figures: figuresOf(under, options, definition, parameters) };
    onPoint(i + 1, definitions.length);
    return point;
  });
}

/** Returns the definitions that results are drawn against. */
export function definitionsOf({ minDurationS, bridgeS }: Pick<AnalysisParameters, 'minDurationS' | 'bridgeS'>): Omit<RobustPoint, 'figures'>[] {
  const own: CohortDefinition = { minDurationS, bridgeS, lookBackFactor: 1, doubtfulLost: false };
  return [
    { moved: null, definition: own },
    ...MIN_DURATIONS_S.filter((value) => value !== minDurationS).map((value) => ({ moved: 'minDurationS' as const, definition: { ...own, minDurationS: value } })),
    ...CANDIDATE_BRIDGES_S.filter((value) => value !== bridgeS).map((value) => ({ moved: 'bridgeS' as const, definition: { ...own, bridgeS: value } })),
    ...LOOK_BACK_FACTORS.map((value) => ({ moved: 'lookBackFactor' as const, definition: { ...own, lookBackFactor: value } })),
    { moved: 'doubtfulLost', definition: { ...own, doubtfulLost: true } },
  ];
}

/** Whether dropouts under a definition are some of those that reviewers read. */
function leavesDropoutsWhole({ minDurationS, bridgeS, doubtfulLost }: CohortDefinition, own: Pick<AnalysisParameters, 'minDurationS' | 'bridgeS'>): boolean {
  return minDurationS >= own.minDurationS && bridgeS === own.bridgeS && !doubtfulLost;
}

function figuresOf(cases: readonly CohortCase[], options: RobustOptions, { lookBackFactor }: CohortDefinition, parameters: AnalysisParameters): RobustFigure[] {
  const { conf } = options;
  const ofSensors = burden(cases.map(bare), { groupBy: null, conf, ...NO_DRAWS }).rows.filter(({ scope, place }) => scope === 'all' && place !== WHOLE_CASE);
  const figures: RobustFigure[] = ofSensors.flatMap(({ place, primary }): RobustFigure[] => [
    { result: 'share lost', of: place, method: primary.shareInterval.method, estimate: primary.share?.mid ?? null, lower: primary.shareInterval.lower, upper: primary.shareInterval.upper, n: primary.dropouts, reason: primary.shareInterval.reason },
    { result: 'dropouts per hour', of: place, method: primary.perHourInterval.method, estimate: primary.perHour, lower: primary.perHourInterval.lower, upper: primary.perHourInterval.upper, n: primary.dropouts, reason: primary.perHourInterval.reason },
  ]);
  for (const pair of sitesWithinPatients(cases, { conf, ...NO_DRAWS }, parameters).pairs) {
    if (pair.outcome !== 'share lost') continue;
    figures.push({ result: 'difference of shares within patients', of: `${pair.firstKey} − ${pair.secondKey}`, method: 'Hodges-Lehmann', estimate: pair.difference, lower: pair.differenceLower, upper: pair.differenceUpper, n: pair.units, reason: pair.reason });
  }
  const scaled = ([from, to]: readonly [number, number], factor: number): [number, number] => [from, from + (to - from) * factor];
  const windows = { ...options.windows, bolusS: scaled(options.windows.bolusS, lookBackFactor), positionS: scaled(options.windows.positionS, lookBackFactor) };
  for (const { kind, figure, riskOnsets } of beforeLoss(cases, { conf, windows, isMainOnly: true }).rates) {
    figures.push({ result: 'rate ratio after an exposure', of: kind, method: figure.method, estimate: figure.ratio, lower: figure.lower, upper: figure.upper, n: riskOnsets, reason: figure.reason });
  }
  for (const { kind, of, losses, curves } of restorationTimes(cases, { ...options, isMainOnly: true }).groups) {
    const mid = curves.find(({ bound }) => bound === 'mid');
    if (mid === undefined || (kind !== 'site' && kind !== 'all')) continue;
    const { median, mean } = mid;
    const name = kind === 'all' ? ALL_SENSORS : of;
    figures.push({ result: 'median time to restored information', of: name, method: 'Kaplan-Meier, clustered', estimate: median.estimateMs, lower: median.lowerMs, upper: median.upperMs, n: losses, reason: median.estimateMs === null ? 'not reached' : null });
    figures.push({ result: 'mean time to restored information', of: name, method: 'area under Kaplan-Meier, clustered', estimate: mean.estimateMs, lower: mean.lowerMs, upper: mean.upperMs, n: losses, reason: mean.reason });
  }
  return figures;
}

const NO_LOSSES: CohortLosses = { dropouts: [], lostMs: { low: 0, mid: 0, high: 0 }, longestMidMs: 0, monitoredMs: 0, monitoredSpans: [], openTail: [] };

/** Without its date and its second result: neither is asked for here. */
function bare(one: CohortCase): CohortCase {
  return { ...one, date: null, sites: one.sites.map((site) => ({ ...site, doubtfulLost: NO_LOSSES })) };
}
