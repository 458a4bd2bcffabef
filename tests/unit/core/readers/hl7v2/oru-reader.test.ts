import { describe, expect, it } from 'vitest';
import { delimitersOf, readStamp, Segment } from '../../../../../core/readers/hl7v2/message-text.ts';
import { MAX_SEGMENT_BYTES } from '../../../../../core/readers/hl7v2/segment-cutter.ts';
import { oruMessage, stamp } from '../../../../builders/hl7v2.ts';
import { importText, secondsOf, valuesOf } from '../../../../builders/import-text.ts';

const at = (second: number): string => `200103040800${String(second).padStart(2, '0')}+0000`.replace('2001', '2031');
/** An observation: value type, identifier, value, unit, and what else differs. */
function obx(second: number, value: string, more: { type?: string; id?: string; unit?: string; flags?: string; status?: string; sub?: string; time?: string; device?: string; site?: string } = {}): string {
  return ['OBX', 1, more.type ?? 'NM', more.id ?? '150456^MDC_PULS_OXIM_SAT_O2^MDC', more.sub ?? '', value, more.unit ?? '%^^UCUM', '', more.flags ?? '', '', '', more.status ?? 'F', '', '', more.time ?? at(second), '', '', '', more.device ?? '', '', more.site ?? ''].join('|');
}

describe('observations', () => {
  it('are rows: used, missing for a reason, or rejected with one', async () => {
    const { channel, report, outcome } = await importText(
      oruMessage([
        obx(0, '97'),
        obx(1, '', { status: 'X' }),
        obx(2, '', { flags: 'NAV' }),
        obx(3, ''),
        obx(4, '""'),
        obx(5, '96', { flags: 'INV' }),
        obx(6, '>^95', { type: 'SN' }),
        obx(7, '94', { status: 'C' }),
        obx(8, '93', { status: 'D' }),
        obx(9, '92', { status: 'W' }),
        obx(10, 'abc'),
        obx(11, '91', { id: '' }),
        obx(12, '90', { time: '203113' }),
        obx(13, '1^2^3', { type: 'NA' }),
        obx(14, '89~88'),
        obx(15, '1^-^2', { type: 'SN' }),
      ]),
    );
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, null, null, 96, 95, 94]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    expect(channel('spo2').mark[5]).toBe(4);
    expect(report).toMatchObject({ rows_read: 16, rows_accepted: 8, rows_rejected: 8, layout: 'hl7 v2', kind: 'trends' });
    expect(outcome.rejectedRows.map(({ line, reason }) => [line, reason])).toEqual([
      [13, 'deleted'],
      [14, 'marked as wrong'],
      [15, 'no value that can be read'],
      [16, 'no code that says what was measured'],
      [17, 'time not readable'],
      [18, 'an array of numbers, not a trend'],
      [19, 'several values in one observation'],
      [20, 'a range or ratio, not one value'],
    ]);
  });

  it('are mapped by MDC and LOINC code, their units by either', async () => {
    const { record } = await importText(
      oruMessage([
        obx(0, '97', { id: '59408-5^Oxygen saturation^LN', unit: '%' }),
        obx(0, '71', { id: '149530^MDC_PULS_OXIM_PULS_RATE^MDC', unit: '264864^MDC_DIM_BEAT_PER_MIN^MDC' }),
        obx(0, '16', { id: '76215-3^^LN^150037^MDC_PRESS_BLD_ART_ABP_SYS^MDC', unit: 'kPa' }),
        obx(0, '1.2', { id: 'LOCAL1^PI^99X^61006-3^Perfusion index^LN', unit: '' }),
        obx(0, '98', { id: '150324^SpO2^MDC' }),
        obx(1, '97', { id: '150324^SpO2^MDC' }),
      ]),
    );
    expect(record.channels.map(({ quantity, value }) => [quantity, value[0]])).toEqual([['spo2', 97], ['pulse-rate', 71], ['art-sys', 120.00992], ['perfusion-index', 1.2], ['other', 98]]);
  });

  it('have their site in OBX-20 and their device in OBX-18 or OBX-4', async () => {
    const sited = await importText(oruMessage([obx(0, '97', { site: '48800003^Ear lobe^SCT' })]));
    expect(sited.channel('spo2').site).toBe('ear lobe');
    const two = await importText(oruMessage([0, 1].flatMap((second) => [obx(second, '97', { sub: '1.1.1.5' }), obx(second, '91', { sub: '2.1.1.5' })])));
    expect(two.record.channels.map(({ channelId, value }) => [channelId, value[0]])).toEqual([['spo2@unstated 1', 97], ['spo2@unstated 2', 91]]);
    const named = await importText(oruMessage([0, 1].flatMap((second) => [obx(second, '97', { device: 'SERIAL-1' }), obx(second, '91', { device: 'SERIAL-2' })])));
    expect(named.record.channels).toHaveLength(2);
    expect(JSON.stringify(named.outcome)).not.toContain('SERIAL');
  });

  it('with words are events and drugs', async () => {
    const said = (second: number, text: string, type = 'ST') => obx(second, text, { type, id: 'NOTE^Note^L', unit: '' });
    const { record } = await importText(oruMessage([said(0, 'phenylephrine 100 mcg'), said(10, 'arms tucked'), obx(20, 'P^prone^L', { type: 'CWE', id: 'POS^Body position^L', unit: '' }), obx(21, 'P^prone^L', { type: 'CWE', id: 'POS^Body position^L', unit: '' }), said(30, 'A \\T\\ B~second line', 'TX')]));
    expect(record.drugs.map(({ inn, amount }) => [inn, amount])).toEqual([['phenylephrine', 100]]);
    expect(record.events.map(({ text }) => text)).toEqual(['arms tucked', 'Body position: prone', 'A & B second line']);
  });

  it('without a time of their own have that of their request, read with the offset of the header', async () => {
    const header = 'MSH|^~\\&|A|B|C|D|20310304090000+0100||ORU^R01|1|P|2.6';
    const { record } = await importText(oruMessage([obx(0, '97', { time: '' }), obx(0, '96', { time: '20310304090010' })], { header, obr: 'OBR|1||1|vitals|||20310304090000' }));
    expect(record.origin).toMatchObject({ epochMs: Date.UTC(2031, 2, 4, 8), zone: '+01:00' });
    expect([...(record.channels[0]?.tMs ?? [])]).toEqual([0, 10_000]);
    const none = await importText(oruMessage([obx(0, '97', { time: '' })], { obr: 'OBR|1||1|vitals' }));
    expect(none.report.rejected).toMatchObject([{ reason: 'no time' }]);
  });
});

