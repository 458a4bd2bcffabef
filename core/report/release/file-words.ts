import { releaseTokens, type TextToken } from '../../identity/release-tokens.ts';
import { isAsked } from '../../model/release.ts';
import { BUNDLE_FILES } from '../bundle/bundle-names.ts';
import type { ColumnType } from '../column.ts';
import { CsvRows } from '../csv-rows.ts';
import type { GatheredWords } from './gathered-words.ts';
import { METHOD_WORDS } from './own-names.ts';

/** A written file, as its words are listed. */
export interface ListedFile {
  readonly name: string;
  readonly text: AsyncIterable<string> | Iterable<string>;
  /** Of a table: what each column holds, in order. Left out: text. */
  readonly types?: readonly ColumnType[] | undefined;
  /** Nothing of a case, of a file that was read or of a person is in it: the program writes the same for everybody. */
  readonly isOwn?: boolean | undefined;
}

/** Says which stretches of a text are words, dates and so on. */
type ReadTokens = (text: string) => readonly TextToken[];

/** Names of columns, fields and files that are the program's. */
export type OwnNames = ReadonlySet<string>;

/** Columns that say of which case a row is: a name of a case is one code, which is often a record number. */
const NAMES_OF_CASES: ReadonlySet<string> = new Set(['case_id', 'list_case', 'case', 'proposed', 'patient']);

/** A number with a decimal point: no date, whatever figures it has. Five figures before the point may be the day number of a spreadsheet. */
const DECIMAL = /^[+-]?\d{1,4}\.\d+$/;
const DIGEST = /^[0-9a-f]{64}$/;
/** Keys by which a library knows its cases: digests that nobody can make without the key of the library. */
const KEYS_OF_CASES = 'options.cases';
const KEY = /^[0-9a-f]{16,64}$/;
/** Columns in which the program names a method of statistics by its authors. */
const METHODS = /(?:^|_)method$/;
/** Codes that the program gives or takes from a register of its dictionary, by column. ATC: form of the codes from memory; MDC: figures of ISO/IEEE 11073-10101. */
const OWN_CODES: ReadonlyMap<string, RegExp> = new Map([['exposure_id', /^exposure:[a-z]\d+$/], ['atc', /^[A-Z]\d{2}[A-Z]{2}\d{2}$/], ['mdc_code', /^\d{3,6}$/], ['chart', /^xmr$/]]);

/** Adds every word, number, date and code of a written file, and those of its name. Errors  throws for a table or JSON that we do not write: our bug. */
export async function addFileWords(gathered: GatheredWords, file: ListedFile, own: OwnNames): Promise<void> {
  const read: ReadTokens = file.isOwn === true ? ownTokens : (text) => withoutOwn(text, own, file.name === BUNDLE_FILES.methods);
  gathered.add(file.name, 'names of the files', read(file.name));
  if (file.name.endsWith('.csv')) return await addTable(gathered, file, read, own);
  const text = await wholeText(file.text);
  if (file.name.endsWith('.json')) {
    const value: unknown = JSON.parse(text);
    addJson(gathered, file.name, '', value, read);
    return;
  }
  const lines = /\.(?:svg|html)$/.test(file.name) ? markupTexts(text) : text.split('\n').map(withoutMarks);
  for (const line of lines) gathered.add(line, file.name, read(line));
}

async function addTable(gathered: GatheredWords, { name, text, types }: ListedFile, read: ReadTokens, own: OwnNames): Promise<void> {
  const reader = new CsvRows();
  let headings: readonly { readonly column: string; readonly read: ReadTokens; readonly isNumber: boolean }[] | null = null;
  for await (const piece of text) {
    for (const cells of reader.push(piece)) {
      if (headings === null) {
        headings = cells.map((column, i) => ({ column, read: readerOf(column, read, own), isNumber: types?.[i] === 'number' }));
        for (const heading of cells) gathered.add(heading, `${name}, headings`, (types === undefined ? read : ownTokens)(heading), `${name}, headings`);
        continue;
      }
      for (const [i, cell] of cells.entries()) {
        const heading = headings[i];
        if (heading === undefined) throw new Error(`${name} has a row that is longer than its headings`);
        if (!heading.isNumber) gathered.addCell(name, heading.column, cell, heading.read);
        else if (cell !== '') gathered.addNumber(name, heading.column, Number(cell));
      }
    }
  }
  reader.end();
}

