import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';

/** Stands in every table of results: which set of definitions a figure was worked out with. */
export const PARAMETER_SET_COLUMN: Column<{ readonly context: CaseContext }> = {
  name: 'parameter_set',
  meaning: 'name of the set of definitions that the row was worked out with',
  unit: '',
  how: 'its values stand in parameters.json',
  cell: ({ context }) => context.analysis.parameters.name,
};
