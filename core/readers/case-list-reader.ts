import { countWords } from '../base/count-words.ts';
import { groupedAge } from '../identity/grouped-age.ts';
import { parseEvent } from '../terms/parse-event.ts';
import { plainHeading } from './heading-words.ts';
import type { CaseReading, RawEvent } from './reading.ts';
import type { RowView } from './row-splitter.ts';
import { CaseSlots, TableReader, type TableContext, type TableResult } from './table-reader.ts';
import type { ColumnPlan } from './table-plan.ts';
import type { TimeColumn } from './time-column.ts';

interface CaseContent {
  readonly attributes: Record<string, string>;
  readonly events: RawEvent[];
  nRows: number;
}

/** Reads lists of cases: one row per case with its service, procedure, class and, where they stand, start and end of anaesthesia. */
export class CaseListReader extends TableReader {
  private readonly cases: CaseSlots<CaseContent>;
  private readonly attributes: readonly ColumnPlan[];
  private readonly eventColumns: readonly { readonly column: ColumnPlan; readonly term: ReturnType<typeof parseEvent> }[];
  private nRepeated = 0;

  constructor(
    context: TableContext,
    private readonly time: TimeColumn | null,
  ) {
    super(context);
    const { columns } = context.plan;
    this.attributes = columns.filter((column) => column.role === 'attribute' || column.role === 'time' || column.role === 'clock');
    this.eventColumns = columns
      .filter((column) => column.profile.nStamp > 0)
      .map((column) => ({ column, term: parseEvent(plainHeading(column.heading).replace(/\b(?:time|at|date|zeit|heure)\b/g, ' ')) }))
      .filter(({ term }) => term.kind === 'anaesthesia start' || term.kind === 'anaesthesia end' || term.kind === 'surgery start' || term.kind === 'surgery end');
    this.cases = new CaseSlots<CaseContent>(columns, context.rules, context.decoder, () => ({ attributes: {}, events: [], nRows: 0 }));
  }

  protected useRow(row: RowView): void {
    const { account } = this.context;
    const slot = this.cases.of(row);
    if (slot === null) {
      account.reject(row, this.isHeading(row) ? 'headings repeated' : 'no case identifier');
      return;
    }
    if (this.isHeading(row)) {
      account.reject(row, 'headings repeated');
      return;
    }
    const content = slot.content;
    content.nRows += 1;
    if (content.nRows > 1) this.nRepeated += 1;
    for (const column of this.attributes) {
      const text = this.textAt(row, column.index);
      if (this.isNothing(text, column.index)) continue;
      const kept = column.handling === 'grouped' ? groupedAge(text) : text;
      if (kept !== null) content.attributes[column.heading] ??= kept;
    }
    if (this.time !== null) {
      for (const { column, term } of this.eventColumns) {
        if (column.index >= row.n || row.isEmpty(column.index)) continue;
        const tMs = this.time.readCell(row, column.index, -1, slot.clock);
        if (Number.isNaN(tMs)) continue;
        content.events.push({ kind: term.kind, term: term.term, phase: term.phase, text: column.heading, tMs, endMs: null, manual: true, site: null, line: row.line });
      }
    }
    const { list } = this.context;
    if (list !== null) list.watch.onRow(list.table, row.line, this.context.plan.columns.map((column) => this.textAt(row, column.index)), slot.index);
    account.accept();
  }

  finish(): TableResult {
    const cases = this.cases.slots.map(
      (slot): CaseReading => ({ caseKey: slot.key, channels: [], events: slot.content.events, drugs: [], attributes: slot.content.attributes, nDuplicates: 0, nConflicts: 0, firstConflictLine: null }),
    );
    const notes = this.nRepeated === 0 ? [] : [`${countWords(this.nRepeated, 'row names', 'rows name')} a case that an earlier row names; the first value of each column was kept.`];
    return { cases, columns: this.context.plan.columns.map((column) => this.plainColumnReport(column)), guesses: [], notes };
  }
}
