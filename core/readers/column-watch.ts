import { groupedAge } from '../identity/grouped-age.ts';
import type { IdentifierKind } from '../identity/identifier-heading.ts';
import { WithheldTally } from '../identity/withheld-tally.ts';
import type { Withheld } from '../model/import-report.ts';
import { ByteMap } from './byte-map.ts';
import type { CellDecoder } from './decode-text.ts';
import { bornOnDayReader } from './born-on-day.ts';
import type { RowView } from './row-splitter.ts';
import type { ColumnPlan } from './table-plan.ts';

/** So many different cells of identifying columns are remembered, to blank the same words elsewhere in the file. */
const MOST_SEEN = 4000;

interface Watched {
  readonly column: ColumnPlan;
  count: number;
  firstLine: number | null;
  readonly known: ByteMap<boolean>;
}

/** Watches the columns of one table that identify persons: counts their cells and remembers what they say while the file is read. */
export class ColumnWatch {
  private readonly watched: readonly Watched[];
  private readonly tally = new WithheldTally();
  private readonly seenTexts = new Set<string>();
  private readonly bornColumn: ColumnPlan | null;
  private readonly bornOf = new Map<string, number>();
  private readonly bornCases = new ByteMap<boolean>(100_000);
  private readonly caseColumn: number;
  private readonly readBorn: ((text: string) => number | null) | null;

  constructor(
    columns: readonly ColumnPlan[],
    private readonly decoder: CellDecoder,
  ) {
    this.watched = columns.filter((column) => column.handling !== null).map((column) => ({ column, count: 0, firstLine: null, known: new ByteMap<boolean>(20_000) }));
    this.bornColumn = columns.find((column) => column.identity === 'birth date' && column.handling === 'left out') ?? null;
    this.caseColumn = columns.find((column) => column.role === 'case')?.index ?? -1;
    this.readBorn = this.bornColumn === null ? null : bornOnDayReader(this.bornColumn.profile);
  }

  /** Takes one row, whatever becomes of it. */
  row(row: RowView): void {
    for (const own of this.watched) {
      const { index, handling } = own.column;
      if (index >= row.n || row.isEmpty(index)) continue;
      const start = row.trimmedStart(index);
      const end = row.trimmedEnd(index);
      if (start >= end) continue;
      let isHandled = own.known.get(row.buf, start, end);
      if (isHandled === undefined) {
        const text = this.decoder.decode(row.buf, start, end).trim();
        isHandled = handling !== 'grouped' || groupedAge(text) !== text;
        if (isHandled && handling !== 'grouped' && handling !== 'kept' && this.seenTexts.size < MOST_SEEN) this.seenTexts.add(text);
        own.known.set(row.buf, start, end, isHandled);
      }
      if (!isHandled) continue;
      own.count += 1;
      own.firstLine ??= row.line;
    }
    if (this.bornColumn !== null) this.noteBorn(row, this.bornColumn.index);
  }

  private noteBorn(row: RowView, column: number): void {
    const { caseColumn } = this;
    if (column >= row.n || (caseColumn !== -1 && caseColumn >= row.n)) return;
    const from = caseColumn === -1 ? 0 : row.trimmedStart(caseColumn);
    const to = caseColumn === -1 ? 0 : row.trimmedEnd(caseColumn);
    if (this.bornCases.get(row.buf, from, to) === true) return;
    const born = this.readBorn?.(this.decoder.decode(row.buf, row.starts[column] ?? 0, row.ends[column] ?? 0).trim()) ?? null;
    if (born === null) return;
    this.bornCases.set(row.buf, from, to, true);
    this.bornOf.set(caseColumn === -1 ? '' : this.decoder.decode(row.buf, from, to).trim(), born);
  }

  /** Takes one row of a long table whose name says that its value identifies a person. */
  named(name: string, kind: IdentifierKind, cells: readonly string[], line: number): void {
    const said = cells.filter((cell) => cell !== '');
    if (said.length === 0) return;
    this.tally.add(name, kind, 'left out', line);
    for (const cell of said) if (this.seenTexts.size < MOST_SEEN && kind !== 'age') this.seenTexts.add(cell);
  }

  /** Returns the day of birth (days since 1970-01-01) that the file states for a case, null where it states none. */
  bornOnDay(caseKey: string | null): number | null {
    return this.bornOf.get(this.caseColumn === -1 ? '' : (caseKey ?? '')) ?? null;
  }

  /** What identifying cells said, while it is still needed. */
  get seen(): readonly string[] {
    return [...this.seenTexts];
  }

  /** Returns the report's entries. Called once, after the last row. */
  entries(): Withheld[] {
    const { tally } = this;
    for (const { column, count, firstLine } of this.watched) {
      if (column.handling !== null && column.identity !== null) tally.add(column.heading, column.identity, column.handling, firstLine, count);
    }
    return tally.list();
  }
}
