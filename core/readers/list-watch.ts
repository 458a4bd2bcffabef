import type { TablePlan } from './table-plan.ts';

/**
 * Is shown the rows of a list of cases as the file has them, identifiers included, while they are read: what is made of them must
 * hold none. Sheets and parts of archives are tables of their own.
 */
export interface ListWatch {
  /** Called before the first row of a table. Returns its number, which the reading bears as `listTable`. */
  onTable(plan: TablePlan): number;
  /**
   * An accepted row. `cells` are texts without blanks at their ends, '' where the row has none; `caseIndex` is the place of its
   * case among those of the reading, all with the same identifier having the same place.
   */
  onRow(table: number, line: number, cells: readonly string[], caseIndex: number): void;
}
