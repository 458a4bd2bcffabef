import type { CohortPairCase } from '../../../core/model/site-cohort.ts';

export const ROW_SORTS = ['name', 'shared', 'first', 'second', 'bias', 'lag', 'pi'] as const;
export type RowSort = (typeof ROW_SORTS)[number];

function valueOf(row: CohortPairCase, by: RowSort): number | string | null {
  switch (by) {
    case 'name':
      return row.caseId;
    case 'shared':
      return row.sharedMs;
    case 'first':
      return row.firstCovered?.mid ?? null;
    case 'second':
      return row.secondCovered?.mid ?? null;
    case 'bias':
      return row.bias;
    case 'lag':
      return row.lag?.lagMs ?? null;
    case 'pi':
      return row.perfusionRatio;
  }
}

/** Returns the rows in the wanted order; unknown values last in either direction. */
export function sortRows(rows: readonly CohortPairCase[], by: RowSort, direction: 'ascending' | 'descending'): CohortPairCase[] {
  const sign = direction === 'ascending' ? 1 : -1;
  return [...rows].sort((a, b) => {
    const [left, right] = [valueOf(a, by), valueOf(b, by)];
    if (left === null || right === null) return left === right ? 0 : left === null ? 1 : -1;
    return left < right ? -sign : left > right ? sign : 0;
  });
}
