import { describe, expect, it } from 'vitest';
import { computed, recorded, seconds } from '../../../../core/report/numbers.ts';

describe('numbers of the output', () => {
  it('writes milliseconds as seconds without float noise', () => {
    expect(String(seconds(30_000))).toBe('30');
    expect(String(seconds(1_100))).toBe('1.1');
    expect(String(seconds(0.1 * 3 * 1000))).toBe('0.3');
    expect(String(seconds(-1500))).toBe('-1.5');
  });

  it('rounds computed numbers to six significant digits', () => {
    expect(String(computed(1 / 3))).toBe('0.333333');
    expect(String(computed(61.23456789))).toBe('61.2346');
  });

  it('keeps recorded numbers and takes only the noise of a conversion off', () => {
    expect(0.29 * 100).not.toBe(29); // what a fraction read as per cent gives
    expect(String(recorded(0.29 * 100))).toBe('29');
    expect(String(recorded(1_234_567.5))).toBe('1234567.5');
  });

  it('keeps null null', () => {
    expect([seconds(null), computed(null), recorded(null)]).toEqual([null, null, null]);
  });
});
