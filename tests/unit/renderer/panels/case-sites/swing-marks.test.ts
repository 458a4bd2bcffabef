import { describe, expect, it } from 'vitest';
import type { PairSwing } from '../../../../../core/model/site-detail.ts';
import { apartText } from '../../../../../renderer/format/site-text.ts';
import { swingMarks } from '../../../../../renderer/panels/case-sites/swing-marks.ts';

const swing = (halfMs: number, lagMs: number | null): PairSwing => ({
  direction: 'fall', fromMs: halfMs - 5000, toMs: halfMs + 5000, fromPct: 98, toPct: 90, halfMs, lag: lagMs === null ? null : { lagMs, lowMs: lagMs - 1000, highMs: lagMs + 1000, peak: 0.9, swings: 1 },
});
const window = { startMs: 0, endMs: 100_000 };
const scale = { kind: 'linear', min: 80, max: 100 } as const;
const marks = (swings: readonly PairSwing[], shiftMs = 0) => swingMarks(swings, window, 1000, scale, 200, shiftMs, apartText);

describe('marks of falls and rises', () => {
  it('stand half way at the first sensor, and by the lag away at the second', () => {
    // 1000 px for 100 s; half of 98 to 90 % is 94 %, 6/20 of 200 px from the top.
    const [mark, ...more] = marks([swing(50_000, 12_000)]);
    expect(mark).toMatchObject({ index: 0, direction: 'fall', firstPx: 500, secondPx: 620, label: '12 s' });
    expect(mark!.yPx).toBeCloseTo(60, 9);
    expect(more).toEqual([]);
  });

  it('coincide once the second curve is moved by the lag', () => {
    const [mark] = marks([swing(50_000, 12_000)], 12_000);
    expect(mark!.secondPx).toBe(mark!.firstPx);
  });

  it('have no second place where the swing tells no lag, and are left out beyond the window', () => {
    expect(marks([swing(50_000, null)])[0]).toMatchObject({ secondPx: null, label: null });
    expect(marks([swing(-50_000, 12_000), swing(150_000, 0)])).toEqual([]);
  });

  it('write no number over another', () => {
    expect(marks([swing(50_000, 1000), swing(51_000, 1000), swing(60_000, 1000)]).map((mark) => mark.label)).toEqual(['1.0 s', null, '1.0 s']);
  });
});
