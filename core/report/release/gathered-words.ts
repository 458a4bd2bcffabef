import { releaseTokens, type TextToken } from '../../identity/release-tokens.ts';
import { isAsked, RELEASE_KINDS, releaseKey, type ReleaseAnswer, type ReleaseColumn, type ReleaseKind, type ReleaseList, type ReleaseToken } from '../../model/release.ts';

/** Characters of a text around a word in the list, at most. */
const AROUND = 34;
/** A column of more different dates or codes than that is one question: nobody decides about a hundred thousand instants one by one. */
export const MOST_VALUES = 200;
/** What is summed up there. Names and words never are: each is listed, however many there are. */
const SUMMED_KINDS: ReadonlySet<ReleaseKind> = new Set(['date', 'clock time', 'identifier', 'time from the first row', 'length of time', 'year', 'number', 'digest']);
/** Cells that come again and again are read once; this many are remembered. */
const MOST_REMEMBERED = 50_000;
/** An instant as our own tables write it: one date, read at once. */
const INSTANT = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(?:\.\d{1,3})?(?:Z|[+-]\d{2}:\d{2})?$/;

interface Gathered {
  readonly kind: ReleaseKind;
  readonly text: string;
  count: number;
  readonly place: string;
  readonly context: string;
  readonly texts: Set<string>;
}

/** The values of one kind in the columns of one name. */
interface ColumnValues {
  readonly kind: ReleaseKind;
  readonly column: string;
  readonly files: Set<string>;
  cells: number;
  /** Each with how often it is there; the first ones only, where they are too many. */
  readonly values: Map<string, number>;
  smallest: string;
  largest: string;
}

interface ColumnNumbers {
  readonly file: string;
  readonly column: string;
  cells: number;
  smallest: number;
  largest: number;
}

/** What is gathered of everything that would go out: each word, number and date once, with where it stands first. */
export class GatheredWords {
  readonly #words = new Map<string, Gathered>();
  readonly #columns = new Map<string, ColumnValues>();
  readonly #numbers = new Map<string, ColumnNumbers>();
  /** By how they are read: the same text may be a code in one column and a word in another. */
  readonly #remembered = new Map<(text: string) => readonly TextToken[], Map<string, readonly TextToken[]>>();
  #rememberedCount = 0;

  /** Adds a text. `source`: what counts as one text; a column of a table is one, whatever its cells say. */
  add(whole: string, place: string, tokens: readonly TextToken[] = releaseTokens(whole), source = whole): void {
    for (const { kind, start, end } of tokens) this.#addWord(kind, whole.slice(start, end), 1, place, () => around(whole, start, end), source);
  }

  /** Adds a cell of text: dates, codes and the like that fill their cells are summed up by column where there are very many. */
  addCell(file: string, column: string, whole: string, read: (text: string) => readonly TextToken[] = releaseTokens): void {
    if (whole === '') return;
    const tokens = INSTANT.test(whole) ? [{ kind: 'date', start: 0, end: whole.length } as const] : this.#remember(whole, read);
    const [only] = tokens;
    if (only !== undefined && tokens.length === 1 && only.start === 0 && only.end === whole.length && SUMMED_KINDS.has(only.kind)) {
      this.#addValue(only.kind, file, column, whole);
      return;
    }
    const place = placeOf(file, column);
    this.add(whole, place, tokens, place);
  }

  /** Adds a number of a column of numbers: no word, and summed up with the others. */
  addNumber(file: string, column: string, value: number): void {
    const known = this.#numbers.get(`${file}\n${column}`);
    if (known === undefined) {
      this.#numbers.set(`${file}\n${column}`, { file, column, cells: 1, smallest: value, largest: value });
      return;
    }
    known.cells += 1;
    known.smallest = Math.min(known.smallest, value);
    known.largest = Math.max(known.largest, value);
  }

  has(of: Pick<ReleaseAnswer, 'kind' | 'text'>): boolean {
    return this.#words.has(releaseKey(of));
  }