/** Returns how cells of a column are read. */
function readerOf(column: string, read: ReadTokens, own: OwnNames): ReadTokens {
  if (NAMES_OF_CASES.has(column)) return (text) => [{ kind: 'identifier', start: 0, end: text.length }];
  if (METHODS.test(column)) return (text) => withoutOwn(text, own, true);
  const code = OWN_CODES.get(column);
  if (code !== undefined) return (text) => (code.test(text) ? ownTokens(text) : read(text));
  return (text) => {
    if (DECIMAL.test(text)) return [{ kind: 'number', start: 0, end: text.length }];
    return DIGEST.test(text) ? [{ kind: 'digest', start: 0, end: text.length }] : read(text);
  };
}

function addJson(gathered: GatheredWords, file: string, path: string, value: unknown, read: ReadTokens): void {
  if (typeof value === 'string') gathered.addCell(file, path, value, DIGEST.test(value) || (path === KEYS_OF_CASES && KEY.test(value)) ? () => [{ kind: 'digest', start: 0, end: value.length }] : read);
  else if (typeof value === 'number') gathered.addNumber(file, path, value);
  else if (typeof value === 'boolean') gathered.addCell(file, path, String(value), read);
  else if (Array.isArray(value)) for (const one of value) addJson(gathered, file, path, one, read);
  else if (typeof value === 'object' && value !== null) {
    for (const [key, one] of Object.entries(value)) {
      gathered.add(key, `${file}, names of fields`, read(key), `${file}, names of fields`);
      addJson(gathered, file, path === '' ? key : `${path}.${key}`, one, read);
    }
  }
}

/** Returns what a reader of a picture or page is told: its texts, and the words for whoever cannot see it. */
function markupTexts(text: string): string[] {
  const words = [...text.matchAll(/ (?:aria-label|alt|title)="([^"]*)"/g)].map((match) => match[1] ?? '');
  return [...words, ...text.replace(/<(style|script)\b[\s\S]*?<\/\1>/g, '\n').replace(/<[^>]*>/g, '\n').split('\n')].flatMap((line) => {
    const plain = line.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&').trim();
    return plain === '' ? [] : [plain];
  });
}

/** Marks of Markdown say nothing; what stands behind them begins a line. */
function withoutMarks(line: string): string {
  return line.replace(/^\s*(?:#+|[-*>])\s+/, '').replaceAll('**', '').replaceAll('`', ' ').trim();
}

/** What the program itself calls a column, a field or a file names nobody. */
function withoutOwn(text: string, own: OwnNames, isOfMethods: boolean): readonly TextToken[] {
  return releaseTokens(text).map((one) => {
    if (!isAsked(one.kind)) return one;
    const word = text.slice(one.start, one.end);
    return own.has(word) || isCompound(word) || (isOfMethods && METHOD_WORDS.has(word.replace(/[’']s$/, ''))) ? { ...one, kind: 'word' as const } : one;
  });
}

/** A heading of an export such as `spo2_finger`: words that are known, with lines between. */
function isCompound(word: string): boolean {
  return word.includes('_') && word.split('_').every((part) => releaseTokens(part).every(({ kind }) => kind === 'word'));
}

function ownTokens(text: string): readonly TextToken[] {
  return releaseTokens(text).map((one) => (isAsked(one.kind) ? { ...one, kind: 'word' as const } : one));
}

async function wholeText(pieces: ListedFile['text']): Promise<string> {
  let text = '';
  for await (const piece of pieces) text += piece;
  return text;
}