describe('messages', () => {
  it('follow one another, also in frames, in a batch, with line feeds; other kinds are counted', async () => {
    const adt = 'MSH|^~\\&|A|B|C|D|20310304080000||ADT^A01|9|P|2.6\rPID|||X\rOBX|1|NM|150456^^MDC||50|%|||||F|||20310304080000\r';
    const first = oruMessage([obx(0, '97')]);
    const second = oruMessage([obx(10, '96')]);
    for (const text of [first + adt + second, `\x0b${first}\x1c\r\x0b${adt}\x1c\r\x0b${second}\x1c\r`, `FHS|^~\\&|A\rBHS|^~\\&|A\r${first}${adt}${second}BTS|2\rFTS|1\r`, (first + adt + second).replaceAll('\r', '\n'), (first + adt + second).replaceAll('\r', '\r\n')]) {
      const { channel, report } = await importText(text);
      expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
      expect(report).toMatchObject({ rows_read: 2, rows_accepted: 2 });
      expect(report.notes.join(' ')).toMatch(/\(ORU\^R01\): 2\..*ADT\^A01 1/);
    }
  });

  it('of several visits are several cases; nothing of PID and PV1 is kept', async () => {
    const visit = (number: string, patient: string, value: string) => oruMessage([obx(0, value), obx(10, value)], { pid: `PID|||${patient}||Secret^Name`, pv1: number === '' ? 'PV1||I' : `PV1||I|${'|'.repeat(16)}${number}` });
    const { outcome } = await importText(visit('secret-v1', 'secret-p1', '97') + visit('secret-v2', 'secret-p2', '91') + oruMessage([obx(20, '96')], { pid: 'PID|||secret-p1', pv1: 'PV1||I' }));
    expect(outcome.cases.map(({ channels }) => [...(channels[0]?.value ?? [])]).sort((a, b) => a.length - b.length)).toEqual([[91, 91], [97, 97, 96]]);
    expect(outcome.cases.every(({ caseId }) => /^case-[0-9a-f]{10}$/.test(caseId))).toBe(true);
    expect(JSON.stringify(outcome)).not.toMatch(/secret/i);
    const one = await importText(visit('v1', 'p1', '97'), {}, 'theatre 4/x');
    expect(one.record.caseId).toBe('theatre 4');
  });

  it('may declare other separators', async () => {
    const text = oruMessage([obx(0, '97')]).replaceAll('^', '%%').replaceAll('|', '#').replaceAll('%%', '@').replaceAll('#%@@', '#%@@');
    expect(valuesOf((await importText(text)).channel('spo2'))).toEqual([97]);
  });
});

