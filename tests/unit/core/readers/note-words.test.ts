import { describe, expect, it } from 'vitest';
import { importText } from '../../../builders/import-text.ts';

/* One row, cell, text or instant is spoken of in the singular wherever a note counts. */

const HEAD = 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n';

describe('a note that counts', () => {
  it.each([
    ['a row repeated', (n: number) => HEAD + '2031-03-04 08:00:00,97,60\n'.repeat(n), '1 row repeats an earlier row and was dropped as a duplicate.', '2 rows repeat an earlier row and were dropped as duplicates.'],
    ['a cell that is no number', (n: number) => HEAD + Array.from({ length: n }, (_, i) => `2031-03-04 08:00:${10 + i},abc,60\n`).join(''), '1 cell in a column of numbers holds text that is no number and was taken', '2 cells in columns of numbers hold text that is no number and were taken'],
    ['a short row', (n: number) => HEAD + Array.from({ length: n }, (_, i) => `2031-03-04 08:00:${10 + i},96\n`).join(''), '1 row has fewer cells', '2 rows have fewer cells'],
    ['a mark', (n: number) => HEAD + Array.from({ length: n }, (_, i) => `2031-03-04 08:00:${10 + i},96*,61\n`).join(''), 'stands beside 1 value; the value was kept', 'stands beside 2 values; the values were kept'],
    ['two values at one instant', (n: number) => HEAD + Array.from({ length: n }, (_, i) => `2031-03-04 08:00:${10 + i},96,61\n2031-03-04 08:00:${10 + i},90,61\n`).join(''), 'At 1 instant two different values', 'At 2 instants two different values'],
    ['an unknown event', (n: number) => 'time,event\n2031-03-04 08:00:00,arms tucked\n' + Array.from({ length: n }, (_, i) => `2031-03-04 08:00:${10 + i},zz${i}\n`).join(''), '1 text names no event that this program knows; it is kept as a note.', '2 texts name no event that this program knows; they are kept as notes.'],
  ])('%s', async (_, body, one, two) => {
    expect((await importText(body(1))).report.notes.join(' ')).toContain(one);
    expect((await importText(body(2))).report.notes.join(' ')).toContain(two);
  });

  it('and a guess: one entry on a whole minute', async () => {
    const { report } = await importText('time,event\n2031-03-04 08:00:00,arms tucked\n');
    expect(report.guesses.find((guess) => guess.field === 'manual')).toMatchObject({ taken: 'The time of this entry is taken as typed by hand.', because: 'the only one falls on a whole minute' });
  });
});
