import { describe, expect, it } from 'vitest';
import type { CaseOrigin } from '../../../../core/model/case.ts';
import { markTimes, placeOfMark } from '../../../../core/model/case-mark.ts';
import { caseMarkSchema } from '../../../../core/model/case-mark-schema.ts';

const DATED: CaseOrigin = { epochMs: Date.UTC(2031, 2, 14, 12, 40), clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true };
const OF_DAY: CaseOrigin = { epochMs: null, clock: 'time of day', originOffsetMs: 8 * 3_600_000, zone: 'UTC', zoneStated: false };

function markAt(origin: CaseOrigin, startMs: number, endMs: number | null) {
  return { markId: '0'.repeat(32), text: '', ...markTimes(origin, startMs, endMs) };
}

describe('a mark', () => {
  it('is kept at a time of the record’s clock', () => {
    expect(markTimes(DATED, 60_000, null)).toEqual({ clock: 'absolute', startMs: Date.UTC(2031, 2, 14, 12, 41), endMs: null });
    expect(markTimes(OF_DAY, 60_000, 120_000)).toEqual({ clock: 'time of day', startMs: 28_860_000, endMs: 28_920_000 });
  });
  it('stays at its time when the case is read again from an earlier first row', () => {
    const mark = markAt(DATED, 60_000, 90_000);
    expect(placeOfMark(mark, DATED)).toEqual({ startMs: 60_000, endMs: 90_000 });
    // Ten minutes more at the beginning: the same clock time is ten minutes further from the origin.
    expect(placeOfMark(mark, { ...DATED, epochMs: Date.UTC(2031, 2, 14, 12, 30) })).toEqual({ startMs: 660_000, endMs: 690_000 });
    expect(placeOfMark(markAt(OF_DAY, 60_000, null), { ...OF_DAY, originOffsetMs: 8 * 3_600_000 - 30_000 })).toEqual({ startMs: 90_000, endMs: 90_000 });
  });
  it('has no place in a record that counts its times otherwise', () => {
    expect(placeOfMark(markAt(DATED, 60_000, null), OF_DAY)).toBeNull();
  });
  it('ends after it begins', () => {
    expect(caseMarkSchema.safeParse(markAt(DATED, 5, 6)).success).toBe(true);
    expect(caseMarkSchema.safeParse(markAt(DATED, 5, 5)).success).toBe(false);
  });
});
