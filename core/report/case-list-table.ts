import type { CaseListResult, ReconciledCase, ReconciledRow } from '../model/case-list.ts';
import type { Column } from './column.ts';
import { headingText, rowsText } from './column.ts';

/** A row of case-list.csv: one of the list, or a case of the library that the list does not settle. */
export type CaseListLine = { readonly of: 'list'; readonly row: ReconciledRow } | { readonly of: 'library'; readonly row: ReconciledCase };

const ofList = <T extends string | number | null>(line: CaseListLine, pick: (row: ReconciledRow) => T): T | null => (line.of === 'list' ? pick(line.row) : null);

/** The columns of case-list.csv. */
export const CASE_LIST_COLUMNS: readonly Column<CaseListLine>[] = [
  { name: 'list_row', meaning: 'the row of the list', unit: '', type: 'number', how: 'physical line of the file, or row of the sheet; empty for a case of the library', cell: (line) => ofList(line, (row) => row.line) },
  { name: 'list_case', meaning: 'the identifier in the list', unit: '', how: 'as written, or the code that stands for what identifies a person', cell: (line) => ofList(line, (row) => (row.key === '' ? null : row.key)) },
  { name: 'list_date', meaning: 'the date in the list', unit: '', how: 'ISO 8601', cell: (line) => ofList(line, (row) => row.date) },
  {
    name: 'state', meaning: 'what became of it', unit: '',
    how: '`matched`, `no usable SpO2`, `to be decided`, `missing`, `twice in the list`, `rejected`; for cases of the library `not in the list`, `twice in the library`',
    cell: ({ row }) => row.state,
  },
  { name: 'reason', meaning: 'why', unit: '', how: 'in words', cell: ({ row }) => row.reason },
  { name: 'case_id', meaning: 'the case of the library', unit: '', how: 'as in cases.csv; empty where none is matched', cell: ({ row }) => row.caseId },
  { name: 'case_date', meaning: 'the date of its record', unit: '', how: 'first row, in the zone of the case', cell: (line) => (line.of === 'list' ? line.row.caseDate : line.row.date) },
  { name: 'proposed', meaning: 'cases that the row may mean', unit: '', how: 'separated by `; `; a person decides', cell: (line) => ofList(line, (row) => (row.proposals.length === 0 ? null : row.proposals.map(({ caseId }) => caseId).join('; '))) },
  { name: 'decision', meaning: 'what a person decided about them', unit: '', how: '`accepted`, `refused`, or empty', cell: (line) => ofList(line, (row) => row.decision) },
];

/**
 * Returns case-list.csv: the rows of the list in their order, then the cases of the library that no row means and those that seem to be
 * there twice.
 * Source  docs/methods/case-list.md.
 */
export function caseListText({ rows, cases }: Pick<CaseListResult, 'rows' | 'cases'>): string {
  const lines: CaseListLine[] = [...rows.map((row): CaseListLine => ({ of: 'list', row })), ...cases.map((row): CaseListLine => ({ of: 'library', row }))];
  return headingText(CASE_LIST_COLUMNS) + rowsText(CASE_LIST_COLUMNS, lines);
}
