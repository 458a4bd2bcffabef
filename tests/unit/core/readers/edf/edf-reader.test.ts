import { describe, expect, it } from 'vitest';
import { readAnnotations } from '../../../../../core/readers/edf/edf-annotations.ts';
import { readEdfHeader } from '../../../../../core/readers/edf/edf-header.ts';
import { edfScale } from '../../../../../core/readers/edf/edf-scale.ts';
import { edfBytes, type MadeEdf, type MadeSignal } from '../../../../builders/edf-file.ts';
import { importText, secondsOf, valuesOf } from '../../../../builders/import-text.ts';

const spo2 = (records: readonly (readonly number[])[], more: Partial<MadeSignal> = {}): MadeSignal => ({ label: 'SpO2', dimension: '%', physical: [-10, 120], digital: [-10, 120], records, ...more });
const read = (made: MadeEdf, options: Parameters<typeof importText>[1] = {}) => importText(edfBytes(made), options, 'case-a/night.txt');

describe('signals', () => {
  it('are channels at their times: some samples to a data record, whatever the record lasts', async () => {
    const { channel, report, record } = await read({ recordS: 10, signals: [spo2([[97, 96], [95, 94]]), { label: 'HR', dimension: 'bpm', physical: [0, 300], digital: [0, 300], records: [[70], [71]] }] });
    expect(valuesOf(channel('spo2'))).toEqual([97, 96, 95, 94]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 5, 10, 15]);
    expect(secondsOf(channel('heart-rate'))).toEqual([0, 10]);
    expect([...channel('spo2').line]).toEqual([1, 1, 2, 2]);
    expect(report).toMatchObject({ layout: 'edf', encoding: 'binary', kind: 'trends', rows_read: 2, rows_accepted: 2, failure: null });
    expect(record.origin).toMatchObject({ epochMs: Date.UTC(2031, 2, 4, 8), clock: 'absolute' });
  });

  it('are calibrated; the noise of storing in steps is taken off', async () => {
    const toDigital = (pct: number): number => Math.round((pct / 100) * 65_535 - 32_768);
    const { channel } = await read({ recordS: 1, signals: [spo2([[toDigital(97)], [toDigital(50.5)], [toDigital(88)]], { physical: [0, 100], digital: [-32_768, 32_767] })] });
    expect(valuesOf(channel('spo2'))).toEqual([97, 50.5, 88]);
  });

  it('hold agreed numbers for "no value": 0, −1, 127, the lowest, and what lies outside the digital limits', async () => {
    const { channel, report } = await read({ recordS: 1, signals: [spo2([[97], [0], [-1], [127], [-10], [300], [96]], { physical: [-10, 130], digital: [-10, 130] })] });
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, null, null, null, 96]);
    expect(report.columns[0]).toMatchObject({ values: 2, missing: 5 });
    expect(report.notes.join(' ')).toContain('1 stored numbers lie outside');
    // 0 % stored in steps of 0.0015 from −1 is not exactly 0.
    const steps = await read({ recordS: 1, signals: [spo2([[Math.round((1 / 101) * 65_535) - 32_768], [30_000]], { physical: [-1, 100], digital: [-32_768, 32_767] })] });
    expect(Number.isNaN(steps.channel('spo2').value[0])).toBe(true);
  });

  it('of oximetry sampled faster than once a second are thinned, of unknown waves left out, both said', async () => {
    const fast = Array.from({ length: 3 }, (_, r) => Array.from({ length: 64 }, (__, i) => 90 + r + (i === 0 ? 0 : 5)));
    const { channel, report } = await read({ recordS: 1, signals: [spo2(fast), { label: 'Pleth', records: fast }, { label: 'Position', records: [[1], [2], [3]] }] });
    expect(valuesOf(channel('spo2'))).toEqual([90, 91, 92]);
    expect(report.columns.map(({ heading, readAs }) => [heading, readAs])).toEqual([
      ['SpO2', 'SpO2, site not stated, %'],
      ['Pleth', 'not used (a wave, 64 samples a second)'],
      ['Position', 'kept, but not recognised'],
    ]);
    expect(report.notes.join(' ')).toContain('the first of each second was taken');
  });

  it('have their site in the label or the transducer; SaO2 is EDF’s word for oximetry, as a guess', async () => {
    const { record, report } = await read({ recordS: 1, signals: [spo2([[97], [96]], { label: 'SaO2 forehead' }), spo2([[95], [94]], { transducer: 'clip on left ear' })] });
    expect(record.channels.map(({ quantity, site }) => [quantity, site])).toEqual([['spo2', 'forehead'], ['spo2', 'ear lobe']]);
    expect(report.guesses.map(({ field }) => field)).toContain('columns.SaO2 forehead');
    const left = await read({ recordS: 1, signals: [spo2([[97]], { label: 'SaO2' }), spo2([[95]])] }, { mapping: { schema: 'lacuna-mapping/1', name: 'm', files: [{ match: {}, reading: { columns: { SaO2: { role: 'ignore' } } } }] } });
    expect(left.record.channels.map(({ label }) => label)).toEqual(['SpO2']);
  });

  it('with a broken calibration are left out by themselves', async () => {
    const { record, report } = await read({ recordS: 1, signals: [spo2([[97]]), { label: 'HR', records: [[70]], physical: [5, 5] }, { label: 'PR', records: [[70]], digital: [9, 3] }] });
    expect(record.channels.map(({ label }) => label)).toEqual(['SpO2']);
    expect(report.notes.join(' ')).toMatch(/"HR" could not be used.*"PR" could not be used/);
  });
});

