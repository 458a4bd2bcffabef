import { describe, expect, it } from 'vitest';
import { MARK } from '../../../../core/model/channel.ts';
import { importText, valuesOf } from '../../../builders/import-text.ts';

/* Ways in which charts write a blood pressure in one cell: common practice without source. */

const table = (heading: string, cells: readonly string[], delimiter = ','): string =>
  [['Time', 'SpO2', heading, 'HR'].join(delimiter), ...cells.map((cell, i) => [`2031-03-04 08:${String(i).padStart(2, '0')}:00`, '97', cell, String(70 + i)].join(delimiter))].join('\n');

describe('a column of joined pressures', () => {
  it.each([
    ['NIBP', ['118/64 (82)', '', '97/51(66)', '120/70 [87]'], [118, 64, 82, 97, 51, 66, 120, 70, 87], 'nibp'],
    ['BP (mmHg)', ['118/64/82', '121 / 66 / 84', '---', '99/50/66'], [118, 64, 82, 121, 66, 84, 99, 50, 66], 'nibp'],
    ['ABP sys/dia (mean)', ['118/64 (82)', '119/65 (83)', '120/66 (84)', '121/67 (85)'], [118, 64, 82, 119, 65, 83, 120, 66, 84, 121, 67, 85], 'art'],
  ] as const)('%s: every figure stands under its quantity, at its time', async (heading, cells, figures, kind) => {
    const { channel, report } = await importText(table(heading, cells));
    const found = (['sys', 'dia', 'mean'] as const).map((part) => valuesOf(channel(`${kind}-${part}`)).filter((value) => value !== null));
    expect(found[0]?.flatMap((_, i) => found.map((values) => values[i]))).toEqual(figures);
    expect(report.rows_accepted).toBe(4);
    expect(report.notes.join(' ')).toContain('hold more than one pressure');
    expect(valuesOf(channel('heart-rate'))).toEqual([70, 71, 72, 73]);
  });

  it('has two quantities where no cell has a mean, and a filler stands for both', async () => {
    const { channel, record } = await importText(table('NIBP', ['118/64', '--', '97/51']));
    expect(record.channels.some(({ quantity }) => quantity === 'nibp-mean')).toBe(false);
    expect([...channel('nibp-dia').mark].map((mark) => mark & MARK.sentinel)).toEqual([0, MARK.sentinel, 0]);
  });

  it('does not hide a row with too many cells, nor one with too few', async () => {
    const text = `${table('NIBP', ['118/64', '97/51', '98/52'])}\n2031-03-04 08:10:00,97,101/60,75,surplus\n2031-03-04 08:11:00,97\n2031-03-04 08:12:00,97,102/61,77,`;
    const { channel, report } = await importText(text);
    expect(report.rejected).toMatchObject([{ reason: 'more cells than there are headings', count: 1, first_line: 5 }]);
    expect(valuesOf(channel('nibp-sys')).filter((value) => value !== null)).toEqual([118, 97, 98, 102]);
  });

  it('is left alone where a person says what it is, where its figures are none of a pressure, and beside no other measurement', async () => {
    expect((await importText(table('NIBP', ['118/64', '97/51']), { mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading: { columns: { NIBP: { role: 'text' } } } }] } })).record.events).toHaveLength(2);
    expect((await importText(table('Ratio', ['118/64', '97/51']))).record.channels.map(({ quantity }) => quantity)).not.toContain('nibp-sys');
    expect((await importText(table('NIBP', ['64/118', '51/97']))).record.channels.map(({ quantity }) => quantity)).not.toContain('nibp-sys');
  });

  it('with decimal commas, in kilopascal, comes out in mmHg', async () => {
    const { channel } = await importText(table('NIBP (kPa)', ['15,7/8,5 (10,9)', '16,0/8,0 (10,7)'], ';'));
    expect(valuesOf(channel('nibp-sys'))[1]).toBeCloseTo(16 * 7.50062, 3);
    expect(valuesOf(channel('nibp-mean'))[0]).toBeCloseTo(10.9 * 7.50062, 3);
  });
});
