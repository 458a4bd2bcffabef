import { spellingsOf, wordsOf } from './fold-text.ts';

/** Phrases of one or more words, each with what it means. Built once, never changed. */
export interface PhraseIndex<T> {
  readonly meanings: ReadonlyMap<string, T>;
  /** For each word that begins a phrase: how many words the longest such phrase has. */
  readonly reach: ReadonlyMap<string, number>;
}

export interface PhraseHit<T> {
  /** Index of the first word, and of the word after the last. */
  readonly start: number;
  readonly end: number;
  readonly phrase: string;
  readonly meaning: T;
}

/**
 * Returns the index of the given phrases. `join` says what a phrase means that is listed twice; without it a phrase
 * with two meanings is a fault of the dictionary.
 * Errors   throws on such a phrase and on an empty one (our bug).
 */
export function buildPhraseIndex<T>(entries: Iterable<readonly [phrase: string, meaning: T]>, join?: (a: T, b: T) => T): PhraseIndex<T> {
  const meanings = new Map<string, T>();
  const reach = new Map<string, number>();
  for (const [phrase, meaning] of entries) {
    for (const spelling of spellingsOf(phrase)) {
      const words = wordsOf(spelling);
      const [first] = words;
      if (first === undefined) throw new Error(`empty phrase in the dictionary: ${JSON.stringify(phrase)}`);
      const key = words.join(' ');
      const known = meanings.get(key);
      if (known !== undefined && known !== meaning && join === undefined) throw new Error(`phrase with two meanings in the dictionary: ${key}`);
      meanings.set(key, known === undefined || known === meaning || join === undefined ? meaning : join(known, meaning));
      reach.set(first, Math.max(reach.get(first) ?? 0, words.length));
    }
  }
  return { meanings, reach };
}

/** Returns the phrases found in `words`, left to right, the longest first, never overlapping. */
export function findPhrases<T>(words: readonly string[], index: PhraseIndex<T>): PhraseHit<T>[] {
  const hits: PhraseHit<T>[] = [];
  let at = 0;
  while (at < words.length) {
    const hit = phraseAt(words, at, index);
    if (hit === null) at += 1;
    else {
      hits.push(hit);
      at = hit.end;
    }
  }
  return hits;
}

function phraseAt<T>(words: readonly string[], start: number, index: PhraseIndex<T>): PhraseHit<T> | null {
  const reach = index.reach.get(words[start] ?? '');
  if (reach === undefined) return null;
  for (let length = Math.min(reach, words.length - start); length >= 1; length -= 1) {
    const phrase = length === 1 ? (words[start] ?? '') : words.slice(start, start + length).join(' ');
    const meaning = index.meanings.get(phrase);
    if (meaning !== undefined) return { start, end: start + length, phrase, meaning };
  }
  return null;
}
