import fc from 'fast-check';
import { expect, test } from 'vitest';
import { shareWidths } from '../../../../../core/report/document/share-widths.ts';

/* Worked by hand: 60 + 60 + 400 want more than 300; 60 is left for the third after 40 + 40 + 100 at the least, 20 each brings the first two to what they want. */
test('narrow columns get what they want, and the wide one wraps', () => {
  const widths = shareWidths([{ least: 40, full: 60 }, { least: 40, full: 60 }, { least: 100, full: 400 }], 300, () => 1);
  expect(widths.map((one) => Math.round(one * 10) / 10)).toEqual([60, 60, 180]);
});

test('where all fit none is stretched further than is asked; where not even the least fits a long word gives way, not the columns beside it', () => {
  expect(shareWidths([{ least: 10, full: 20 }, { least: 10, full: 30 }], 200, () => 1.5)).toEqual([30, 45]);
  expect(shareWidths([{ least: 10, full: 20 }, { least: 10, full: 30 }], 60, () => 1.5)).toEqual([24, 36]);
  // Worked by hand: 40 and 60 keep what their words need, and 300 gets the 100 that are left of 200; of 100 all three get a third.
  const long = [{ least: 40, full: 80 }, { least: 60, full: 60 }, { least: 300, full: 300 }];
  const tidy = (widths: readonly number[]): readonly number[] => widths.map((one) => Math.round(one * 10) / 10);
  expect(tidy(shareWidths(long, 200, () => 1.5))).toEqual([40, 60, 100]);
  expect(tidy(shareWidths(long, 100, () => 1.5))).toEqual([33.3, 33.3, 33.3]);
  expect(shareWidths([], 200, () => 1.5)).toEqual([]);
});

test('columns never take more than there is, and none less than its least while there is room (property)', () => {
  const column = fc.tuple(fc.double({ min: 1, max: 200, noNaN: true }), fc.double({ min: 0, max: 500, noNaN: true })).map(([least, more]) => ({ least, full: least + more }));
  fc.assert(
    fc.property(fc.array(column, { minLength: 1, maxLength: 12 }), fc.double({ min: 50, max: 2000, noNaN: true }), (wished, width) => {
      const widths = shareWidths(wished, width, () => 1.5);
      expect(widths.reduce((sum, one) => sum + one, 0)).toBeLessThanOrEqual(width + 0.1);
      const fits = wished.reduce((sum, { least }) => sum + least, 0) < width;
      if (fits) for (const [i, one] of widths.entries()) expect(one).toBeGreaterThanOrEqual((wished[i]?.least ?? 0) - 1e-6);
    }),
  );
});
