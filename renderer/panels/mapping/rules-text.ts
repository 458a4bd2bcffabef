import { EVENT_KINDS } from '../../../core/model/event.ts';
import type { ColumnReading, PhraseReading, ReadingRules, ValueMaking } from '../../../core/model/mapping.ts';
import { clockOffsetText } from '../../format/time-text.ts';
import type { Overrule } from '../../state/overrules.ts';
import { splitRules } from '../../state/rules-edit.ts';
import { COLUMN_CHOICES, FILE_CHOICES } from '../import-panel/reading-choices.ts';
import { measureText } from './outcome-text.ts';

const MAKING_TEXT: Readonly<Record<ValueMaking, string>> = {
  snapshot: 'the value of one instant',
  mean: 'the mean of its interval',
  median: 'the median of its interval',
  hold: 'the last value, held until a new one came',
  unknown: 'not known',
};

/** Returns how a stored value came about, in words. */
export function makingText(making: ValueMaking): string {
  return MAKING_TEXT[making];
}

function listText(words: readonly string[]): string {
  return words.map((word) => `“${word}”`).join(', ');
}

/** Returns what is said of a column, in words. */
export function columnReadingText(reading: ColumnReading): string {
  const parts: string[] = [];
  if (reading.quantity !== undefined) parts.push(measureText(reading.quantity, reading.site ?? null, reading.sensor ?? ''));
  else {
    const role = COLUMN_CHOICES.find((choice) => choice.value === `role:${reading.role ?? ''}`);
    if (role !== undefined) parts.push(role.label);
    if (reading.site !== undefined || reading.sensor !== undefined) parts.push(`sensor at: ${[reading.site ?? '', reading.sensor ?? ''].filter((part) => part !== '').join(' ')}`);
  }
  if (reading.unit !== undefined) parts.push(`in ${reading.unit}`);
  if (reading.sentinels !== undefined) parts.push(`no value: ${listText(reading.sentinels)}`);
  if (reading.flagWords !== undefined) parts.push(`artefact: ${listText(reading.flagWords)}`);
  if (reading.identifier !== undefined) parts.push(reading.identifier === 'keep' ? 'identifies nobody, kept' : 'identifies persons, left out');
  return parts.join('; ');
}

/** Returns what a phrase is said to mean, in words. */
export function phraseReadingText(reading: PhraseReading): string {
  if (reading.means === 'note') return 'a plain note';
  if (reading.means === 'drug') return `the drug ${reading.inn}${reading.isVasopressor === true ? ' (a vasopressor)' : ''}`;
  const phase = reading.phase === 'start' ? ', begins' : reading.phase === 'end' ? ', ends' : '';
  return `the event ${reading.kind}${reading.term === undefined || reading.term === '' ? '' : `: ${reading.term}`}${phase}${reading.site === undefined ? '' : `, ${reading.site}`}`;
}

function fieldText(rules: ReadingRules): string {
  for (const choice of FILE_CHOICES) {
    const value = rules[choice.field];
    if (value !== undefined) return `${choice.label}: ${choice.choices.find((entry) => entry.value === value)?.label ?? value}`;
  }
  if (rules.zone !== undefined) return `Its time zone is ${rules.zone}`;
  if (rules.caseId !== undefined) return `Its case is “${rules.caseId}”`;
  if (rules.clockOffsetS !== undefined) return `Its ${clockOffsetText(rules.clockOffsetS * 1000)}`;
  if (rules.valueMaking !== undefined) return `A stored value is ${makingText(rules.valueMaking)}`;
  if (rules.deviceHoldS !== undefined) return `The device held its last value for ${rules.deviceHoldS} s`;
  if (rules.sentinels !== undefined) return `In every column no value: ${listText(rules.sentinels)}`;
  if (rules.flagWords !== undefined) return `In every column artefact: ${listText(rules.flagWords)}`;
  return 'said by hand';
}

/** Returns rules as a list of what was said, each in words. `from`: the saved mapping that says so. */
export function overrulesOf(rules: ReadingRules, from?: string): Overrule[] {
  return splitRules(rules).map(({ field, rules: own }) => {
    const [column] = Object.entries(own.columns ?? {});
    const [phrase] = Object.entries(own.phrases ?? {});
    const label = column !== undefined ? `${column[0]}: ${columnReadingText(column[1])}` : phrase !== undefined ? `“${phrase[0]}” means ${phraseReadingText(phrase[1])}` : fieldText(own);
    return { field, label, rules: own, ...(from === undefined ? {} : { from }) };
  });
}

/** Kinds of events a person may choose, in words. */
export const EVENT_CHOICES = EVENT_KINDS.filter((kind) => kind !== 'note').map((kind) => ({ value: kind, label: kind }));
