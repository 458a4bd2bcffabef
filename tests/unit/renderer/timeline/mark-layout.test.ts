import { describe, expect, it } from 'vitest';
import { drawnMarks, markRowCount } from '../../../../renderer/timeline/mark-layout.ts';

const mark = (markId: string, startMs: number, endMs: number | null, text = '') => ({ mark: { markId, endMs, text }, place: { startMs, endMs: endMs ?? startMs } });

describe('marks as the timeline draws them', () => {
  it('bear their number in the list and the beginning of their note', () => {
    const drawn = drawnMarks([mark('a', 0, null), { ...mark('b', 5, null), place: null }, mark('c', 9, null, 'cuff moved\nto the other arm because of the line')]);
    expect(drawn.map(({ text }) => text)).toEqual(['1', '3 cuff moved to the oth…']);
    expect(drawn[1]?.note).toBe('cuff moved to the other arm because of the line');
  });
  it('bear no number where no list has one', () => {
    expect(drawnMarks([{ ...mark('a', 0, null, 'aligned here'), isNumbered: false }]).map(({ text }) => text)).toEqual(['aligned here']);
  });
  it('stand in two rows where spans overlap', () => {
    const drawn = drawnMarks([mark('a', 0, 100), mark('b', 50, 150), mark('c', 120, 200)]);
    expect(drawn.map(({ row }) => row)).toEqual([0, 1, 0]);
    expect(markRowCount(drawn)).toBe(2);
    expect(markRowCount([])).toBe(0);
  });
});
