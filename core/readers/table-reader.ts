import type { ColumnReport, Guess } from '../model/import-report.ts';
import type { ReadingRules } from '../model/mapping.ts';
import { ByteMap } from './byte-map.ts';
import { isFillerWord } from './cell-words.ts';
import type { ColumnWatch } from './column-watch.ts';
import type { CellDecoder } from './decode-text.ts';
import { columnRule } from './plan-table.ts';
import type { ListWatch } from './list-watch.ts';
import type { PhraseBook } from './phrase-book.ts';
import type { CaseReading } from './reading.ts';
import type { RowAccount } from './row-account.ts';
import type { RowSink, RowView, SplitProblem } from './row-splitter.ts';
import type { Shelf } from './shelf.ts';
import type { CellStatement, StatedWords } from './stated-words.ts';
import type { ColumnPlan, TablePlan } from './table-plan.ts';
import { freshClock, type ClockState, type TimeColumn } from './time-column.ts';

/** What every reader of one table needs. */
export interface TableContext {
  readonly plan: TablePlan;
  readonly time: TimeColumn | null;
  readonly account: RowAccount;
  readonly watch: ColumnWatch;
  readonly decoder: CellDecoder;
  readonly rules: ReadingRules | null;
  readonly phrases: PhraseBook;
  readonly words: StatedWords;
  readonly keepIdentifiers: boolean;
  readonly shelf: Shelf | undefined;
  readonly list: { readonly watch: ListWatch; readonly table: number } | null;
}

/** What a reader hands back when the file is at its end. */
export interface TableResult {
  readonly cases: CaseReading[];
  readonly columns: ColumnReport[];
  readonly guesses: Guess[];
  readonly notes: string[];
}

const PROBLEM_WORDS: Readonly<Record<SplitProblem, string>> = {
  'quote mark not closed': 'a quote mark is opened and not closed on this line',
  'quote mark out of place': 'a quote mark stands inside a quoted cell',
  'line too long': 'line longer than 1 MB',
  'too many cells': 'more than 4096 cells',
};

/** One case of a table; `index` is its place among them. */
export interface CaseSlot<T> {
  readonly index: number;
  readonly key: string | null;
  readonly clock: ClockState;
  readonly content: T;
}

/** The cases of one table by the bytes of their case cell, each with its clock state and whatever a reader keeps for it. */
export class CaseSlots<T> {
  readonly slots: CaseSlot<T>[] = [];
  private readonly byBytes = new ByteMap<number>(1_000_000);
  private readonly byText = new Map<string, number>();
  private readonly column: number;
  private readonly fixed: string | null;

  constructor(
    columns: readonly ColumnPlan[],
    rules: ReadingRules | null,
    private readonly decoder: CellDecoder,
    private readonly make: () => T,
  ) {
    this.fixed = rules?.caseId ?? null;
    this.column = this.fixed === null ? (columns.find((column) => column.role === 'case')?.index ?? -1) : -1;
  }

  /** Returns the slot of the row's case, null when the table has a case column and the row leaves it empty. */
  of(row: RowView): CaseSlot<T> | null {
    if (this.column === -1) return this.slots[0] ?? this.add(this.fixed);
    if (this.column >= row.n) return null;
    const start = row.trimmedStart(this.column);
    const end = row.trimmedEnd(this.column);
    if (start >= end) return null;
    const known = this.byBytes.get(row.buf, start, end);
    if (known !== undefined) return this.slots[known] ?? null;
    const text = this.decoder.decode(row.buf, start, end).trim();
    let index = this.byText.get(text);
    if (index === undefined) {
      index = this.slots.length;
      this.byText.set(text, index);
      this.add(text);
    }
    this.byBytes.set(row.buf, start, end, index);
    return this.slots[index] ?? null;
  }

  private add(key: string | null): CaseSlot<T> {
    const slot = { index: this.slots.length, key, clock: freshClock(), content: this.make() };
    this.slots.push(slot);
    return slot;
  }
}

/**
 * Takes the rows of one table: leaves out headings and what stands before them, counts blank and broken lines, and
 * hands every other row to `useRow`, which accepts or rejects it.
 */
export abstract class TableReader implements RowSink {
  protected readonly texts = new ByteMap<string>(20_000);
  /** What a person said about the cells of each column, by its index. */
  protected readonly statements: readonly (CellStatement | null)[];

  /** Cells of accepted rows that hold something, by the index of their column. */
  private readonly nFilled: Float64Array;
  private nAccepted = 0;

  constructor(protected readonly context: TableContext) {
    this.statements = context.plan.columns.map((column) => context.words.of(columnRule(column, context.rules)));
    this.nFilled = new Float64Array(context.plan.columns.length);
  }

  row(row: RowView): void {
    if (row.line < this.context.plan.firstDataLine) return;
    let isEmpty = true;
    for (let i = 0; i < row.n && isEmpty; i += 1) isEmpty = row.isEmpty(i);
    if (isEmpty) {
      this.context.account.reject(row, 'row without any content');
      return;
    }
    this.context.watch.row(row);
    const before = this.context.account.nAccepted;
    this.useRow(row);
    if (this.context.account.nAccepted !== before) this.countCells(row);
  }

