import { countWords } from '../base/count-words.ts';
import type { UnknownPhrase } from '../model/import-report.ts';
import type { PhraseReading, ReadingRules } from '../model/mapping.ts';

/** So many phrases are listed in the report; beyond, their entries are counted. */
const MAX_LISTED = 200;
/** So many different phrases are told apart: a column of free text must not fill the memory. */
const MAX_KNOWN = 5000;
/** A longer text is a report, not a phrase that comes again; also the longest that a mapping takes. */
const MAX_LENGTH = 300;

function keyOf(phrase: string): string {
  return phrase.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** Returns a phrase up to its first number, signs at its end cut off: "Xylan 5 mg IV" is about "Xylan". */
function stemOf(phrase: string): string {
  return phrase.replace(/\s*(?<![\p{L}\d])[\d.,]*\d.*$/su, '').replace(/[\s:=,;([-]+$/, '');
}

/** Knows what a person said about phrases of one file, and gathers those that nobody and nothing could tell the meaning of. */
export class PhraseBook {
  private readonly stated = new Map<string, { readonly phrase: string; readonly reading: PhraseReading; isMet: boolean }>();
  private readonly unknown = new Map<string, { readonly text: string; readonly kind: UnknownPhrase['kind']; count: number; first: number }>();
  private nNotKept = 0;

  constructor(stated: ReadingRules['phrases']) {
    for (const [phrase, reading] of Object.entries(stated ?? {})) this.stated.set(keyOf(phrase), { phrase, reading, isMet: false });
  }

  /** Returns what was said of the first of some phrases for which anything was, whole or up to its first number; null otherwise. */
  meaningOf(...phrases: readonly string[]): { readonly phrase: string; readonly reading: PhraseReading } | null {
    if (this.stated.size === 0) return null;
    for (const phrase of phrases) {
      if (phrase.length > MAX_LENGTH) continue;
      for (const candidate of [phrase, phrase.replace(/\s*[([][^()[\]]*[)\]]\s*$/, ''), stemOf(phrase)]) {
        const found = candidate === '' ? undefined : this.stated.get(keyOf(candidate));
        if (found === undefined) continue;
        found.isMet = true;
        return { phrase: candidate, reading: found.reading };
      }
    }
    return null;
  }

  /** Counts an entry whose phrase says nothing to this program. A drug's phrase is taken up to its first number: the dose differs. */
  addUnknown(kind: UnknownPhrase['kind'], text: string, line: number): void {
    const stem = kind === 'drug' && text.length <= MAX_LENGTH ? stemOf(text) : '';
    const phrase = (stem === '' ? text : stem).trim().replace(/\s+/g, ' ');
    const key = `${kind}\u0000${phrase.toLowerCase()}`;
    const known = this.unknown.get(key);
    if (known !== undefined) {
      known.count += 1;
      known.first = Math.min(known.first, line);
    } else if (phrase === '' || phrase.length > MAX_LENGTH || this.unknown.size >= MAX_KNOWN) this.nNotKept += 1;
    else this.unknown.set(key, { text: phrase, kind, count: 1, first: line });
  }

  /** Returns the phrases that nothing is known of, the most frequent first, and how many entries have a phrase that is not listed. */
  report(): { readonly unknown_phrases: UnknownPhrase[]; readonly unknown_phrases_not_listed: number } {
    const sorted = [...this.unknown.values()].sort((a, b) => b.count - a.count || a.first - b.first || (a.text < b.text ? -1 : 1));
    return {
      unknown_phrases: sorted.slice(0, MAX_LISTED).map(({ text, kind, count, first }) => ({ text, kind, count, first_line: first })),
      unknown_phrases_not_listed: this.nNotKept + sorted.slice(MAX_LISTED).reduce((sum, { count }) => sum + count, 0),
    };
  }

  /** Says which phrases of the mapping no entry of the file has. */
  notes(): string[] {
    const missed = [...this.stated.values()].filter(({ isMet }) => !isMet).map(({ phrase }) => `"${phrase.slice(0, 60)}"`);
    if (missed.length === 0) return [];
    return [`The mapping says what ${countWords(missed.length, 'phrase means that no entry of this file has', 'phrases mean that no entry of this file has')}: ${missed.slice(0, 5).join(', ')}${missed.length > 5 ? ' and others' : ''}.`];
  }
}