describe('time', () => {
  it('of EDF+D is that of each data record: interruptions are legal and nothing stands in them', async () => {
    const { channel, report } = await read({ kind: 'EDF+D', recordS: 10, signals: [spo2([[97, 96], [95, 94], [93, 92]])], annotations: ['+0\x14\x14\0', '+10\x14\x14\0', '+600.5\x14\x14\0'] });
    expect(secondsOf(channel('spo2'))).toEqual([0, 5, 10, 15, 600.5, 605.5]);
    expect(report.layout).toBe('edf+d');
    expect(report.notes.join(' ')).toContain('interrupted once, 581 s in all');
  });

  it('of a data record without its own, or going backwards, in EDF+D is not guessed: the record is rejected', async () => {
    const { channel, report, outcome } = await read({ kind: 'EDF+D', recordS: 10, signals: [spo2([[97], [96], [95], [94]])], annotations: ['+0\x14\x14\0', '\0', '+5\x14\x14\0', '+30\x14\x14\0'] });
    expect(valuesOf(channel('spo2'))).toEqual([97, 94]);
    expect(report).toMatchObject({ rows_read: 4, rows_accepted: 2, rows_rejected: 2 });
    expect(outcome.rejectedRows.map(({ line, reason }) => [line, reason])).toEqual([[2, 'data record without a time of its own'], [3, 'data record that begins before the one before it ended']]);
  });

  it.each([
    ['31.12.84', 'X', '2084-12-31'],
    ['31.12.85', '', '1985-12-31'],
    ['04.03.yy', 'Startdate 04-MAR-2131 X X X', '2131-03-04'],
  ])('date %s with recording "%s" is %s', async (date, recording, day) => {
    const { record } = await read({ recordS: 1, date, recording, signals: [spo2([[97]])] });
    expect(new Date(record.origin.epochMs ?? NaN).toISOString().slice(0, 10)).toBe(day);
  });

  it('with the date taken out is a clock without a date', async () => {
    const { record } = await read({ recordS: 1, date: '01.01.85', recording: 'Startdate X X X X', time: '23.10.00', signals: [spo2([[97]])] });
    expect(record.origin).toMatchObject({ epochMs: null, clock: 'time of day', originOffsetMs: 83_400_000 });
  });

  it('is read in the stated zone', async () => {
    const { record } = await read({ recordS: 1, signals: [spo2([[97]])] }, { zone: 'Europe/Berlin' });
    expect(record.origin).toMatchObject({ epochMs: Date.UTC(2031, 2, 4, 7), zone: 'Europe/Berlin', zoneStated: true });
  });
});

describe('annotations', () => {
  it('are events and drugs at their onset, with their duration; each is a row', async () => {
    const { record, report } = await read({
      recordS: 10,
      signals: [spo2([[97], [96]])],
      annotations: ['+0\x14\x14\0+3.5\x14phenylephrine 100 mcg IV\x14arms tucked\x14\0', '+10\x14\x14\0+12\x15600\x14prone\x14\0+13\x14Lights off@@SpO2\x14\0'],
    });
    expect(record.drugs.map(({ inn, amount, unit, atMs }) => [inn, amount, unit, atMs])).toEqual([['phenylephrine', 100, 'ug', 3500]]);
    expect(record.events.map(({ text, atMs, endMs }) => [text, atMs, endMs])).toEqual([['arms tucked', 3500, null], ['prone', 12_000, 612_000], ['Lights off', 13_000, null]]);
    expect(report).toMatchObject({ rows_read: 6, rows_accepted: 6, layout: 'edf+c' });
  });

  it('may stand alone in a file whose data records last 0 s', async () => {
    const { record } = await read({ recordS: 0, signals: [], annotations: ['+0\x14\x14\0+60\x14arms tucked\x14\0'] });
    expect(record.events.map(({ term }) => term)).toEqual(['arms tucked']);
  });

  it('that follow no rule are rejected and cost no other', () => {
    const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
    expect(readAnnotations(bytes('+0\x14\x14\0'))).toEqual({ recordOnsetS: 0, annotations: [], nBroken: 0 });
    expect(readAnnotations(bytes('0\x14x\x14\0+1\x14ok\x14\0+2\x14open\0+3\x15\x14x\x14\0\0\0-4.25\x1512\x14früh\x14\x14zwei\x14\0'))).toEqual({
      recordOnsetS: null,
      annotations: [{ onsetS: 1, durationS: null, text: 'ok' }, { onsetS: -4.25, durationS: 12, text: 'früh' }, { onsetS: -4.25, durationS: 12, text: 'zwei' }],
      nBroken: 3,
    });
    expect(readAnnotations(new Uint8Array(0))).toEqual({ recordOnsetS: null, annotations: [], nBroken: 0 });
  });
});

