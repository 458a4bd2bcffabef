import type { ColumnReading, PhraseReading, ReadingRules } from '../../core/model/mapping.ts';

/** Returns `object` without the fields that are undefined or an empty list. */
function withoutEmpty<T extends object>(object: T): T {
  const kept = Object.entries(object).filter(([, value]) => value !== undefined && !(Array.isArray(value) && value.length === 0));
  return Object.fromEntries(kept) as T; // fields are only left out, and every field of these types may be
}

/** Returns rules with some fields of the whole file set anew; undefined takes a field out. */
export function withFields(rules: ReadingRules, change: ReadingRules): ReadingRules {
  return withoutEmpty({ ...rules, ...change });
}

/** Returns rules with some fields of one column (or name of a long table) set anew; undefined takes a field out. */
export function withColumn(rules: ReadingRules, heading: string, change: ColumnReading): ReadingRules {
  const { [heading]: before, ...others } = rules.columns ?? {};
  const reading = withoutEmpty({ ...before, ...change });
  const columns = Object.keys(reading).length === 0 ? others : { ...others, [heading]: reading };
  return withFields(rules, { columns: Object.keys(columns).length === 0 ? undefined : columns });
}

/** Returns rules in which one phrase means what is said; null takes it out. */
export function withPhrase(rules: ReadingRules, phrase: string, reading: PhraseReading | null): ReadingRules {
  const { [phrase]: _before, ...others } = rules.phrases ?? {};
  const phrases = reading === null ? others : { ...others, [phrase]: reading };
  return withFields(rules, { phrases: Object.keys(phrases).length === 0 ? undefined : phrases });
}

/** Returns how many things rules say: every field of the file, every column, every phrase. */
export function countRules(rules: ReadingRules): number {
  const { columns = {}, phrases = {}, ...fields } = withoutEmpty(rules);
  return Object.keys(fields).length + Object.keys(columns).length + Object.keys(phrases).length;
}

/** Returns whether rules say the same, in whatever order. */
export function sameRules(a: ReadingRules, b: ReadingRules): boolean {
  return sorted(a) === sorted(b);
}

function sorted(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) => (typeof part === 'object' && part !== null && !Array.isArray(part) ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1))) : part));
}

/** Returns the fields of rules one by one, each as rules of its own with the name of what it settles (`dateOrder`, `columns.SpO2`, `phrases.left arm`). */
export function splitRules(rules: ReadingRules): { readonly field: string; readonly rules: ReadingRules }[] {
  const { columns = {}, phrases = {}, ...fields } = withoutEmpty(rules);
  return [
    ...Object.entries(fields).map(([field, value]) => ({ field, rules: { [field]: value } })),
    ...Object.entries(columns).map(([heading, reading]) => ({ field: `columns.${heading}`, rules: { columns: { [heading]: reading } } })),
    ...Object.entries(phrases).map(([phrase, reading]) => ({ field: `phrases.${phrase}`, rules: { phrases: { [phrase]: reading } } })),
  ];
}
