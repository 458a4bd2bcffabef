import { foldText } from '../terms/fold-text.ts';
import { isNoName, mayBeName } from './name-words.ts';

/** More different identifiers than this are not looked for one by one in free texts. */
const MOST = 4000;

/**
 * Returns a pattern that finds, in free text, what identifying cells of the same file say: whole cells, and the single words and
 * numbers in them where these are long and unusual enough not to be anything else. Null where there is nothing to look for.
 */
export function knownIdentifiers(cells: Iterable<string>): RegExp | null {
  const found = new Set<string>();
  for (const raw of cells) {
    if (found.size >= MOST) break;
    const cell = raw.trim();
    if (cell.length < 3 || cell.length > 120 || isEmptyWord(cell)) continue;
    const words = cell.split(/[^\p{L}\p{N}'’-]+/u).filter((word) => word !== '');
    if (words.length > 1 || isTelling(cell)) found.add(cell);
    if (words.length > 6) continue;
    for (const word of words) if (isTelling(word)) found.add(word);
    // "Smith, John" in a column is "John Smith" in a note.
    if (words.length === 2) found.add(`${words[1] ?? ''} ${words[0] ?? ''}`);
  }
  if (found.size === 0) return null;
  const longestFirst = [...found].sort((a, b) => b.length - a.length || (a < b ? -1 : 1));
  return new RegExp(`(?<![\\p{L}\\p{N}])(?:${longestFirst.map(escaped).join('|')})(?![\\p{L}\\p{N}])`, 'giu');
}

/** Whether a word or number can hardly be anything but the identifier: four figures that are no year or round number, or a name's word. */
function isTelling(word: string): boolean {
  if (/^\d+$/.test(word)) return word.length >= 5 && !/000$/.test(word);
  if (/\d/.test(word)) return word.length >= 5 && /\d{3}/.test(word);
  return word.length >= 3 && mayBeName(word) && !isNoName(word);
}

function isEmptyWord(cell: string): boolean {
  return /^(?:unknown|unbekannt|none|null|nan|n\/?a|anonym(?:ous|ised|ized)?|not stated|test|x+|-+|\?+|inconnu|male|female|m|f)$/.test(foldText(cell));
}

function escaped(text: string): string {
  return text.replace(/[\\^$.*+?()[\]{}|/-]/g, (sign) => (sign === '-' ? '\\x2d' : sign === '/' ? '\\/' : `\\${sign}`)).replace(/\s+/g, '\\s+');
}
