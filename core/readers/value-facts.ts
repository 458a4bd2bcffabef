import type { FileReport } from '../model/import-report.ts';
import type { ReadingRules, ValueMaking } from '../model/mapping.ts';
import type { CaseReading } from './reading.ts';

const MAKING_WORDS: Readonly<Record<ValueMaking, string>> = {
  snapshot: 'Each stored value is one instantaneous value, as the mapping states.',
  mean: 'Each stored value is the mean of its interval, as the mapping states: a loss that leaves one value in the interval does not show.',
  median: 'Each stored value is the median of its interval, as the mapping states: a loss that leaves one value in the interval does not show.',
  hold: 'A stored value may be an older one carried on, as the mapping states: a loss may have begun long before it shows.',
  unknown: 'How each value was made (one instantaneous value, mean, median, or an older one carried on) is not known, as the mapping states.',
};

/** Returns cases whose channels carry what a mapping states about the making of their values; the same cases where it states nothing. */
export function withValueFacts(cases: readonly CaseReading[], rules: ReadingRules | null): readonly CaseReading[] {
  const { valueMaking, deviceHoldS } = rules ?? {};
  const facts = { ...(valueMaking === undefined || valueMaking === 'unknown' ? {} : { valueMaking }), ...(deviceHoldS === undefined ? {} : { deviceHoldS }) };
  if (Object.keys(facts).length === 0) return cases;
  return cases.map((reading) => ({ ...reading, channels: reading.channels.map((channel) => ({ ...channel, ...facts })) }));
}

/** Says in the report how the values of a file were made, or that nobody states it; nothing for files without values. */
export function valueFactNotes(cases: readonly CaseReading[], rules: ReadingRules | null): string[] {
  if (!cases.some((reading) => reading.channels.length > 0)) return [];
  const hold = rules?.deviceHoldS;
  return [
    rules?.valueMaking === undefined ? 'How each value was made (one instantaneous value, mean, median, or an older one carried on) is not stated; a mapping can state it.' : MAKING_WORDS[rules.valueMaking],
    ...(hold === undefined ? [] : [`The device went on showing its last value for up to ${hold} s before it blanked, as the mapping states.`]),
  ];
}

/** Returns the same as fields of the report. */
export function valueFactFields(cases: readonly CaseReading[], rules: ReadingRules | null): Pick<FileReport, 'value_making' | 'device_hold_s'> {
  if (!cases.some((reading) => reading.channels.length > 0)) return {};
  return { value_making: rules?.valueMaking ?? 'not stated', device_hold_s: rules?.deviceHoldS ?? null };
}
