import type { BundleOptions } from '../../model/bundle-manifest.ts';
import { CASE_LIST_COLUMNS } from '../case-list-table.ts';
import { CHANNEL_COLUMNS } from '../channels-table.ts';
import { CODE_COLUMNS } from '../codes-table.ts';
import { cohortTables, CASE_LIST_FILE_NAME } from '../cohort-files.ts';
import { describedColumns } from '../column.ts';
import { analysisTables, type DescribedTable } from '../data-dictionary.ts';
import { NEXT_STUDY_COLUMNS } from '../next-study-table.ts';

/** What of a call decides which tables a bundle has. */
export interface BundleExtent extends Pick<BundleOptions, 'relativeTime' | 'robustness'> {
  readonly dropouts: BundleOptions['cohort']['dropouts'];
  readonly withReviews: boolean;
  readonly withCaseList: boolean;
  readonly withNextStudy: boolean;
  /** Whether the inputs were read for it: rejected rows are known only then. */
  readonly withImport: boolean;
}

export const CHANNELS_TABLE = 'channels.csv';
export const CODES_TABLE = 'codes.csv';

/** Returns every table of a bundle with its columns, in the order of the dictionary. */
export function bundleTables({ relativeTime, robustness, dropouts, withReviews, withCaseList, withNextStudy, withImport }: BundleExtent): DescribedTable[] {
  return [
    ...analysisTables({ withReviews, withRobustness: robustness }).filter(({ name }) => withImport || name !== 'rejected-rows.csv'),
    ...cohortTables({ dropouts, relativeTime }),
    ...(withCaseList ? [{ name: CASE_LIST_FILE_NAME, about: 'The rows of a list of cases from elsewhere in their order, then the cases that no row means and those that seem to be there twice.', columns: describedColumns(CASE_LIST_COLUMNS) }] : []),
    ...(withNextStudy ? [{ name: 'next-study.csv', about: 'One row per size of a study that compares two sites, drawn from the patients of the run.', columns: describedColumns(NEXT_STUDY_COLUMNS) }] : []),
    { name: CHANNELS_TABLE, about: 'One row per case and channel: what was recorded, from which file, how often, and what is missing. Sorted by case.', columns: describedColumns(CHANNEL_COLUMNS) },
    { name: CODES_TABLE, about: 'The list of codes: every drug, event, site and quantity that files are read with, and the words by which it is recognised.', columns: describedColumns(CODE_COLUMNS) },
  ];
}
