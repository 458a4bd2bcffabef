import type { ReadingRules } from '../model/mapping.ts';

function fold(text: string): string {
  return text.trim().replace(/\s+/g, ' ').toLowerCase();
}

/**
 * Returns a note about the columns that a mapping names and a file does not have. `headings` are its headings and, in a long
 * table or a coded file, its names ("Oxygen saturation (59408-5)" goes by its words and by its code too).
 */
export function unmetColumnNotes(rules: ReadingRules | null, headings: readonly string[], nColumns: number): string[] {
  if (rules?.columns === undefined) return [];
  const known = new Set<string>();
  for (const heading of headings) {
    known.add(fold(heading));
    const parts = /^(.*?)\s*\(([^()]+)\)$/.exec(heading);
    if (parts !== null) for (const part of parts.slice(1)) known.add(fold(part));
  }
  const unmet = Object.keys(rules.columns).filter((key) => {
    const number = /^column (\d+)$/i.exec(key.trim())?.[1];
    return !known.has(fold(key)) && !(number !== undefined && Number(number) >= 1 && Number(number) <= nColumns);
  });
  if (unmet.length === 0) return [];
  const shown = unmet.slice(0, 5).map((key) => `"${key.slice(0, 60)}"`).join(', ');
  return [unmet.length === 1 ? `The mapping names a column that this file does not have: ${shown}.` : `The mapping names ${unmet.length} columns that this file does not have: ${shown}${unmet.length > 5 ? ' and others' : ''}.`];
}

/** What only a table of text leaves open, in words. */
const OF_TABLES: readonly { readonly field: keyof ReadingRules; readonly words: string }[] = [
  { field: 'kind', words: 'kind of file' },
  { field: 'delimiter', words: 'delimiter' },
  { field: 'decimalMark', words: 'decimal mark' },
  { field: 'dateOrder', words: 'order of dates' },
  { field: 'timeKind', words: 'kind of times' },
];

/** Returns a note about what a mapping states and a coded file leaves no room for. */
export function needlessRuleNotes(rules: ReadingRules | null): string[] {
  const needless = OF_TABLES.filter(({ field }) => rules?.[field] !== undefined).map(({ words }) => words);
  return needless.length === 0 ? [] : [`This kind of file settles by itself what the mapping states: ${needless.join(', ')}.`];
}
