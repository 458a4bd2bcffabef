import { describe, expect, it } from 'vitest';
import { dateText } from '../../../../../core/readers/workbook/date-serial.ts';
import { numberKind } from '../../../../../core/readers/workbook/number-format.ts';

describe('what a number format makes of a number', () => {
  // Source: ECMA-376 part 1, section 18.8.30 (built-in formats), section 18.8.31 (format codes).
  it.each([
    [0, 'number'], [1, 'number'], [2, 'number'], [9, 'percent'], [10, 'percent'], [11, 'number'], [14, 'date'], [17, 'date'], [18, 'time'], [21, 'time'],
    [22, 'date and time'], [37, 'number'], [45, 'time'], [46, 'elapsed'], [47, 'time'], [48, 'number'], [49, 'number'],
  ])('built in, %i: %s', (id, kind) => {
    expect(numberKind(id, undefined)).toBe(kind);
  });

  it.each([
    ['General', 'number'], ['0.00', 'number'], ['#,##0.00 "days"', 'number'], ['0.00E+00', 'number'], ['[Red]0;[Blue]-0', 'number'], ['0\\h', 'number'], ['@', 'number'],
    ['0%', 'percent'], ['0.0%;[Red]-0.0%', 'percent'], ['0"%"', 'number'],
    ['yyyy-mm-dd', 'date'], ['mmm yy', 'date'], ['[$-407]d. mmmm yyyy', 'date'], ['mmmm', 'date'],
    ['hh:mm', 'time'], ['mm:ss.000', 'time'], ['h:mm AM/PM', 'time'], ['h:mm;@', 'time'],
    ['dd/mm/yyyy\\ hh:mm', 'date and time'], ['m/d/yy h:mm', 'date and time'], ['yyyy-mm-dd"T"hh:mm:ss', 'date and time'],
    ['[h]:mm:ss', 'elapsed'], ['[mm]:ss', 'elapsed'],
  ])('%s: %s', (code, kind) => {
    expect(numberKind(164, code)).toBe(kind);
  });
});

describe('day numbers', () => {
  // Source: ECMA-376 part 1, section 18.17.4.1, with its own examples for both systems as far as they are dates that existed.
  it.each([
    [1, 'date', false, '1900-01-01'],
    [59, 'date', false, '1900-02-28'],
    [60, 'date', false, '1900-02-29'],
    [61, 'date', false, '1900-03-01'],
    [2_958_465, 'date', false, '9999-12-31'],
    [0, 'date', true, '1904-01-01'],
    [1462, 'date', false, '1904-01-01'],
    [47_911 + 1 / 3, 'date and time', false, '2031-03-04T08:00:00'],
    [47_911, 'date and time', false, '2031-03-04T00:00:00'],
    [47_911.5, 'date', false, '2031-03-04T12:00:00'],
    [47_911.5, 'time', false, '2031-03-04T12:00:00'],
    [0.5, 'time', false, '12:00:00'],
    [1.25, 'time', false, '06:00:00'],
    [0.999_999_999_9, 'time', false, '00:00:00'],
    [1.25, 'elapsed', false, '30:00:00'],
    [1.5 / 86_400, 'elapsed', false, '00:00:01.500'],
    [-1, 'date', false, null],
    [2_958_466, 'date', false, null],
  ] as const)('%f as %s (1904: %s) is %s', (serial, kind, is1904, text) => {
    expect(dateText(serial, kind, is1904)).toBe(text);
  });

  it('are exact to the millisecond over a day of seconds', () => {
    for (let second = 0; second < 86_400; second += 7) {
      const text = dateText(47_911 + second / 86_400, 'date and time', false);
      expect(text).toBe(new Date(Date.UTC(2031, 2, 4) + second * 1000).toISOString().slice(0, 19));
    }
  });
});
