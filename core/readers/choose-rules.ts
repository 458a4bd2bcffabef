import type { Mapping, ReadingRules } from '../model/mapping.ts';
import { fittingEntry } from '../model/mapping-match.ts';

/** Whether any entry of a mapping is chosen by headings, so that the headings must be found before the rules are known. */
export function asksForHeadings(mapping: Mapping | null): boolean {
  return mapping !== null && mapping.files.some((file) => file.match.headings !== undefined && file.match.headings.length > 0);
}

/** Returns the rules of the first entry that fits a file, null when none does; see `fittingEntry`. */
export function chooseRules(mapping: Mapping | null, relativePath: string, headings: readonly string[] | null): ReadingRules | null {
  return mapping === null ? null : (fittingEntry(mapping, relativePath, headings)?.reading ?? null);
}

/** Returns what reports call rules that `chooseRules` gave, as a part of a report; nothing where they have no name. */
export function nameOfRules(mapping: Mapping | null, rules: ReadingRules | null): { readonly mapping?: string } {
  const entry = rules === null ? undefined : mapping?.files.find((file) => file.reading === rules);
  const name = entry === undefined ? '' : (entry.name ?? mapping?.name ?? '');
  return name === '' ? {} : { mapping: name };
}
