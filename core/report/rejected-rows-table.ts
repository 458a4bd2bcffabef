import type { RejectedRow } from '../model/import-report.ts';
import type { Column } from './column.ts';

/** The columns of rejected-rows.csv. */
export const REJECTED_ROW_COLUMNS: readonly Column<RejectedRow>[] = [
  { name: 'file', meaning: 'input file', unit: '', how: 'path relative to the given input', cell: ({ file }) => file },
  { name: 'line', meaning: 'line of the file on which the row begins', unit: '', type: 'number', how: 'physical, from 1, headings and blank lines counted', cell: ({ line }) => line },
  { name: 'reason', meaning: 'why the row was not taken', unit: '', how: 'the same words as in import-report.json', cell: ({ reason }) => reason },
  { name: 'row', meaning: 'the row as it stands in the file', unit: '', how: 'text that a spreadsheet would run has one apostrophe before it', cell: ({ row }) => row },
];
