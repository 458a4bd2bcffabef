import { csvText } from '../../core/report/csv.ts';
import type { ChartTable } from './chart-types.ts';

/** Returns the numbers of a picture as delimited text, unrounded; a figure that is not defined is an empty cell. */
export function chartCsv(table: ChartTable): string {
  return [...csvText(table.columns.map((column) => column.name), table.rows.map((row) => row.cells.map((cell) => cell.value)))].join('');
}
