import { foldText } from '../terms/fold-text.ts';
import { isFrequentName, isNoName, mayBeName } from './name-words.ts';

/** More different identifiers than this are not looked for one by one in free texts. */
const MOST = 20_000;
const TOKEN = /[\p{L}\p{N}]+/gu;
/** Fewer letters and figures in all are too little to be looked for. */
const LEAST_SIGNS = 6;

/** Identifiers that a file names in its identifying cells, to be found again in its free texts. */
export interface KnownIdentifiers {
  /** Returns a text with every place replaced by what `blank` returns. */
  replace(text: string, blank: () => string): string;
}

/**
 * Returns what finds, in free text, what identifying cells of the same file say: whole cells, and the single words and numbers in
 * them where these are long and unusual enough not to be anything else. Signs between words, case and accents do not matter.
 * Null where there is nothing to look for.
 */
export function knownIdentifiers(cells: Iterable<string>): KnownIdentifiers | null {
  /** Sequences of words by their first word, the longest first. */
  const byFirst = new Map<string, (readonly string[])[]>();
  const seen = new Set<string>();
  const add = (words: readonly string[]): void => {
    const key = words.join(' ');
    const [first] = words;
    if (first === undefined || seen.has(key) || seen.size >= MOST) return;
    seen.add(key);
    byFirst.set(first, [...(byFirst.get(first) ?? []), words].sort((a, b) => b.length - a.length));
  };
  for (const raw of cells) {
    const cell = raw.trim();
    if (cell.length < 3 || cell.length > 120 || isEmptyWord(cell)) continue;
    const written = cell.match(TOKEN) ?? [];
    const words = written.map(foldText);
    if (words.length > 1 && words.join('').length >= LEAST_SIGNS && words.some((word) => isTelling(word) || /\d{4}/.test(word))) add(words);
    // "Smith, John" in a column is "John Smith" in a note.
    if (words.length === 2 && words.every((word) => !/\d/.test(word)) && words.some(isTelling)) add([...words].reverse());
    // A small first letter speaks for a word ("system", "auto"), unless it is a frequent name.
    if (words.length <= 6) for (const [i, word] of words.entries()) if (isTelling(word) && (/^[\p{Lu}\d]/u.test(written[i] ?? '') || isFrequentName(word))) add([word]);
  }
  if (byFirst.size === 0) return null;
  return {
    replace(text, blank) {
      const tokens = [...text.matchAll(TOKEN)].map((match) => ({ word: foldText(match[0]), start: match.index, end: match.index + match[0].length }));
      let out = '';
      let at = 0;
      for (let i = 0; i < tokens.length; i += 1) {
        const own = tokens[i];
        const found = own === undefined ? undefined : byFirst.get(own.word)?.find((words) => words.every((word, k) => tokens[i + k]?.word === word && (k === 0 || (tokens[i + k]?.start ?? 0) - (tokens[i + k - 1]?.end ?? 0) <= 3)));
        if (own === undefined || found === undefined) continue;
        out += text.slice(at, own.start) + blank();
        i += found.length - 1;
        at = tokens[i]?.end ?? at;
      }
      return at === 0 ? text : out + text.slice(at);
    },
  };
}

/** Whether a word or number can hardly be anything but the identifier. */
function isTelling(word: string): boolean {
  if (/^\d+$/.test(word)) return word.length >= 5 && !/000$/.test(word);
  if (/\d/.test(word)) return word.length >= 5 && /\d{3}/.test(word);
  return word.length >= 3 && mayBeName(word) && !isNoName(word);
}

function isEmptyWord(cell: string): boolean {
  return /^(?:unknown|unbekannt|none|null|nan|n\/?a|anonym(?:ous|ised|ized)?|not stated|test|x+|-+|\?+|inconnu|male|female|m|f)$/.test(foldText(cell));
}
