import type { ChangeEffect, ChangeSide, ChartChange, ChartMeasure } from '../model/quality-chart.ts';
import { clusterRobustRatio, withinOne } from '../stats/cluster-ratio.ts';
import { clusteredValues, drawnMedian } from '../stats/clustered-medians.ts';
import { studentQuantile } from '../stats/distributions.ts';
import { mersenneTwister } from '../stats/mersenne-twister.ts';
import { median, quantile } from '../stats/quantile.ts';
import { clusterSums, inCodePointOrder } from './clusters.ts';
import type { Contribution } from './quality-series.ts';
import { HOUR_MS } from '../time/civil.ts';

/** How intervals are made. */
export interface EffectOptions {
  readonly conf: number;
  /** For medians: whole units drawn anew. */
  readonly replicates: number;
  readonly seed: number;
}

/** More draws without a median than this share, and no interval is worth its name. */
const MOST_DROPPED = 0.05;

/**
 * Returns the measure before and after each change: from the change before it, or the first case, to the next one, or the last case.
 * Shape   `changes` in order of their dates; a case belongs to the time after a change when it began on its date or later. Shares, rates and
 *         shares of time: ratio of totals with the cluster-robust interval on the logarithm, after ÷ before with the two variances added
 *         and Welch's degrees of freedom. Medians: difference, percentile interval from drawing units anew. A patient with cases on both
 *         sides counts as a unit of each.
 *         Limits of a share end at 1.
 * Missing no case, or nothing counted, on one side: no effect, with the reason.
 * Source  Liang & Zeger, Biometrika 1986;73:13; degrees of freedom: Welch, Biometrika 1947;34:28.
 */
export function changeEffects(taken: readonly Contribution[], measure: ChartMeasure, changes: readonly ChartChange[], options: EffectOptions): ChangeEffect[] {
  return changes.map(({ changeId }, i) => {
    const { before, after } = sidesOf(taken, changes, i);
    return { changeId, ...(measure === 'median duration' ? medians(before, after, options) : ratios(before, after, measure, options.conf)) };
  });
}

/** Returns the cases before and after one of the changes, as far as the changes beside it. */
export function sidesOf(taken: readonly Contribution[], changes: readonly Pick<ChartChange, 'date'>[], at: number): { readonly before: readonly Contribution[]; readonly after: readonly Contribution[] } {
  const date = changes[at]?.date ?? '';
  const from = changes[at - 1]?.date ?? '';
  const to = changes[at + 1]?.date ?? '\uffff';
  return { before: taken.filter((one) => one.date >= from && one.date < date), after: taken.filter((one) => one.date >= date && one.date < to) };
}

function ratios(before: readonly Contribution[], after: readonly Contribution[], measure: ChartMeasure, conf: number): Omit<ChangeEffect, 'changeId'> {
  const part = partOf(measure);
  const [one, two] = [before, after].map((side) => {
    const { numerators, denominators } = clusterSums(side.map((c) => ({ cluster: c.cluster, numerator: part.numerator(c), denominator: part.denominator(c) })));
    const ratio = clusterRobustRatio(numerators, denominators, conf);
    return part.compared === 'per hour' ? ratio : withinOne(ratio);
  });
  const side = (list: readonly Contribution[], ratio: typeof one): ChangeSide => ({ ...spanOf(list), estimate: ratio?.estimate ?? null, lower: ratio?.lower ?? null, upper: ratio?.upper ?? null, reason: ratio?.reason ?? null });
  const compared = { compared: part.compared, before: side(before, one), after: side(after, two) };
  if (one?.estimate === null || two?.estimate === null || one === undefined || two === undefined || one.estimate === 0) {
    return { ...compared, effect: { kind: 'ratio', estimate: null, lower: null, upper: null, reason: one?.reason ?? two?.reason ?? 'no denominator' } };
  }
  const estimate = two.estimate / one.estimate;
  if (one.seLog === null || two.seLog === null) return { ...compared, effect: { kind: 'ratio', estimate, lower: null, upper: null, reason: one.reason ?? two.reason } };
  const [u, v] = [one.seLog ** 2, two.seLog ** 2];
  const df = (u + v) ** 2 / (u ** 2 / one.df + v ** 2 / two.df);
  if (!(df > 0)) return { ...compared, effect: { kind: 'ratio', estimate, lower: null, upper: null, reason: 'no spread between units' } };
  const half = studentQuantile(1 - (1 - conf) / 2, df) * Math.sqrt(u + v);
  return { ...compared, effect: { kind: 'ratio', estimate, lower: estimate * Math.exp(-half), upper: estimate * Math.exp(half), reason: null } };
}

