import type { ReadingRules } from '../model/mapping.ts';
import { findHeadings, type HeadingBlock } from './find-headings.ts';
import { chooseDelimiter, modalWidth, sampleRows, type SampleRow } from './sample-table.ts';
import { statedDelimiter } from './stated-delimiter.ts';

/** The first rows of a table whose columns nobody has understood yet. */
export interface CutHead {
  /** Byte between cells, -1 when no sign parts them. */
  readonly delimiter: number;
  readonly rows: readonly SampleRow[];
  readonly width: number;
  /** null when no row names the columns. */
  readonly block: HeadingBlock | null;
}

/** Returns the head of a file cut into rows and its headings, whatever its columns mean. */
export function cutHead(head: Uint8Array, isWhole: boolean, encoding: 'utf-8' | 'windows-1252', rules: ReadingRules | null): CutHead {
  const stated = statedDelimiter(rules);
  let { delimiter, rows, width } = chooseDelimiter(head, isWhole, encoding);
  if (stated !== null) {
    delimiter = stated;
    rows = sampleRows(head, isWhole, stated, encoding);
    width = modalWidth(rows);
  } else if (delimiter === -1) {
    rows = sampleRows(head, isWhole, -1, encoding);
    width = 1;
  }
  return { delimiter, rows, width, block: delimiter === -1 || rows.length === 0 ? null : findHeadings(rows, width) };
}
