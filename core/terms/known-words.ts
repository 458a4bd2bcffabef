import dictionary from './dictionary.json' with { type: 'json' };
import { foldText, wordsOf } from './fold-text.ts';

/** Every single word of three letters or more that stands in any phrase of the dictionary, folded: words of the trade, no names of persons. */
export const KNOWN_WORDS: ReadonlySet<string> = gather(dictionary, new Set());

function gather(part: unknown, words: Set<string>): Set<string> {
  if (typeof part === 'string') {
    for (const word of wordsOf(foldText(part))) if (word.length >= 3) words.add(word);
  } else if (Array.isArray(part)) {
    for (const one of part) gather(one, words);
  } else if (typeof part === 'object' && part !== null) {
    for (const [key, one] of Object.entries(part)) {
      // Where a list came from is no phrase: it may name authors.
      if (key === 'sources' || key === 'labelClasses') continue;
      gather(key, words);
      gather(one, words);
    }
  }
  return words;
}
