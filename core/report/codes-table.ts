import type { Column } from './column.ts';

/** A word of the dictionary that files were read with, and what it was taken for. */
export interface CodeRow {
  readonly kind: 'drug' | 'event' | 'site' | 'quantity';
  readonly name: string;
  readonly group: string;
  readonly codeSystem: string;
  readonly code: string;
  readonly writtenAs: string;
}

/** The columns of codes.csv. */
export const CODE_COLUMNS: readonly Column<CodeRow>[] = [
  { name: 'kind', meaning: 'what it is', unit: '', how: '`drug`, `event`, `site` or `quantity`', cell: ({ kind }) => kind },
  { name: 'name', meaning: 'name in the tables', unit: '', how: 'drugs by their international non-proprietary name', cell: ({ name }) => name },
  { name: 'group', meaning: 'group that it counts in', unit: '', how: 'of a drug its class, with `vasopressor` for those that are exposures; of an event its kind', cell: ({ group }) => group },
  { name: 'code_system', meaning: 'system of the code', unit: '', how: '`ATC`, `SNOMED CT`, `ISO/IEEE 11073-10101` or `LOINC`; empty where there is no code', cell: ({ codeSystem }) => codeSystem },
  { name: 'code', meaning: 'the code', unit: '', how: 'codes of drugs and sites partly from memory: check one before you rely on it', cell: ({ code }) => code },
  { name: 'written_as', meaning: 'how it is recognised in files', unit: '', how: 'words, parted by `; `, upper and lower case alike; of an event the groups of words that must come together, parted by ` + `', cell: ({ writtenAs }) => writtenAs },
];
