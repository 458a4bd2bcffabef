/** A text that is kept while it is typed, beside the one that the library has. */
export interface KeptWords {
  readonly typed: string;
  /** What the library has, as far as it is known. */
  readonly known: string;
  /** What it was last asked to keep; null: nothing. */
  readonly asked: string | null;
  /** Another window has kept something else while this was typed: it is not written over before somebody types on. */
  readonly isOvertaken: boolean;
}

/** Returns a text that nobody has typed in. */
export function keptWords(known: string): KeptWords {
  return { typed: known, known, asked: null, isOvertaken: false };
}

/** Returns it after typing. */
export function wordsTyped(words: KeptWords, typed: string): KeptWords {
  return { ...words, typed, isOvertaken: false };
}

/** Returns it once the library has another text. Where nobody has typed since, that one is shown; what was typed stays otherwise. */
export function wordsKnown(words: KeptWords, known: string): KeptWords {
  if (known === words.known) return words;
  if (known === words.asked) return { ...words, known };
  return words.typed === words.known ? { ...keptWords(known), asked: words.asked } : { ...words, known, isOvertaken: words.typed !== known };
}

/** Returns whether it has to be kept. */
export function hasToBeKept({ typed, known, isOvertaken }: KeptWords): boolean {
  return typed !== known && !isOvertaken;
}