  private countCells(row: RowView): void {
    this.nAccepted += 1;
    const n = Math.min(row.n, this.nFilled.length);
    for (let i = 0; i < n; i += 1) if (!row.isEmpty(i)) (this.nFilled[i] as number)++; // i < length
  }

  /** Returns the report line of a column that holds no measurements: its filled and its empty cells in the accepted rows, as for the measurements beside it. */
  protected plainColumnReport(column: ColumnPlan): ColumnReport {
    const values = this.nFilled[column.index] ?? 0;
    return { heading: column.heading, readAs: roleWords(column), quantity: null, site: null, values, missing: this.nAccepted - values };
  }

  broken(line: number, problem: SplitProblem, buf: Uint8Array, start: number, end: number): void {
    if (line < this.context.plan.firstDataLine) return;
    this.context.account.rejectLine(line, PROBLEM_WORDS[problem], buf, start, end);
  }

  blank(): void {
    this.context.account.nBlank += 1;
  }

  /** Accepts or rejects one row. */
  protected abstract useRow(row: RowView): void;

  /** Returns what was read. Called once, after the last row. */
  abstract finish(): TableResult;

  /** Returns the text of a cell, blanks at both ends cut off; '' when the row has no such cell. */
  protected textAt(row: RowView, column: number): string {
    if (column < 0 || column >= row.n) return '';
    const start = row.trimmedStart(column);
    const end = row.trimmedEnd(column);
    if (start >= end) return '';
    const known = this.texts.get(row.buf, start, end);
    if (known !== undefined) return known;
    const text = this.context.decoder.decode(row.buf, start, end).replace(/\s+/g, ' ').trim();
    this.texts.set(row.buf, start, end, text);
    return text;
  }

  /** Returns whether a cell's text says nothing: a filler that the product knows, or one that a person stated for its column. */
  protected isNothing(text: string, column: number): boolean {
    return text === '' || isFillerWord(text) || this.statements[column]?.takesText(text) === true;
  }

  /** Rejects a row whose time could not be read, with the reason that its cells show. */
  protected rejectUntimed(row: RowView): void {
    const { plan, account } = this.context;
    const timeColumn = plan.time?.column ?? 0;
    if (this.isHeading(row)) {
      account.reject(row, 'headings repeated');
      return;
    }
    if (plan.spans.length > 0) {
      account.reject(row, 'a heading or note of the log, without a time');
      return;
    }
    if (plan.time !== null && row.isEmpty(timeColumn) && (plan.time.clockColumn === -1 || row.isEmpty(plan.time.clockColumn))) {
      account.reject(row, 'no time');
      return;
    }
    let filled = 0;
    for (let i = 0; i < row.n; i += 1) if (!row.isEmpty(i)) filled += 1;
    const text = this.context.decoder.decode(row.buf, row.starts[timeColumn] ?? 0, row.ends[timeColumn] ?? 0);
    if ((filled <= 2 && row.n > 2 && /\p{L}{2}/u.test(text)) || /^\s*(?:total|sum|summe|mean|average|median|min(?:imum)?|max(?:imum)?|count|end of|ende|fin|moyenne|gesamt)\b/i.test(text)) {
      account.reject(row, 'a note or a total, not a row of values');
      return;
    }
    account.reject(row, 'time not readable');
  }

  /** Returns whether the row repeats the headings or their units. */
  protected isHeading(row: RowView): boolean {
    const { plan, decoder } = this.context;
    let same = 0;
    let filled = 0;
    if (plan.spans.length > 0) {
      const text = decoder.decode(row.rawBuf, row.rawStart, row.rawEnd);
      return plan.headings.every((heading) => text.includes(heading));
    }
    for (let i = 0; i < row.n && i < plan.headings.length; i += 1) {
      if (row.isEmpty(i)) continue;
      filled += 1;
      const text = decoder.decode(row.buf, row.starts[i] ?? 0, row.ends[i] ?? 0).replace(/\s+/g, ' ').trim();
      const heading = plan.headings[i] ?? '';
      if (text === heading || (heading !== '' && heading.endsWith(text))) same += 1;
    }
    return filled >= 1 && same >= Math.max(1, filled * 0.7);
  }
}

/** Says in words what a column without measurements is used for. */
export function roleWords(column: ColumnPlan): string {
  switch (column.role) {
    case 'time':
      return 'time';
    case 'clock':
      return 'time (clock)';
    case 'end time':
      return 'end time';
    case 'case':
      return 'case';
    case 'name':
      return 'name of the measurement';
    case 'number':
      return 'value';
    case 'unit':
      return 'unit';
    case 'site':
      return 'sensor site';
    case 'sensor':
      return 'sensor';
    case 'flag':
      return 'status of the sensor';
    case 'text':
      return 'notes and events';
    case 'drug':
      return 'drug';
    case 'dose':
      return 'dose';
    case 'dose unit':
      return 'unit of the dose';
    case 'rate':
      return 'infusion rate';
    case 'rate unit':
      return 'unit of the rate';
    case 'route':
      return 'route';
    case 'action':
      return 'kind of entry';
    case 'identifier':
      return `not kept (${column.identity ?? 'identifies a person'})`;
    case 'attribute':
      return column.because === '' ? 'kept as a note on the case' : `not used (${column.because})`;
    case 'value':
      return 'value';
    case 'ignore':
      return column.because === '' ? 'not used' : `not used (${column.because})`;
  }
}