describe('files that are no good', () => {
  const good: MadeEdf = { recordS: 1, signals: [spo2([[97], [96], [95]])] };

  it('cut off inside a data record: what was whole is read, the rest rejected', async () => {
    const { report, channel } = await importText(edfBytes(good).slice(0, -1));
    expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
    expect(report).toMatchObject({ rows_read: 3, rows_rejected: 1, rejected: [{ reason: 'the file ends inside this data record', first_line: 3 }] });
    expect(report.notes.join(' ')).toContain('states 3 data records; the file holds 2');
  });

  it('with more data records than stated: those beyond are rejected; an unstated number is read to the end', async () => {
    expect((await read({ ...good, nRecords: 2 })).report).toMatchObject({ rows_accepted: 2, rows_rejected: 1 });
    expect((await read({ ...good, nRecords: -1 })).report).toMatchObject({ rows_accepted: 3, rows_rejected: 0 });
  });

  it.each<[string, (bytes: Uint8Array) => Uint8Array, RegExp]>([
    ['ends inside the header', (bytes) => bytes.slice(0, 400), /ends inside it/],
    ['states another length of the header', (bytes) => put(bytes, 184, '768     '), /states 768 header bytes where 1 signals make 512/],
    ['states no signal', (bytes) => put(bytes, 252, '0   '), /states 0 signals/],
    ['states more signals than there can be', (bytes) => put(bytes, 252, '9999'), /states 9999 signals|ends inside it/],
    ['has a time that is none', (bytes) => put(bytes, 176, '25.00.00'), /start time "25.00.00" is no time/],
    ['has a date that is none', (bytes) => put(put(bytes, 168, '31.02.31'), 88, 'Startdate X'), /start date "31.02.31" is no date/],
    ['states no samples', (bytes) => put(bytes, 256 + 216, '-4      '), /states -4 samples/],
    ['states data records of 0 s with samples', (bytes) => put(bytes, 244, '0       '), /annotations only/],
    ['has no data record', (bytes) => put(bytes.slice(0, 512), 236, '0       '), /no data record/],
  ])('that %s end in a message with a remedy', async (_, breakIt, message) => {
    const { report, outcome } = await importText(breakIt(edfBytes(good)));
    expect(report.failure?.message).toMatch(message);
    expect(report.failure?.remedy).toBeTruthy();
    expect(outcome.cases).toEqual([]);
  });

  it('keeps nothing of the fields that name patient and recording', async () => {
    const { outcome } = await read({ ...good, patient: 'SECRET-1 F 02-MAY-1951 Secret_Name', recording: 'Startdate 04-MAR-2031 SECRET-2 Secret_Nurse X' });
    expect(JSON.stringify(outcome)).not.toMatch(/secret/i);
  });

  it('is told by content: a table that begins with 0 and blanks stays a table', async () => {
    const rows = Array.from({ length: 20 }, (_, i) => `${i}        ${97 - (i % 3)}      70`).join('\n');
    expect((await importText(`${rows}\n`)).report.layout).not.toMatch(/^edf/);
  });
});

function put(bytes: Uint8Array, at: number, text: string): Uint8Array {
  const out = bytes.slice();
  out.set(new TextEncoder().encode(text.padEnd(at === 88 ? 80 : text.length)), at);
  return out;
}

describe('parts', () => {
  it('a header of four signals is 1280 bytes long', () => {
    const bytes = edfBytes({ recordS: 1, signals: [1, 2, 3, 4].map((i) => ({ label: `S${i}`, records: [[i]] })) });
    const header = readEdfHeader(bytes);
    expect(header.ok && [header.value.headerBytes, header.value.signals.length, header.value.recordBytes]).toEqual([1280, 4, 8]);
  });

  it('a step of 0.1 rounds to tenths, one of 0.0015 to hundredths, one of 1 to whole numbers', () => {
    const scaleOf = (physical: readonly [number, number], digital: readonly [number, number]) => {
      const scale = edfScale({ label: '', transducer: '', dimension: '', physicalMin: physical[0], physicalMax: physical[1], digitalMin: digital[0], digitalMax: digital[1], samplesPerRecord: 1, isAnnotations: false });
      if (typeof scale === 'string') throw new Error(scale);
      return scale;
    };
    expect(scaleOf([0, 100], [0, 1000]).rounded(973)).toBe(97.3);
    expect(scaleOf([0, 100], [-32_768, 32_767]).rounded(30_801)).toBe(97);
    expect(scaleOf([0, 100], [0, 100]).rounded(97)).toBe(97);
    expect(scaleOf([100, 0], [0, 100]).rounded(3)).toBe(97);
  });
});
