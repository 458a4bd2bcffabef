import { describe, expect, it } from 'vitest';
import { lagFigureText, lagSentence, lagText, pairCautionText, pointsText, shareRangeText } from '../../../../renderer/format/site-text.ts';
import { PAIR_CAUTIONS } from '../../../../core/model/site-comparison.ts';

describe('words for two sites', () => {
  it('give a lag its sign', () => {
    expect([22_400, -4200, 0, 30, -30, 9950].map(lagText)).toEqual(['+22 s', '−4.2 s', '0 s', '0 s', '0 s', '+9.9 s']);
    expect(lagFigureText({ lagMs: 22_000, lowMs: 14_000, highMs: 27_000 })).toBe('+22 s (+14 to +27 s)');
    expect(lagFigureText({ lagMs: -2000, lowMs: -3500, highMs: 0 })).toBe('−2.0 s (−3.5 to 0 s)');
  });

  it('say which comes after which', () => {
    expect(lagSentence(22_000, 'ear lobe', 'finger')).toBe('the finger follows the ear lobe by 22 s');
    expect(lagSentence(-4000, 'finger', 'ear lobe')).toBe('the ear lobe comes 4.0 s before the finger');
    expect(lagSentence(0, 'finger', 'ear lobe')).toBe('both change at the same time');
  });

  it('show limits only where they differ from the estimate', () => {
    expect(shareRangeText({ low: 0.551, mid: 0.62, high: 0.703 })).toBe('62.0 % (55.1–70.3 %)');
    expect(shareRangeText({ low: 1, mid: 1, high: 1 })).toBe('100.0 %');
    expect(shareRangeText(null)).toBe('nothing lost');
  });

  it('give differences their sign', () => {
    expect([0.44, -1.25, 0, 0.02, null].map((v) => pointsText(v))).toEqual(['+0.4', '−1.3', '0.0', '0.0', '–']);
  });

  it('explain every caution', () => {
    expect(new Set(PAIR_CAUTIONS.map(pairCautionText)).size).toBe(PAIR_CAUTIONS.length);
  });
});
