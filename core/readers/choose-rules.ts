import type { Mapping, ReadingRules } from '../model/mapping.ts';
import { fittingEntry } from '../model/mapping-match.ts';

/** Whether any entry of a mapping is chosen by headings, so that the headings must be found before the rules are known. */
export function asksForHeadings(mapping: Mapping | null): boolean {
  return mapping !== null && mapping.files.some((file) => file.match.headings !== undefined && file.match.headings.length > 0);
}

/**
 * Returns the rules of the first entry that fits a file, null when none does; see `fittingEntry`.
 * `shown` is the path as reports have it, where a name of a person is a code: what is said about a report names the file so.
 */
export function chooseRules(mapping: Mapping | null, relativePath: string, headings: readonly string[] | null, shown: string = relativePath): ReadingRules | null {
  if (mapping === null) return null;
  const own = fittingEntry(mapping, relativePath, headings);
  if (shown === relativePath) return own?.reading ?? null;
  const asShown = fittingEntry(mapping, shown, headings);
  const isNamed = asShown?.match.path === shown || asShown?.match.fileName === shown;
  return (isNamed ? asShown : (own ?? asShown))?.reading ?? null;
}

/** Returns what reports call rules that `chooseRules` gave, as a part of a report; nothing where they have no name. */
export function nameOfRules(mapping: Mapping | null, rules: ReadingRules | null): { readonly mapping?: string } {
  const entry = rules === null ? undefined : mapping?.files.find((file) => file.reading === rules);
  const name = entry === undefined ? '' : (entry.name ?? mapping?.name ?? '');
  return name === '' ? {} : { mapping: name };
}
