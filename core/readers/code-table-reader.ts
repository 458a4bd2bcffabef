import type { codePlan, CodeTable } from './code-table.ts';
import type { RowView } from './row-splitter.ts';
import { TableReader, type TableContext, type TableResult } from './table-reader.ts';

/** A longer table is no list of codes. */
const MAX_CODES = 200_000;

/** Reads a list of codes: a row is accepted when it has a code and a label. */
export class CodeTableReader extends TableReader {
  private readonly labels: string[] = [];
  private readonly codes: string[][];

  constructor(
    context: TableContext,
    private readonly own: NonNullable<ReturnType<typeof codePlan>>,
  ) {
    super(context);
    this.codes = own.codes.map(() => []);
  }

  protected useRow(row: RowView): void {
    const { account } = this.context;
    const label = this.textAt(row, this.own.label.index);
    const codes = this.own.codes.map((column) => this.textAt(row, column.index));
    const reason = this.reasonAgainst(label, codes);
    if (reason !== null) {
      account.reject(row, reason);
      return;
    }
    this.labels.push(label);
    this.codes.forEach((list, k) => void list.push(codes[k] ?? ''));
    account.accept();
  }

  private reasonAgainst(label: string, codes: readonly string[]): string | null {
    if (codes.every((code) => code === '')) return 'no code';
    if (label === '') return 'code without a label';
    return this.labels.length >= MAX_CODES ? `more than ${MAX_CODES} codes` : null;
  }

  /** The table as other files use it. */
  table(file: string, folder: string): CodeTable {
    return { file, folder, columns: this.own.codes.map(({ heading }, k) => ({ heading, codes: this.codes[k] ?? [] })), labels: this.labels };
  }

  finish(): TableResult {
    return { cases: [], columns: this.context.plan.columns.map((column) => ({ ...this.plainColumnReport(column), readAs: column === this.own.label ? 'labels of codes' : this.own.codes.includes(column) ? 'codes' : 'not used' })), guesses: [], notes: [] };
  }
}