interface Part {
  readonly compared: ChangeEffect['compared'];
  readonly numerator: (one: Contribution) => number;
  readonly denominator: (one: Contribution) => number;
}

function partOf(measure: ChartMeasure): Part {
  switch (measure) {
    case 'losses per hour':
      return { compared: 'per hour', numerator: ({ losses }) => losses, denominator: ({ monitoredMs }) => monitoredMs / HOUR_MS };
    case 'share of time lost':
      return { compared: 'share of time', numerator: ({ lostMs }) => lostMs, denominator: ({ monitoredMs }) => monitoredMs };
    default:
      return { compared: 'share of cases', numerator: ({ hasLongLoss }) => (hasLongLoss ? 1 : 0), denominator: () => 1 };
  }
}

function medians(before: readonly Contribution[], after: readonly Contribution[], options: EffectOptions): Omit<ChangeEffect, 'changeId'> {
  const tail = (1 - options.conf) / 2;
  const units = [before, after].map((side) => clusteredValues(durationsByUnit(side)));
  const { index } = mersenneTwister(options.seed);
  const drawn: { readonly before: number[]; readonly after: number[]; readonly difference: number[] } = { before: [], after: [], difference: [] };
  for (let r = 0; r < options.replicates; r++) {
    const [one = null, two = null] = units.map((side) => drawnMedian(side, index));
    if (one !== null) drawn.before.push(one);
    if (two !== null) drawn.after.push(two);
    if (one !== null && two !== null) drawn.difference.push(two - one);
  }
  const limits = (list: readonly number[], isEnough: boolean): Pick<ChangeSide, 'lower' | 'upper' | 'reason'> => {
    if (!isEnough) return { lower: null, upper: null, reason: 'one cluster' };
    if (list.length < (1 - MOST_DROPPED) * options.replicates) return { lower: null, upper: null, reason: 'too many draws not defined' };
    const [lower, upper] = [quantile(list, tail), quantile(list, 1 - tail)];
    return lower === upper ? { lower: null, upper: null, reason: 'all draws alike' } : { lower, upper, reason: null };
  };
  const side = (list: readonly Contribution[], replicates: readonly number[]): ChangeSide => {
    const estimate = median(list.flatMap(({ durationsS }) => durationsS));
    return { ...spanOf(list), estimate, ...(estimate === null ? { lower: null, upper: null, reason: 'nothing counted' } : limits(replicates, durationsByUnit(list).length > 1)) };
  };
  const sides = { before: side(before, drawn.before), after: side(after, drawn.after) };
  const estimate = sides.before.estimate === null || sides.after.estimate === null ? null : sides.after.estimate - sides.before.estimate;
  const isEnough = units.every(({ clusters }) => clusters > 1);
  return { compared: 'median seconds', ...sides, effect: { kind: 'difference', estimate, ...(estimate !== null ? limits(drawn.difference, isEnough) : { lower: null, upper: null, reason: 'nothing counted' }) } };
}

/** Durations of each unit, units in the order of their names: another order draws other samples. */
function durationsByUnit(list: readonly Contribution[]): (readonly number[])[] {
  const units = new Map<string, number[]>();
  for (const { cluster, durationsS } of list) {
    const known = units.get(cluster) ?? [];
    known.push(...durationsS);
    units.set(cluster, known);
  }
  return [...units.keys()].sort(inCodePointOrder).map((name) => units.get(name) ?? []);
}

function spanOf(list: readonly Contribution[]): Pick<ChangeSide, 'first' | 'last' | 'cases'> {
  const dates = list.map(({ date }) => date).sort();
  return { first: dates[0] ?? null, last: dates[dates.length - 1] ?? null, cases: list.length };
}