describe('files that are no good', () => {
  it.each([
    ['no result', 'MSH|^~\\&|A|B|C|D|2031||ADT^A01|9|P|2.6\rPID|||X\r', /no observation of a result message/],
    ['a header cut off', 'MSH|^~\\&|', /no observation of a result message/],
    ['only deleted results', oruMessage([obx(0, '97', { status: 'D' })]), /Its only row could not be used \(deleted\)/],
  ])('with %s end in a message with a remedy', async (_, text, message) => {
    const { report } = await importText(text);
    expect(report.failure?.message).toMatch(message);
    expect(report.failure?.remedy).toBeTruthy();
  });

  it('with junk, headers that declare nothing and endless segments lose only those', async () => {
    const { report, channel } = await importText(`${oruMessage([obx(0, '97'), 'junk in between', `OBX|1|ST|X||${'y'.repeat(MAX_SEGMENT_BYTES)}`])}MSH|||||\rOBX|1|NM|150456||9\r${oruMessage([obx(10, '96')])}`);
    expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
    expect(report.rejected.map(({ reason, count }) => [reason, count])).toEqual([
      ['no segment', 1],
      ['segment longer than 1 MB', 1],
      ['message header that declares no separators', 1],
      ['observation before any message header', 1],
    ]);
  });
});

describe('parts', () => {
  it.each([
    ['20310304080000', Date.UTC(2031, 2, 4, 8)],
    ['203103040800', Date.UTC(2031, 2, 4, 8)],
    ['20310304080000.25-0530', Date.UTC(2031, 2, 4, 13, 30, 0, 250)],
    ['20310304', Date.UTC(2031, 2, 4)],
    ['203103', NaN],
    ['20310230', NaN],
    ['2031030425', NaN],
    ['20310304080000+9900', NaN],
    ['', NaN],
  ])('stamp "%s"', (text, ms) => {
    expect(readStamp(text).ms).toEqual(ms);
  });

  it('escapes are resolved once, unknown and unclosed ones do no harm', () => {
    const signs = delimitersOf('MSH|^~\\&|');
    if (signs === null) throw new Error('no signs');
    const plain = (text: string): string => new Segment('OBX', signs).plain(text);
    expect(plain('a\\F\\b\\S\\c\\T\\d\\R\\e\\E\\f')).toBe('a|b^c&d~e\\f');
    expect(plain('x\\.br\\y\\X0D\\z')).toBe('x y z');
    expect(plain('\\H\\bold\\N\\ open\\')).toBe('bold open\\');
    expect(delimitersOf('MSH||||')).toBeNull();
  });

  it('the builder writes stamps as the reader reads them', () => {
    expect(readStamp(stamp(Date.UTC(2031, 2, 4, 8, 1, 2))).ms).toBe(Date.UTC(2031, 2, 4, 8, 1, 2));
  });
});
