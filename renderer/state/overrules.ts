import type { Guess } from '../../core/model/import-report.ts';
import type { ColumnReading, ReadingRules } from '../../core/model/mapping.ts';
import type { FileOverrule } from '../../core/protocol/host-api.ts';

/** One thing a person said about how a file is to be read. */
export interface Overrule {
  /** The field it settles (`dateOrder`, `columns.<heading>`); a later word on the same field replaces an earlier one. */
  readonly field: string;
  /** In words, for the list of what was said. */
  readonly label: string;
  readonly rules: ReadingRules;
  /** The saved mapping that says so; left out where it was said by hand. */
  readonly from?: string | undefined;
}

/** What was said, by file. Immutable: every change returns a new set. */
export type OverruleSet = ReadonlyMap<string, readonly Overrule[]>;

export const NO_OVERRULES: OverruleSet = new Map();

/** Returns the set with `overrule` said about `file`; it takes the place of an earlier one on the same field. */
export function withOverrule(set: OverruleSet, file: string, overrule: Overrule): OverruleSet {
  const others = (set.get(file) ?? []).filter((other) => other.field !== overrule.field);
  return new Map(set).set(file, [...others, overrule]);
}

/** Returns the set with `said` as all that is said about `file`. */
export function withSaid(set: OverruleSet, file: string, said: readonly Overrule[]): OverruleSet {
  const next = new Map(set);
  if (said.length === 0) next.delete(file);
  else next.set(file, said);
  return next;
}

/** Returns the set with nothing said about `field` of `file`. */
export function withoutOverrule(set: OverruleSet, file: string, field: string): OverruleSet {
  const left = (set.get(file) ?? []).filter((other) => other.field !== field);
  const next = new Map(set);
  if (left.length === 0) next.delete(file);
  else next.set(file, left);
  return next;
}

/** Returns the overrule that chooses alternative number `index` of a guess, or null where there is no such alternative. */
export function alternativeOverrule(guess: Guess, index: number): Overrule | null {
  const alternative = guess.alternatives[index];
  return alternative === undefined ? null : { field: guess.field, label: alternative.label, rules: alternative.rules };
}

/** Returns the overrule that reads one column (or one name of a long table) as said. */
export function columnOverrule(heading: string, reading: ColumnReading, label: string): Overrule {
  return { field: `columns.${heading}`, label, rules: { columns: { [heading]: reading } } };
}

/** Returns the rules of one file: all that was said about it, the later word winning where two touch the same field. */
export function mergeOverrules(overrules: readonly Overrule[]): ReadingRules {
  return overrules.reduce<ReadingRules>((rules, overrule) => {
    const columns = { ...rules.columns, ...overrule.rules.columns };
    const phrases = { ...rules.phrases, ...overrule.rules.phrases };
    const merged = { ...rules, ...overrule.rules, ...(Object.keys(phrases).length === 0 ? {} : { phrases }) };
    return Object.keys(columns).length === 0 ? merged : { ...merged, columns };
  }, {});
}

/** Returns the set in the form that the host takes, in the order of `files`; files about which nothing was said are left out. */
export function overruleList(set: OverruleSet, files: readonly string[]): FileOverrule[] {
  return files.flatMap((file) => {
    const said = set.get(file) ?? [];
    const mapping = mappingOf(said);
    return said.length === 0 ? [] : [{ file, rules: mergeOverrules(said), ...(mapping === null ? {} : { mapping }) }];
  });
}

/** Returns the name of the saved mapping behind what is said about a file, with a word where more was said by hand; null where none is. */
export function mappingOf(said: readonly Overrule[]): string | null {
  const names = [...new Set(said.flatMap((overrule) => overrule.from ?? []))];
  if (names.length === 0) return null;
  return `${names.join(', ')}${said.some((overrule) => overrule.from === undefined) ? ' (changed by hand)' : ''}`;
}

/** Returns how many things were said about all files together. */
export function countOverrules(set: OverruleSet): number {
  return [...set.values()].reduce((sum, said) => sum + said.length, 0);
}

/** Returns whether two sets say the same. */
export function sameOverrules(a: OverruleSet, b: OverruleSet): boolean {
  return JSON.stringify([...a].sort()) === JSON.stringify([...b].sort());
}
