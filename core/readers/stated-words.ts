import { countWords } from '../base/count-words.ts';
import type { ColumnReading, ReadingRules } from '../model/mapping.ts';

interface StatedWord {
  readonly word: string;
  count: number;
}

/** The words of one list of a mapping, by their spelling and, where they are numbers, by their value. */
interface WordList {
  readonly byText: ReadonlyMap<string, StatedWord>;
  readonly byNumber: ReadonlyMap<number, StatedWord>;
}

function fold(text: string): string {
  return text.trim().replace(/\s+/g, ' ').toLowerCase();
}

function numberOf(text: string): number {
  const plain = text.trim().replace(/^[\u2212\u2013](?=[\d.,])/, '-');
  return /^[+-]?(?:\d+[.,]?\d*|[.,]\d+)$/.test(plain) ? Number(plain.replace(',', '.')) : NaN;
}

function listOf(words: readonly string[] | undefined): WordList | null {
  if (words === undefined || words.length === 0) return null;
  const entries = words.filter((word) => word.trim() !== '').map((word): StatedWord => ({ word, count: 0 }));
  return { byText: new Map(entries.map((entry) => [fold(entry.word), entry])), byNumber: new Map(entries.flatMap((entry) => (Number.isNaN(numberOf(entry.word)) ? [] : [[numberOf(entry.word), entry] as const]))) };
}

const LETTER = /[\p{L}\d]/u;

/** What a person said about the cells of one column (or of the rows of one name). */
export class CellStatement {
  constructor(
    private readonly fillers: readonly WordList[],
    private readonly flags: readonly WordList[],
  ) {}

  /** Whether anything was said about marks beside values. */
  get hasFlags(): boolean {
    return this.flags.length > 0;
  }

  /** Returns whether a number stands for "no value"; a word that is a number fits it however it is written (999, 999.0). */
  takesNumber(value: number): boolean {
    return this.fillers.some((list) => counted(list.byNumber.get(value)));
  }

  /** Returns whether the text of a whole cell stands for "no value". */
  takesText(text: string): boolean {
    return this.fillers.some((list) => counted(list.byText.get(fold(text)) ?? list.byNumber.get(numberOf(text))));
  }

  /** Returns what is left of a cell when the mark in it is taken off, '' when it holds nothing else; null when it holds no mark. */
  withoutFlag(text: string): string | null {
    const lower = text.toLowerCase();
    for (const list of this.flags) {
      for (const [word, entry] of list.byText) {
        for (let at = lower.indexOf(word); at !== -1; at = lower.indexOf(word, at + 1)) {
          // A letter or digit stuck to the word makes it another one, but "97art" carries the mark "art".
          if (!standsAlone(lower, at, word)) continue;
          counted(entry);
          return `${text.slice(0, at)} ${text.slice(at + word.length)}`.replace(/^[\s()[\]{},;:/|]+|[\s()[\]{},;:/|]+$/g, '');
        }
      }
    }
    return null;
  }
}

function standsAlone(text: string, at: number, word: string): boolean {
  const isBound = (own: string, beside: string): boolean => own !== '' && beside !== '' && LETTER.test(own) && LETTER.test(beside) && !(/\d/.test(own) !== /\d/.test(beside));
  return !isBound(word.slice(0, 1), text.slice(Math.max(0, at - 1), at)) && !isBound(word.slice(-1), text.slice(at + word.length, at + word.length + 1));
}

function counted(entry: StatedWord | undefined): boolean {
  if (entry === undefined) return false;
  entry.count += 1;
  return true;
}

/** The fillers and artefact words that a person stated for one file and its columns, and how often they were met. */
export class StatedWords {
  private readonly lists = new Map<readonly string[], WordList | null>();
  private readonly fillers: (readonly string[])[] = [];
  private readonly flags: (readonly string[])[] = [];

  constructor(private readonly rules: Pick<ReadingRules, 'sentinels' | 'flagWords'> | null) {
    this.list(rules?.sentinels, this.fillers);
    this.list(rules?.flagWords, this.flags);
  }

  /** Returns what was said about the cells to which some rules of columns or names apply; null when nothing was. */
  of(...columns: readonly (ColumnReading | undefined)[]): CellStatement | null {
    const fillers = [this.rules?.sentinels, ...columns.map((column) => column?.sentinels)].flatMap((words) => this.list(words, this.fillers) ?? []);
    const flags = [this.rules?.flagWords, ...columns.map((column) => column?.flagWords)].flatMap((words) => this.list(words, this.flags) ?? []);
    return fillers.length === 0 && flags.length === 0 ? null : new CellStatement(fillers, flags);
  }

  private list(words: readonly string[] | undefined, of: (readonly string[])[]): WordList | null {
    if (words === undefined) return null;
    let list = this.lists.get(words);
    if (list === undefined) {
      list = listOf(words);
      this.lists.set(words, list);
      if (list !== null) of.push(words);
    }
    return list;
  }

  /** Says how often the fillers were met, and which words no cell holds. */
  notes(): string[] {
    const entries = (of: readonly (readonly string[])[]): StatedWord[] => of.flatMap((words) => [...(this.lists.get(words)?.byText.values() ?? [])]);
    const fillers = entries(this.fillers);
    const met = fillers.filter(({ count }) => count > 0);
    const unmet = [...fillers, ...entries(this.flags)].filter(({ count }) => count === 0);
    const listed = (words: readonly StatedWord[], withCount: boolean): string => `${words.slice(0, 6).map(({ word, count }) => `"${word.slice(0, 40)}"${withCount ? ` (${count})` : ''}`).join(', ')}${words.length > 6 ? ' and others' : ''}`;
    const notes: string[] = [];
    if (met.length > 0) notes.push(`Taken as "no value" because the mapping says so: ${listed(met, true)}.`);
    if (unmet.length > 0) notes.push(`The mapping states ${countWords(unmet.length, 'filler or artefact word that no cell of this file holds', 'fillers or artefact words that no cell of this file holds')}: ${listed(unmet, false)}.`);
    return notes;
  }
}
