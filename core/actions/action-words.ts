import { durationText } from '../base/duration-text.ts';
import { countText, numberText, shareText } from '../base/number-text.ts';
import type { ActionState, ActionView, MeasuredSide, Remeasurement } from '../model/action.ts';
import { FEW_UNITS } from '../model/cohort-caution.ts';

/** States in words, the same on the screen, in reports and in tables. */
export const STATE_WORDS: Readonly<Record<ActionState, string>> = {
  'open': 'open', 'change made': 'changed, not measured again', 'measured again': 'measured again', 'closed': 'closed', 'not carried out': 'not carried out',
};

/** What a result says, and does not say: stands beside every one of them. */
export const NO_CAUSE = 'What else changed at that time, season and staff included, is in the difference too: it does not show that the change made it.';

/** Returns since when an action is due, in words; null: it is not, or its change was made. */
export function overdueWords({ overdueDays }: Pick<ActionView, 'overdueDays'>): string | null {
  if (overdueDays === null) return null;
  return overdueDays === 0 ? 'due today' : `overdue by ${countText(overdueDays, 'day', 'days')}`;
}

/** Returns what may be said of a re-measurement, beyond its figures: whether it counts, and why not. */
export function standingWords({ standing, before, after }: Pick<Remeasurement, 'standing' | 'before' | 'after'>): string {
  switch (standing) {
    case 'measured':
      return 'Measured again on the same definition.';
    case 'too early':
      return 'Too early: no whole point of the chart lies after the change yet. The action stays open.';
    case 'too few cases':
      return `Too few cases: an interval needs at least ${FEW_UNITS} patients or cases on each side, and there are ${numberText(before.units)} before and ${numberText(after.units)} after. The action stays open.`;
    case 'no interval':
      return `No interval can be given (${reasonOf(before) ?? reasonOf(after) ?? 'not defined'}), so this does not count as measured. The action stays open.`;
  }
}

function reasonOf({ method, reason }: MeasuredSide): string | null {
  return method === null && reason !== 'nothing counted' ? reason : null;
}

/** A re-measurement in words. */
export interface MeasuredWords {
  readonly before: string;
  readonly after: string;
  readonly effect: string;
}

/** Returns the figures of a re-measurement with their limits: "12.5 % (8.1 % to 19.2 %), 5 of 40 cases, 2 January 2031 to …" without its days. */
export function measuredWords({ compared, before, after, effect, draws }: Remeasurement): MeasuredWords {
  const textOf = compared === 'per hour' ? rateWords : compared === 'median seconds' ? (value: number) => durationText(value * 1000) : shareText;
  const own = effect.kind === 'ratio' ? (value: number) => numberText(value, value < 10 ? 2 : 1) : (value: number) => `${value > 0 ? '+' : ''}${durationText(value * 1000)}`;
  const limits = effect.lower === null || effect.upper === null ? `no interval${effect.reason === null ? '' : `: ${effect.reason}`}` : `${numberText(draws.conf * 100)} % interval ${own(effect.lower)} to ${own(effect.upper)}`;
  return {
    before: sideWords(before, compared, textOf),
    after: sideWords(after, compared, textOf),
    effect: effect.estimate === null ? `not defined: ${effect.reason ?? 'one side is missing'}` : `${effect.kind === 'ratio' ? 'after ÷ before' : 'after − before'} ${own(effect.estimate)} (${limits})`,
  };
}

function sideWords(side: MeasuredSide, compared: Remeasurement['compared'], textOf: (value: number) => string): string {
  const counted = countedWords(side, compared);
  if (side.estimate === null) return `no value (${side.reason ?? 'no case'}), ${counted}`;
  const limits = side.lower === null || side.upper === null ? `no interval: ${side.reason ?? 'not defined'}` : `${textOf(side.lower)} to ${textOf(side.upper)}${side.method === 'exact' ? ', as if independent' : ''}`;
  return `${textOf(side.estimate)} (${limits}), ${counted}`;
}

function countedWords({ numerator, denominator, cases, units }: MeasuredSide, compared: Remeasurement['compared']): string {
  const of = units === cases ? countText(cases, 'case', 'cases') : `${countText(cases, 'case', 'cases')} of ${countText(units, 'patient', 'patients')}`;
  switch (compared) {
    case 'share of cases':
      return `${numberText(numerator)} of ${of}`;
    case 'per hour':
      return `${countText(numerator, 'loss', 'losses')} in ${numberText(denominator, 1)} h, ${of}`;
    case 'share of time':
      return `${durationText(numerator)} of ${durationText(denominator)}, ${of}`;
    case 'median seconds':
      return `${countText(numerator, 'loss', 'losses')}, ${of}`;
  }
}

function rateWords(value: number): string {
  return `${numberText(value, value !== 0 && value < 1 ? 2 : 1)}/h`;
}

/**
 * Returns in one sentence what a re-measurement found. It says which way and whether chance alone could make it; never that the change did it.
 * Missing  null: it does not count, and `standingWords` says why.
 */
export function findingWords(measured: Remeasurement): string | null {
  if (measured.standing !== 'measured') return null;
  const { before, after, effect } = measured;
  if (effect.estimate === null || before.estimate === null || after.estimate === null) return 'Before and after cannot be held against each other: nothing was counted on one side. The figures stand for themselves.';
  const none = effect.kind === 'ratio' ? 1 : 0;
  const way = effect.estimate < none ? 'lower' : effect.estimate > none ? 'higher' : 'the same';
  if (way === 'the same') return 'The measure is the same before and after.';
  if (effect.lower === null || effect.upper === null) return `The measure is ${way} after the change; how far chance alone could make that cannot be told.`;
  return effect.lower <= none && none <= effect.upper
    ? `The measure is ${way} after the change, by no more than chance alone may make it.`
    : `The measure is ${way} after the change, by more than chance alone usually makes it.`;
}
