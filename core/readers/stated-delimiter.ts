import type { ReadingRules } from '../model/mapping.ts';

const DELIMITER_WORDS: Readonly<Record<string, number>> = { comma: 44, semicolon: 59, tab: 9, pipe: 124, '\\t': 9 };

/** Returns the byte between cells that rules state, null where they state none, or that blanks align the columns. */
export function statedDelimiter(rules: ReadingRules | null): number | null {
  const text = rules?.delimiter;
  if (text === undefined || text === '' || text.toLowerCase() === 'aligned') return null;
  return DELIMITER_WORDS[text.toLowerCase()] ?? text.charCodeAt(0);
}
