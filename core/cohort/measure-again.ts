import { countsGroups, wholeMonthAfter } from '../actions/action-state.ts';
import type { ActionChange, ActionMeasure, MeasuredAgain, MeasuredSide, Standing } from '../model/action.ts';
import { FEW_UNITS } from '../model/cohort-caution.ts';
import type { QualityCase } from '../model/quality-case.ts';
import type { ChangeEffect, ChangeSide, ChartChange } from '../model/quality-chart.ts';
import { binomialInterval } from '../stats/clopper-pearson.ts';
import { poissonInterval } from '../stats/exact-poisson.ts';
import { type EffectOptions, changeEffects, sidesOf } from './change-effect.ts';
import { type Contribution, type SeriesOptions, contributions, figuresOf } from './quality-series.ts';

/** What a measure is measured again with. */
export interface MeasureAgainOptions extends EffectOptions, Omit<SeriesOptions, 'kept'> {
  /** Changes that are marked on the chart, in order of their dates; the action's own may be among them. Without them none: the chart may be gone. */
  readonly marked: readonly Pick<ChartChange, 'date'>[];
}

/** What is measured again: the action's own definition and day. */
export interface MeasureTask {
  readonly measure: Pick<ActionMeasure, 'chartId' | 'definition'>;
  readonly change: Pick<ActionChange, 'date'>;
}

/**
 * Returns the measure over the time before a change beside that after it, with their intervals and their ratio or difference: what the chart
 * itself shows for a marked change (`changeEffects`), and whether it is enough to say that it was measured again.
 * Shape   `cases` in any order. Before: from the marked change before it, or the first case; after: to the next, or the last case.
 * Missing nothing counted in a time: limits of the exact law for shares of cases and losses per hour; none for shares of time and medians.
 *         `too early`, `too few cases` and `no interval` say why it does not count; what can be given is given all the same.
 * Source  as `changeEffects`; exact limits: Clopper & Pearson, Biometrika 1934;26:404; Garwood, Biometrika 1936;28:437.
 */
export function measureAgain({ measure: { chartId, definition }, change }: MeasureTask, cases: readonly QualityCase[], options: MeasureAgainOptions): MeasuredAgain {
  const { conf, replicates, seed, openMonth, digestOf, marked } = options;
  const dates = [...new Set([...marked.map(({ date }) => date), change.date])].sort();
  const at = dates.indexOf(change.date);
  const { taken, leftOut } = contributions(cases, definition);
  const { before, after } = sidesOf(taken, dates.map((date) => ({ date })), at);
  const own: ChartChange = { changeId: '', date: change.date, text: '', madeAt: '' };
  const [effect] = changeEffects([...before, ...after], definition.measure, [own], { conf, replicates, seed });
  if (effect === undefined) throw new Error('a change has no effect'); // each gets one, defined or not
  const sideOf = (members: readonly Contribution[], side: ChangeSide): MeasuredSide => {
    const { numerator, denominator, digest } = figuresOf(members, definition.measure, digestOf);
    return { ...withExactLimits(side, effect.compared, denominator, conf), units: new Set(members.map(({ cluster }) => cluster)).size, numerator, denominator, digest };
  };
  const sides = { before: sideOf(before, effect.before), after: sideOf(after, effect.after) };
  return {
    chartId,
    changeDate: change.date,
    standing: standingOf(sides, isEarly(definition, change.date, after, taken, openMonth)),
    compared: effect.compared,
    ...sides,
    effect: effect.effect,
    since: dates[at - 1] ?? null,
    until: dates[at + 1] ?? null,
    draws: { replicates, seed, conf },
    leftOut,
  };
}

/** Gives a time in which nothing was counted the limits of the exact law, where there is one. */
function withExactLimits(side: ChangeSide, compared: ChangeEffect['compared'], denominator: number | null, conf: number): ChangeSide & Pick<MeasuredSide, 'method'> {
  if (side.lower !== null && side.upper !== null) return { ...side, method: compared === 'median seconds' ? 'units drawn anew' : 'over units' };
  const none = { ...side, method: null };
  if (side.reason !== 'nothing counted' || denominator === null) return none;
  if (compared !== 'share of cases' && compared !== 'per hour') return none;
  const { lower, upper } = compared === 'share of cases' ? binomialInterval(0, denominator, conf) : poissonInterval(0, denominator, conf);
  return { ...side, lower, upper, method: 'exact' };
}

function standingOf({ before, after }: { readonly before: MeasuredSide; readonly after: MeasuredSide }, isTooEarly: boolean): Standing {
  if (isTooEarly) return 'too early';
  if (before.units < FEW_UNITS || after.units < FEW_UNITS) return 'too few cases';
  const isGiven = ({ method, reason }: MeasuredSide): boolean => method !== null || reason === 'nothing counted';
  return isGiven(before) && isGiven(after) ? 'measured' : 'no interval';
}

/** Whether no whole point of the chart can lie after the change yet: no month that is over, or no group that has all its cases. */
function isEarly(definition: ActionMeasure['definition'], changeDate: string, after: readonly Contribution[], taken: readonly Contribution[], openMonth: string): boolean {
  if (countsGroups(definition) && definition.grouping.by === 'cases') return after.length < definition.grouping.size;
  const over = wholeMonthAfter(changeDate).slice(0, 7);
  // Dates that were shifted forward to hide the true ones: a month is over too when a later one has cases.
  return openMonth < over && !taken.some(({ date }) => date.slice(0, 7) >= over);
}
