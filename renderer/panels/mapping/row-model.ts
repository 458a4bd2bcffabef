import { FIRST_ROWS, type FilePreview, type PreviewColumn, type PreviewOutcome, type PreviewRow } from '../../../core/model/file-preview.ts';
import { unitText } from '../../format/number-text.ts';
import { createCaseClock } from '../../format/time-text.ts';
import { columnText, outcomeText, type Shown } from './outcome-text.ts';

/** A column of the right side: what one column of the file becomes. */
export interface MeaningColumn {
  readonly column: PreviewColumn;
  readonly title: string;
}

export interface ShownRow {
  readonly row: PreviewRow;
  /** Rows of the file between this one and the one before are not shown. */
  readonly isAfterGap: boolean;
  readonly time: string;
  /** What each column of the right side became; null where nothing did. */
  readonly values: readonly (Shown | null)[];
  /** What belongs to no column of the right side. */
  readonly entries: readonly Shown[];
}

/** Both sides of the rows of a preview. */
export interface RowModel {
  readonly timeTitle: string;
  readonly columns: readonly MeaningColumn[];
  /** Whether any row has an entry, so that the right side needs a column for them. */
  readonly hasEntries: boolean;
  readonly rows: readonly ShownRow[];
}

const PART_TEXT: Readonly<Record<Exclude<PreviewRow['part'], 'row'>, string>> = { preamble: 'stands before the headings, not used', headings: 'the headings', units: 'the units' };

/** Returns how many of the rows that were read for a preview are not among those it shows. */
export function rowsLeftOut(preview: FilePreview): number {
  return Math.max(0, preview.rowsRead - preview.rows.filter(({ part }) => part === 'row').length);
}

/** Returns the rows of a preview as the screen shows them. */
export function describeRows(preview: FilePreview): RowModel {
  const used = new Set(preview.rows.flatMap((row) => row.becomes.flatMap((outcome) => (outcome.kind === 'value' || outcome.kind === 'missing' ? [outcome.column] : []))));
  const columns = preview.columns
    .filter((column) => column.index !== -1 && used.has(column.index))
    .map((column): MeaningColumn => ({ column, title: `${columnText(column)}${column.unit === '' ? '' : `, ${unitText(column.unit)}`}` }));
  const shownColumns = new Set(columns.map(({ column }) => column.index));
  const first = preview.rows.find((row) => row.timeMs !== null)?.timeMs ?? 0;
  const clock = createCaseClock({ epochMs: preview.clock === 'absolute' ? first : null, clock: preview.clock ?? 'elapsed', originOffsetMs: preview.clock === 'absolute' ? 0 : first, zone: preview.zone.name, zoneStated: preview.zone.basis !== 'none' });
  const date = preview.clock === 'absolute' ? clock.date(0) : null;
  let lastLine = 0;
  const isShort = rowsLeftOut(preview) > 0;
  const rows = preview.rows.map((row, i): ShownRow => {
    // Among the first rows blank lines make small gaps, what is left out large ones; behind them every gap is of rows left out.
    const isAfterGap = i > 0 && row.line > lastLine + (isShort && i >= FIRST_ROWS ? 1 : 20);
    lastLine = row.line;
    const byColumn = new Map<number, PreviewOutcome>();
    const rest: PreviewOutcome[] = [];
    for (const own of row.becomes) {
      if ((own.kind !== 'value' && own.kind !== 'missing') || !shownColumns.has(own.column)) rest.push(own);
      else if (!byColumn.has(own.column)) byColumn.set(own.column, own);
    }
    const values = columns.map(({ column }) => {
      const outcome = byColumn.get(column.index);
      return outcome === undefined ? null : outcomeText(outcome, column);
    });
    const entries = row.part === 'row' ? rest.map((own) => outcomeText(own, null)) : [{ text: PART_TEXT[row.part], tone: 'nothing' as const }];
    return { row, isAfterGap, time: row.timeMs === null ? '' : clock.clock(row.timeMs - first), values, entries };
  });
  return { timeTitle: date ?? (preview.clock === 'elapsed' ? 'Time elapsed' : 'Time'), columns, hasEntries: rows.some(({ row, entries }) => row.part === 'row' && entries.length > 0), rows };
}