  /** Returns every word, by kind and then as they were added; what was said of them is in `answers`, by key. */
  tokens(answers: ReadonlyMap<string, ReleaseAnswer>): ReleaseToken[] {
    const tokens = [...this.#words.values()].map(({ kind, text, count, place, context, texts }): ReleaseToken => ({ kind, text, count, place, context, otherPlaces: texts.size - 1, isKept: answers.get(releaseKey({ kind, text }))?.decision === 'keep' }));
    return tokens.sort((a, b) => RELEASE_KINDS.indexOf(a.kind) - RELEASE_KINDS.indexOf(b.kind));
  }

  /** Returns the list of what was added with `addCell` and `addNumber` too; nothing of it is answered. */
  list(): ReleaseList {
    const columns: ReleaseColumn[] = [...this.#numbers.values()].map(({ file, column, cells, smallest, largest }) => ({ kind: 'number', file, column, cells, smallest: String(smallest), largest: String(largest) }));
    for (const summed of this.#columns.values()) {
      const { kind, column, files, cells, values, smallest, largest } = summed;
      const [first = ''] = files;
      if (values.size <= MOST_VALUES) {
        for (const [text, count] of values) this.#addWord(kind, text, count, placeOf(first, column), () => '', placeOf(first, column));
        continue;
      }
      if (isAsked(kind)) this.#addWord(kind, columnQuestion(summed), cells, placeOf(first, column), () => `first ${smallest}, last ${largest}, in order of their signs`, column);
      columns.push({ kind, file: files.size === 1 ? first : `${first} and ${files.size - 1} more`, column, cells, smallest, largest });
    }
    this.#columns.clear();
    const tokens = this.tokens(new Map());
    return { tokens, columns, removals: [], open: tokens.filter(({ kind }) => isAsked(kind)).length, isKeepOnly: false };
  }

  #addWord(kind: ReleaseKind, text: string, count: number, place: string, context: () => string, source: string): void {
    const key = releaseKey({ kind, text });
    const known = this.#words.get(key);
    if (known === undefined) {
      this.#words.set(key, { kind, text, count, place, context: context(), texts: new Set([source]) });
      return;
    }
    known.count += count;
    known.texts.add(source);
  }

  #addValue(kind: ReleaseKind, file: string, column: string, text: string): void {
    const key = `${kind}\n${column}`;
    let known = this.#columns.get(key);
    if (known === undefined) {
      known = { kind, column, files: new Set(), cells: 0, values: new Map(), smallest: text, largest: text };
      this.#columns.set(key, known);
    }
    known.files.add(file);
    known.cells += 1;
    if (text < known.smallest) known.smallest = text;
    if (text > known.largest) known.largest = text;
    if (known.values.size <= MOST_VALUES || known.values.has(text)) known.values.set(text, (known.values.get(text) ?? 0) + 1);
  }

  #remember(whole: string, read: (text: string) => readonly TextToken[]): readonly TextToken[] {
    if (this.#rememberedCount >= MOST_REMEMBERED) {
      this.#remembered.clear();
      this.#rememberedCount = 0;
    }
    const own = this.#remembered.get(read) ?? new Map<string, readonly TextToken[]>();
    this.#remembered.set(read, own);
    const known = own.get(whole);
    if (known !== undefined) return known;
    const tokens = read(whole);
    own.set(whole, tokens);
    this.#rememberedCount += 1;
    return tokens;
  }
}

/** Names a column that is one question; other values make another question, so that an answer never covers what nobody saw. */
function columnQuestion({ column, cells, files, smallest, largest }: ColumnValues): string {
  return `every ${column}, ${cells} cells in ${files.size === 1 ? '1 file' : `${files.size} files`}: ${smallest} to ${largest}`;
}

function placeOf(file: string, column: string): string {
  return column === '' ? file : `${file}, ${column}`;
}

/** Returns a word with what stands around it, in whole words; what is longer than the room is cut all the same. */
function around(text: string, start: number, end: number): string {
  const from = start <= AROUND ? 0 : start - AROUND + Math.max(0, text.slice(start - AROUND - 1, start).search(/\s/u));
  const last = text.slice(end, end + AROUND + 1).search(/\s\S*$/u);
  const to = text.length - end <= AROUND ? text.length : end + (last < 0 ? AROUND : last);
  return `${from > 0 ? '…' : ''}${text.slice(from, to).replace(/\s+/gu, ' ')}${to < text.length ? '…' : ''}`;
}
