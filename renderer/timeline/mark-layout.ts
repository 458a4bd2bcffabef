import type { Interval } from '../../core/base/interval.ts';
import { cutText } from './event-layout.ts';

/** A mark as the timeline draws it. */
export interface DrawnMark extends Interval {
  readonly markId: string;
  readonly isSpan: boolean;
  /** Its number in the list, where it is in one, and the beginning of its note. */
  readonly text: string;
  /** All of the note. */
  readonly note: string;
  readonly row: number;
}

const ROWS = 2;

/** Returns marks for drawing, in the order given: number and first words of the note; spans that overlap stand in two rows. */
export function drawnMarks(marks: readonly { readonly mark: { readonly markId: string; readonly endMs: number | null; readonly text: string }; readonly place: Interval | null; readonly isNumbered?: boolean | undefined }[]): DrawnMark[] {
  const rowEnds = [-Infinity, -Infinity];
  return marks.flatMap(({ mark, place, isNumbered = true }, i): DrawnMark[] => {
    if (place === null) return [];
    const free = rowEnds.findIndex((end) => end <= place.startMs);
    const row = mark.endMs === null || free < 0 ? (free < 0 ? ROWS - 1 : free) : free;
    if (mark.endMs !== null) rowEnds[row] = place.endMs;
    const note = mark.text.replaceAll(/\s+/g, ' ').trim();
    return [{ ...place, markId: mark.markId, isSpan: mark.endMs !== null, text: [isNumbered ? String(i + 1) : '', cutText(note)].filter((part) => part !== '').join(' '), note, row }];
  });
}

/** Returns how many rows the marks take. */
export function markRowCount(marks: readonly DrawnMark[]): number {
  return marks.reduce((most, { row }) => Math.max(most, row + 1), 0);
}
