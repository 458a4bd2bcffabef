import { describe, expect, it } from 'vitest';
import { CellDecoder } from '../../../../core/readers/decode-text.ts';
import { CELL, NumberReader, parseNumberText } from '../../../../core/readers/parse-number.ts';

const read = (text: string, mark: '.' | ',' = '.'): { value: number; code: number } => {
  const bytes = new TextEncoder().encode(text);
  const reader = new NumberReader(mark, new CellDecoder('utf-8'));
  const value = reader.read(bytes, 0, bytes.length);
  return { value, code: reader.code };
};

describe('numbers in cells', () => {
  it.each(['0', '97', '97.5', '-1.25', '+96', '007', '.5', '5.', '1e2', '123456789012345', '0.1', '0.3', '99.99', '1234567890123456789'])('%s is the double that JavaScript reads', (text) => {
    expect(read(text)).toEqual({ value: Number(text), code: CELL.number });
  });

  it.each([
    ['97,5', ',', 97.5],
    ['1.234,5', ',', 1234.5],
    ['1,234.5', '.', 1234.5],
    ["1'234.5", '.', 1234.5],
    ['1 234,5', ',', 1234.5],
    ['97.5', ',', 97.5],
    ['−1.5', '.', -1.5],
    ['89*', '.', 89],
    ['97 %', '.', 97],
    ['62bpm', '.', 62],
    ['<50', '.', 50],
  ] as const)('%s with %s is %d', (text, mark, value) => {
    expect(read(text, mark)).toEqual({ value, code: CELL.number });
  });

  it.each(['-', '---', '?', 'NaN', 'null', '#N/A', 'n/a', '****'])('%s is a filler', (text) => {
    expect(read(text).code).toBe(CELL.filler);
  });

  it.each(['abc', '=1+1', '12:30', '97/60', '1,2,3.4.5', '0x10'])('%s is no number', (text) => {
    expect(read(text).code).toBe(CELL.unreadable);
  });

  it('words of the sensor are a reason, not rubbish', () => {
    expect(parseNumberText('sensor off', '.').code).toBe(CELL.lostWord);
    expect(parseNumberText('Artefakt', '.').code).toBe(CELL.lostWord);
  });
});
