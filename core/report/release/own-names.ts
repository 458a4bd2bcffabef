import { DEFAULT_COHORT_OPTIONS } from '../../model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../model/parameters.ts';
import { MANIFEST_FIELDS } from '../bundle/bundle-dictionary.ts';
import type { DescribedColumn } from '../column.ts';
import { IMPORT_REPORT_FIELDS } from '../import-report-file.ts';
import { COHORT_FIELDS, PARAMETERS_FIELDS } from '../parameters-file.ts';
import type { OwnNames } from './file-words.ts';

/** Authors after whom a method is called or whose paper is cited, and the like: the program's where it speaks of methods, and a name anywhere else. */
export const METHOD_WORDS: ReadonlySet<string> = new Set([
  'Liang', 'Zeger', 'Garwood', 'Cochran', 'BCa', 'Efron', 'Tibshirani', 'Clopper', 'Pearson', 'Hyndman', 'Fan', 'Ying', 'Wei', 'Therneau', 'Grambsch', 'Royston', 'Parmar', 'Mantel', 'Turnbull', 'Hodges', 'Lehmann',
  'Fisher', 'Friedman', 'Greenland', 'Robins', 'Lotwick', 'Silverman', 'Matsumoto', 'Nishimura', 'Farrington', 'Holm', 'Pratt', 'Cases', 'MT19937', '1200',
]);

/** Fields that the descriptions name only by the object they lie in. */
const MORE_FIELDS = [
  'isZoneLeftOut', 'caseListColumn', 'caseListDate', 'byte_length', 'product_version', 'relativeTime', 'keepIdentifiers', 'groupBy', 'patientColumn', 'keepUndated', 'washOutS', 'decimalMark', 'lookBackFactor', 'doubtfulLost',
];

/** Returns the names of the program's columns and fields that no word of everyday language is: those with a line below or a capital inside. */
export function ownNames(tables: readonly (readonly DescribedColumn[])[]): OwnNames {
  const names = [
    ...tables.flatMap((columns) => columns.map(({ name }) => name)),
    ...[...PARAMETERS_FIELDS, ...COHORT_FIELDS, ...IMPORT_REPORT_FIELDS, ...MANIFEST_FIELDS].flatMap(({ name }) => name.split(/[^A-Za-z0-9_]+/)),
    ...Object.keys(DEFAULT_PARAMETERS), ...Object.keys(DEFAULT_COHORT_OPTIONS), ...MORE_FIELDS,
  ];
  return new Set(names.filter((name) => /[a-z0-9](?:_|[A-Z])/.test(name)));
}
