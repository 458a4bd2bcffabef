import { useState, type JSX } from 'react';
import { WHOLE_CASE, type CaseBurdenRow } from '../../../core/model/cohort-burden.ts';
import { numberText, shareText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { FigureHelp } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { MoreRows } from '../../widgets/more-rows.tsx';
import { DataGrid, type GridColumn, type GridSort } from '../../widgets/data-grid.tsx';
import { monthText, placeText } from './cohort-words.ts';

const ROWS_SHOWN = 10;
const MORE_ROWS = 100;
const SORTS = ['name', 'longest', 'lost', 'dropouts', 'share'] as const;
type Sort = (typeof SORTS)[number];

function valueOf(row: CaseBurdenRow, by: Sort): number | string | null {
  switch (by) {
    case 'name':
      return row.caseId;
    case 'longest':
      return row.longestMidMs;
    case 'lost':
      return row.lostMs.mid;
    case 'dropouts':
      return row.dropouts;
    case 'share':
      return row.share?.mid ?? null;
  }
}

/** Returns the rows in the wanted order; unknown values last in either direction, equal ones by name. */
export function sortedCases(rows: readonly CaseBurdenRow[], by: Sort, direction: 'ascending' | 'descending'): CaseBurdenRow[] {
  const sign = direction === 'ascending' ? 1 : -1;
  return [...rows].sort((a, b) => {
    const [left, right] = [valueOf(a, by), valueOf(b, by)];
    if (left === null || right === null) {
      if (left !== right) return left === null ? 1 : -1;
    } else if (left !== right) return left < right ? -sign : sign;
    return a.caseId < b.caseId ? -1 : a.caseId > b.caseId ? 1 : 0;
  });
}

/** Returns the rows with a loss; a sensor that was the only one says the same as its case and is left out. */
export function worthALook(cases: readonly CaseBurdenRow[]): CaseBurdenRow[] {
  const sensors = new Map<string, number>();
  for (const row of cases) if (row.place !== WHOLE_CASE) sensors.set(row.caseKey, (sensors.get(row.caseKey) ?? 0) + 1);
  return cases.filter((row) => row.dropouts > 0 && (row.place === WHOLE_CASE || (sensors.get(row.caseKey) ?? 0) > 1));
}

/** Returns the cases in which information was lost, the longest loss first. */
export function WorthALook({ cases }: { readonly cases: readonly CaseBurdenRow[] }): JSX.Element {
  const session = useSession();
  const [sort, setSort] = useState<GridSort>({ columnId: 'longest', direction: 'descending' });
  const [shown, setShown] = useState(ROWS_SHOWN);
  const rows = sortedCases(worthALook(cases), SORTS.find((name) => name === sort.columnId) ?? 'longest', sort.direction);
  const open = (row: CaseBurdenRow): void => session.openCase(row.caseKey);
  const columns: GridColumn<CaseBurdenRow>[] = [
    { id: 'name', header: 'Case', isSortable: true, cell: (row) => <button type="button" className="case-link" tabIndex={-1} onClick={() => open(row)}>{row.caseId}</button> },
    { id: 'place', header: 'Where', cell: (row) => placeText(row.place) },
    { id: 'month', header: 'Month', cell: (row) => monthText(row.month) },
    { id: 'longest', header: 'Longest', help: <FigureHelp figure="longest-dropout" />, isSortable: true, align: 'right', cell: (row) => durationText(row.longestMidMs) },
    { id: 'lost', header: 'Lost in all', help: <FigureHelp figure="time-lost" />, isSortable: true, align: 'right', cell: (row) => durationText(row.lostMs.mid) },
    { id: 'dropouts', header: 'Losses', help: <FigureHelp figure="dropouts" />, isSortable: true, align: 'right', cell: (row) => numberText(row.dropouts) },
    { id: 'share', header: 'Share of monitored', help: <FigureHelp figure="share-lost" />, isSortable: true, align: 'right', cell: (row) => shareText(row.share?.mid ?? null) },
  ];
  if (rows.length === 0) return <p className="soft">None of the cases looked at has a loss that counts under this definition.</p>;
  return (
    <>
      <div className="grid-scroll">
        <DataGrid label="Cases worth a look" columns={columns} rows={rows.slice(0, shown)} rowKey={(row) => `${row.caseKey} ${row.place}`} sort={sort} onSort={setSort} onActivate={open} />
      </div>
      <p className="soft">One row for each case, and where it had several sensors one for each. <span className="only-screen">Enter opens the case. </span>A long loss is a reason to look, not a finding: see what happened around it.</p>
      <MoreRows missing={rows.length - shown} onMore={() => setShown(shown + MORE_ROWS)}>Show more ({numberText(rows.length - shown)} further rows)</MoreRows>
    </>
  );
}
