import { describe, expect, it } from 'vitest';
import { apartText, lagFigureText, lagLimitsText, lagSentence, lagText, pairCautionText, pointsText, shareRangeText } from '../../../../renderer/format/site-text.ts';
import { PAIR_CAUTIONS } from '../../../../core/model/site-comparison.ts';

describe('words for two sites', () => {
  it('say which site comes first, never by a sign', () => {
    expect([22_400, -4200, 0, 30, -30, 9950].map(apartText)).toEqual(['22 s', '4.2 s', '0 s', '0 s', '0 s', '9.9 s']);
    expect([22_400, -4200, 30].map((ms) => lagText(ms, 'finger', 'ear lobe'))).toEqual(['finger first by 22 s', 'ear lobe first by 4.2 s', 'both at once']);
  });

  it('write the limits of a lag in the same direction, and both directions where they differ', () => {
    const figure = (lagMs: number, lowMs: number, highMs: number) => lagFigureText({ lagMs, lowMs, highMs }, 'finger', 'ear lobe');
    expect(figure(-19_000, -22_000, -17_000)).toBe('ear lobe first by 19 s (17 to 22 s)');
    expect(figure(22_000, 14_000, 27_000)).toBe('finger first by 22 s (14 to 27 s)');
    expect(figure(-2000, -3500, 0)).toBe('ear lobe first by 2.0 s (0 to 3.5 s)');
    expect(figure(2000, -3500, 8000)).toBe('finger first by 2.0 s (ear lobe first by 3.5 s to finger first by 8.0 s)');
    expect(figure(0, -500, 500)).toBe('both at once (ear lobe first by 0.5 s to finger first by 0.5 s)');
    expect(lagLimitsText(-19_000, -16_000, 'finger', 'ear lobe')).toBe('ear lobe first by 16 to 19 s');
    expect(lagFigureText({ lagMs: -18_000, lowMs: -19_000, highMs: -16_000 }, 'finger', 'ear lobe', ' in 2 cases')).toBe('ear lobe first by 18 s (16 to 19 s in 2 cases)');
  });

  it('say it in a sentence', () => {
    const sentence = (lagMs: number, lowMs: number, highMs: number) => lagSentence({ lagMs, lowMs, highMs }, 'finger', 'ear lobe');
    expect(sentence(-19_000, -22_000, -17_000)).toBe('the ear lobe comes 19 s before the finger; 17 to 22 s fits nearly as well');
    expect(sentence(4000, 2000, 5000)).toBe('the finger comes 4.0 s before the ear lobe; 2.0 to 5.0 s fits nearly as well');
    expect(sentence(0, -500, 500)).toBe('both change at the same time; ear lobe first by 0.5 s to finger first by 0.5 s fits nearly as well');
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
