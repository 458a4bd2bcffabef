import type { ReadingRules } from '../model/mapping.ts';
import { findQuantity } from '../terms/find-quantity.ts';
import { RowView, type RowSink, type SplitProblem } from './row-splitter.ts';
import type { SampleRow } from './sample-table.ts';

/** A column whose cells hold a systolic and a diastolic pressure, and often the mean: `118/64 (82)`. */
export interface JoinedPressure {
  readonly column: number;
  /** Headings of the columns that its figures are read as. */
  readonly headings: readonly string[];
}

/* The ways in which charts write a blood pressure: common practice without source. */
const JOINED = /^(\d{1,3}(?:[.,]\d{1,2})?)\s*\/\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:[/([]\s*(?:MAP|M|mean)?\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*[)\]]?)?$/i;
/** At least so many of a column's cells are written so. */
const SHARE = 0.8;
const PARTS = ['systolic', 'diastolic', 'mean'] as const;

/** Returns the parts of a joined pressure as they stand, the last one '' where there is no mean; null for any other cell. */
function partsOf(cell: string): readonly [string, string, string] | null {
  const found = JOINED.exec(cell.trim());
  if (found === null) return null;
  const [, systolic = '', diastolic = '', mean = ''] = found;
  return Number(systolic.replace(',', '.')) >= Number(diastolic.replace(',', '.')) ? [systolic, diastolic, mean] : null;
}

/** Returns the heading for one figure of a joined column: `NIBP (mmHg)` and systolic give `NIBP systolic (mmHg)`. */
function headingOf(heading: string, part: string): string {
  const unit = /\s*[([][^)\]]*[)\]]\s*$/.exec(heading)?.[0] ?? '';
  const isUnit = findQuantity(`NIBP systolic${unit}`)?.unit !== '';
  const name = heading.slice(0, heading.length - unit.length).replace(/[\s_-]*(?:sys\w*|s)\s*\/.*$/i, '').trim();
  return `${name} ${part}${isUnit ? unit : ''}`;
}

/**
 * Returns the columns of a table of values that hold joined pressures: their heading names a blood pressure as a whole, their cells
 * are written so, and nobody said what they are. None in a table without another measurement: it may be a list of entries.
 */
export function joinedPressures(headings: readonly string[], rows: readonly SampleRow[], rules: ReadingRules | null): JoinedPressure[] {
  if (!headings.some((heading) => !(findQuantity(heading)?.quantity ?? 'other').match(/^(?:other|nibp|art)/))) return [];
  return headings.flatMap((heading, column): JoinedPressure[] => {
    if (heading === '' || rules?.columns?.[heading] !== undefined) return [];
    const names = PARTS.map((part) => headingOf(heading, part));
    if (!names.every((name) => /^(?:nibp|art)-/.test(findQuantity(name)?.quantity ?? ''))) return [];
    const cells = rows.flatMap((row) => ((row.cells[column] ?? '').trim() === '' ? [] : [row.cells[column] ?? '']));
    const parts = cells.flatMap((cell) => partsOf(cell) ?? []);
    const nJoined = parts.length / PARTS.length;
    if (nJoined === 0 || nJoined < cells.filter((cell) => /\d/.test(cell)).length * SHARE) return [];
    const hasMean = parts.some((part, i) => i % PARTS.length === 2 && part !== '');
    return [{ column, headings: hasMean ? names : names.slice(0, 2) }];
  });
}

/** Returns the cells of a row of a table of `width` columns with the figures of its joined pressures behind them. */
export function withPressures(cells: readonly string[], width: number, joined: readonly JoinedPressure[]): string[] {
  const whole = [...cells, ...Array.from({ length: Math.max(0, width - cells.length) }, () => '')];
  return [...whole, ...joined.flatMap(({ column, headings }) => {
    const cell = cells[column] ?? '';
    const parts = partsOf(cell);
    // What is no pressure (a filler) stands for every figure.
    return headings.map((_, i) => (parts === null ? cell : (parts[i] ?? '')));
  })];
}

/** Stands between a splitter and a reader, and puts the figures of joined pressures behind the cells of each row. */
export class PressureSink implements RowSink {
  private readonly own = new RowView();

  constructor(
    private readonly joined: readonly JoinedPressure[],
    /** Columns of the file itself. */
    private readonly width: number,
    private readonly firstDataLine: number,
    private readonly inner: RowSink,
  ) {}

  row(row: RowView): void {
    if (row.line < this.firstDataLine) {
      this.inner.row(row);
      return;
    }
    const { own, width } = this;
    let n = row.n;
    while (n > width && row.isEmpty(n - 1)) n -= 1;
    const whole = Math.max(n, width);
    own.reserve(whole + this.joined.reduce((sum, { headings }) => sum + headings.length, 0));
    for (let i = 0; i < whole; i += 1) {
      own.starts[i] = i < n ? (row.starts[i] ?? 0) : 0;
      own.ends[i] = i < n ? (row.ends[i] ?? 0) : 0;
    }
    let at = whole;
    for (const { column, headings } of this.joined) {
      const start = column < n ? row.trimmedStart(column) : 0;
      const end = column < n ? row.trimmedEnd(column) : 0;
      const parts = partsOf(asciiOf(row.buf, start, end));
      let from = start;
      for (let k = 0; k < headings.length; k += 1) {
        const part = parts?.[k] ?? '';
        const place = part === '' ? -1 : indexOf(row.buf, part, from, end);
        own.starts[at] = parts === null ? start : place === -1 ? 0 : place;
        own.ends[at] = parts === null ? end : place === -1 ? 0 : place + part.length;
        if (place !== -1) from = place + part.length;
        at += 1;
      }
    }
    own.buf = row.buf;
    own.n = at;
    own.line = row.line;
    own.rawBuf = row.rawBuf;
    own.rawStart = row.rawStart;
    own.rawEnd = row.rawEnd;
    this.inner.row(own);
  }

  broken(line: number, problem: SplitProblem, buf: Uint8Array, start: number, end: number): void {
    this.inner.broken(line, problem, buf, start, end);
  }

  blank(line: number): void {
    this.inner.blank(line);
  }
}

/** Longer cells are no pressures. */
const LONGEST_CELL = 40;

function asciiOf(buf: Uint8Array, start: number, end: number): string {
  return end - start > LONGEST_CELL ? '' : String.fromCharCode(...buf.subarray(start, end));
}

/** Returns where figures stand in bytes, at or after `from`; -1 where they do not. */
function indexOf(buf: Uint8Array, figures: string, from: number, end: number): number {
  for (let at = from; at + figures.length <= end; at += 1) {
    let k = 0;
    while (k < figures.length && buf[at + k] === figures.charCodeAt(k)) k += 1;
    if (k === figures.length) return at;
  }
  return -1;
}
