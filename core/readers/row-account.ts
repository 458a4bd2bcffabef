import { assert } from '../base/assert.ts';
import type { RejectedGroup, RejectedRow } from '../model/import-report.ts';
import type { CellDecoder } from './decode-text.ts';
import { groupedAge } from '../identity/grouped-age.ts';
import { WITHHELD } from '../identity/scrub-text.ts';
import type { RowView } from './row-splitter.ts';
import type { ColumnPlan } from './table-plan.ts';

/** So many rejected rows are kept with their text; beyond, they are counted and the report says so. */
export const MAX_LISTED_REJECTS = 50_000;
const MAX_ROW_TEXT = 500;

/** Counts the rows of one file: every row handed in is accepted or rejected with a reason. */
export class RowAccount {
  nRead = 0;
  nAccepted = 0;
  nBlank = 0;
  private readonly groups = new Map<string, { count: number; first: number }>();
  readonly rejectedRows: RejectedRow[] = [];
  private nRejected = 0;
  private readonly hidden: ReadonlySet<number>;
  private readonly grouped: ReadonlySet<number>;
  private readonly width: number;

  constructor(
    private readonly file: string,
    columns: readonly ColumnPlan[],
    private readonly decoder: CellDecoder,
  ) {
    this.hidden = new Set(columns.filter((column) => column.handling === 'left out' || column.handling === 'replaced by a code').map((column) => column.index));
    this.grouped = new Set(columns.filter((column) => column.handling === 'grouped').map((column) => column.index));
    this.width = columns.length;
  }

  /** Counts a row that is used. */
  accept(): void {
    this.nRead += 1;
    this.nAccepted += 1;
  }

  /** Counts a row that is not used and keeps its text, without the cells of columns that identify persons. */
  reject(row: RowView, reason: string): void {
    let text: string;
    if (this.hidden.size > 0 || this.grouped.size > 0) {
      const cells: string[] = [];
      for (let i = 0; i < Math.min(row.n, 200); i += 1) cells.push(this.shownCell(row, i));
      text = cells.join(' | ');
    } else {
      text = this.decoder.decode(row.rawBuf, row.rawStart, Math.min(row.rawEnd, row.rawStart + MAX_ROW_TEXT * 2));
    }
    this.add(row.line, reason, text);
  }

  private shownCell(row: RowView, i: number): string {
    const text = this.decoder.decode(row.buf, row.starts[i] ?? 0, row.ends[i] ?? 0);
    if (row.isEmpty(i)) return text;
    if (this.hidden.has(i)) return WITHHELD;
    if (this.grouped.has(i)) return groupedAge(text) ?? WITHHELD;
    // In a row of another length the identifying cell may stand under any heading: only plain figures and times are shown then.
    if (row.n !== this.width && this.hidden.size > 0 && !/^[\s\d.,:%+-]{0,8}$/.test(text) && !/^\s*\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}/.test(text)) return WITHHELD;
    return text;
  }

  /** Counts a line that could not be cut into cells. */
  rejectLine(line: number, reason: string, buf: Uint8Array, start: number, end: number): void {
    const text = this.hidden.size > 0 ? WITHHELD : this.decoder.decode(buf, start, Math.min(end, start + MAX_ROW_TEXT * 2));
    this.add(line, reason, text);
  }

  /** Counts a row of a file without cells (a resource, a segment); `text` describes it and holds no identifier. */
  rejectText(line: number, reason: string, text: string): void {
    this.add(line, reason, text);
  }

  private add(line: number, reason: string, text: string): void {
    this.nRead += 1;
    this.nRejected += 1;
    const group = this.groups.get(reason);
    if (group === undefined) this.groups.set(reason, { count: 1, first: line });
    else group.count += 1;
    if (this.rejectedRows.length >= MAX_LISTED_REJECTS) return;
    this.rejectedRows.push({ file: this.file, line, reason, row: text.length > MAX_ROW_TEXT ? `${text.slice(0, MAX_ROW_TEXT)} …` : text });
  }

  /** Returns the counts for the report. Throws when they do not add up (our bug). */
  totals(): { rows_read: number; rows_accepted: number; rows_rejected: number; rejected: RejectedGroup[] } {
    const rejected = [...this.groups].map(([reason, group]) => ({ reason, count: group.count, first_line: group.first }));
    rejected.sort((a, b) => a.first_line - b.first_line || (a.reason < b.reason ? -1 : 1));
    const sum = rejected.reduce((total, group) => total + group.count, 0);
    assert(this.nRead === this.nAccepted + this.nRejected && sum === this.nRejected, 'rows read are not rows accepted and rejected');
    return { rows_read: this.nRead, rows_accepted: this.nAccepted, rows_rejected: this.nRejected, rejected };
  }
}
