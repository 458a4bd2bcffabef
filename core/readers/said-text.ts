import { readNote } from './entry-text.ts';
import { roleOfHeading } from './heading-words.ts';
import type { PhraseBook } from './phrase-book.ts';
import type { RawDrug, RawEvent } from './reading.ts';

/** A text that a file gives as the value of something that is no measurement. */
export interface SaidText {
  /** What it is the value of: "Note", "Body position". */
  readonly words: string;
  readonly text: string;
  readonly tMs: number;
  readonly line: number;
}

/**
 * Returns the drugs and events that texts report, in order of time. Under a word that only says "note" or "event" each text
 * counts; under any other it is a state, and one that only says what the same words said before is dropped. A drug given
 * again is given again.
 */
export function readSaid(said: readonly SaidText[], book: PhraseBook): { readonly drugs: RawDrug[]; readonly events: RawEvent[]; readonly nDropped: number } {
  const before = new Map<string, string>();
  const drugs: RawDrug[] = [];
  const events: RawEvent[] = [];
  let nDropped = 0;
  for (const { words, text, tMs, line } of [...said].sort((a, b) => a.tMs - b.tMs || a.line - b.line)) {
    const isPlainNote = roleOfHeading(words) !== null;
    const isSame = before.get(words) === text;
    before.set(words, text);
    const read = readNote(isPlainNote ? text : `${words}: ${text}`, tMs, line, book, null, isPlainNote ? [] : [text, words]);
    if (read.drug !== null) drugs.push(read.drug);
    else if (isSame && !isPlainNote) nDropped += 1;
    else events.push(read.event, ...read.more);
  }
  return { drugs, events, nDropped };
}
