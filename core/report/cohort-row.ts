import type { NamedInterval } from '../model/cohort-burden.ts';
import type { CohortExport } from '../model/cohort-export.ts';
import type { LossSelection } from '../model/confirmed.ts';
import type { Column } from './column.ts';
import { computed } from './numbers.ts';

/** A row of a cohort table: what it is of, and the run that it belongs to. */
export interface CohortRow<Of> {
  readonly of: Of;
  readonly run: CohortExport;
}

/** A column of such a table. */
export type CohortColumn<Of> = Column<CohortRow<Of>>;

/** Returns the last column of every cohort table: which set of definitions a figure was worked out with. */
export function setColumn<Of>(): CohortColumn<Of> {
  return { name: 'parameter_set', meaning: 'name of the set of definitions that the row was worked out with', unit: '', how: 'its values stand in parameters.json', cell: ({ run }) => run.results.parameters.name };
}

/** Returns the column that says which dropouts a row is of; it is written where anything but computed ones was asked for. */
export function selectionColumn<Of>(pick: (row: CohortRow<Of>) => LossSelection): CohortColumn<Of> {
  return { name: 'dropouts_of', meaning: 'which dropouts the row counts', unit: '', how: '`computed`, `confirmed` (with corrected bounds: the least that readers stand for) or `not refuted` (the most that can be); only with `--dropouts confirmed` or `both`', cell: pick };
}

/** Returns the columns of draws: how often and from which seed. */
export function drawColumns<Of>(): CohortColumn<Of>[] {
  return [
    { name: 'draws', meaning: 'how often units were drawn anew', unit: '', type: 'number', how: 'MT19937, `init_genrand(seed)`, index = floor(u32 · n / 2^32)', cell: ({ run }) => run.results.options.draws },
    { name: 'seed', meaning: 'seed of the draws', unit: '', type: 'number', how: 'the same seed and cases give the same numbers', cell: ({ run }) => run.results.options.seed },
  ];
}

/** Returns the columns of an interval: limits, method, the number that it rests on, and why there is none. */
export function intervalColumns<Of>(name: string, meaning: string, unit: string, pick: (of: Of) => NamedInterval | null): CohortColumn<Of>[] {
  return [
    { name: `${name}_from`, meaning: `interval of ${meaning}, from`, unit, type: 'number', how: `see ${name}_method`, cell: ({ of }) => computed(pick(of)?.lower ?? null) },
    { name: `${name}_to`, meaning: `interval of ${meaning}, to`, unit, type: 'number', how: `see ${name}_method`, cell: ({ of }) => computed(pick(of)?.upper ?? null) },
    { name: `${name}_method`, meaning: 'how that interval was made', unit: '', how: 'confidence as methods.md states; empty where there is none', cell: ({ of }) => pick(of)?.method ?? '' },
    { name: `${name}_n`, meaning: 'units (or trials) that it rests on', unit: '', type: 'number', how: 'units are cases, or patients where a column names them', cell: ({ of }) => pick(of)?.n ?? null },
    { name: `${name}_reason`, meaning: 'why there is no interval, or why it is an exact one', unit: '', how: '', cell: ({ of }) => pick(of)?.reason ?? '' },
  ];
}
