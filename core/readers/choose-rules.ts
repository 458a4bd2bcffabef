import type { Mapping, ReadingRules } from '../model/mapping.ts';
import { fittingEntry, type MappingEntry } from '../model/mapping-match.ts';
import { overlayRules } from '../model/overlay-rules.ts';

/** Rules for one file. */
export interface ChosenRules {
  readonly rules: ReadingRules;
  /** What reports call them; empty where they have no name. */
  readonly name: string;
}

/** Whether any entry of a mapping is chosen by headings, so that the headings must be found before the rules are known. */
export function asksForHeadings(mapping: Mapping | null): boolean {
  return mapping !== null && mapping.files.some((file) => file.match.headings !== undefined && file.match.headings.length > 0);
}

/**
 * Returns the rules for a file, null when no entry fits it: those of the entry that `fittingEntry` finds among all that do not name
 * exactly one path, with those for exactly this path laid over them, an earlier one over a later one.
 * `shown` is the path as reports have it, where a name of a person is a code: what is said about a report names the file so.
 */
export function chooseRules(mapping: Mapping | null, relativePath: string, headings: readonly string[] | null, shown: string = relativePath): ChosenRules | null {
  if (mapping === null) return null;
  const common = commonEntry(mapping, relativePath, headings, shown);
  const own = mapping.files.filter((entry) => entry.match.path !== undefined && fittingEntry({ ...mapping, files: [entry] }, entry.match.path === shown ? shown : relativePath, headings) !== null);
  const layers = [...(common === null ? [] : [common]), ...own.reverse()];
  if (layers.length === 0) return null;
  return { rules: layers.map(({ reading }) => reading).reduce(overlayRules), name: nameOf(mapping, layers) };
}

function commonEntry(mapping: Mapping, relativePath: string, headings: readonly string[] | null, shown: string): MappingEntry | null {
  const common = { ...mapping, files: mapping.files.filter(({ match }) => match.path === undefined) };
  const own = fittingEntry(common, relativePath, headings);
  if (shown === relativePath) return own;
  const asShown = fittingEntry(common, shown, headings);
  return asShown?.match.fileName === shown ? asShown : (own ?? asShown);
}

/** An entry without a name bears that of the mapping; what was said by hand has an empty one. */
function nameOf(mapping: Mapping, layers: readonly MappingEntry[]): string {
  const names = layers.map((entry) => entry.name ?? mapping.name);
  const said = [...new Set(names.filter((name) => name !== ''))].join(', ');
  return said !== '' && names.includes('') ? `${said} (changed by hand)` : said;
}
