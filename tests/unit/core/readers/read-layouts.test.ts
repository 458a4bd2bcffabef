import { describe, expect, it } from 'vitest';
import { MARK } from '../../../../core/model/channel.ts';
import { importText, importTexts, secondsOf, valuesOf } from '../../../builders/import-text.ts';

const utf16 = (text: string, bigEndian: boolean, bom: boolean): Uint8Array => {
  const units = bom ? `\ufeff${text}` : text;
  const bytes = new Uint8Array(units.length * 2);
  for (let i = 0; i < units.length; i += 1) {
    const unit = units.charCodeAt(i);
    bytes[i * 2 + (bigEndian ? 0 : 1)] = unit >> 8;
    bytes[i * 2 + (bigEndian ? 1 : 0)] = unit & 255;
  }
  return bytes;
};
const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (char) => char.charCodeAt(0));

const WIDE = ['time,SpO2 (%),HR (bpm),MAP (mmHg)', '2031-03-04 08:00:00,97,62,70', '2031-03-04 08:00:10,96.5,63,71', '2031-03-04 08:00:20,,64,72', '2031-03-04 08:00:30,95,65,73', ''].join('\n');

describe('what headless.md says is read unaided: wide tables', () => {
  it('comma, ISO stamps', async () => {
    const { report, channel, record } = await importText(WIDE);
    expect(report).toMatchObject({ kind: 'trends', delimiter: ',', layout: 'wide', encoding: 'utf-8', rows_read: 4, rows_accepted: 4, rows_rejected: 0, cases: ['case-a'], failure: null });
    expect(valuesOf(channel('spo2'))).toEqual([97, 96.5, null, 95]);
    expect([...channel('spo2').mark]).toEqual([MARK.none, MARK.none, MARK.empty, MARK.none]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20, 30]);
    expect([...channel('spo2').line]).toEqual([2, 3, 4, 5]);
    expect(channel('spo2')).toMatchObject({ site: 'unstated', sensor: '', layout: 'wide', channelId: 'spo2@unstated', unit: '%' });
    expect(channel('heart-rate').tMs).toBe(channel('spo2').tMs);
    expect(record.origin).toMatchObject({ epochMs: Date.UTC(2031, 2, 4, 8), clock: 'absolute', zone: 'UTC', zoneStated: false });
  });

  for (const [name, delimiter, shown] of [['semicolon', ';', ';'], ['tab', '\t', 'tab'], ['pipe', '|', '|']] as const) {
    it(name, async () => {
      const { report, channel } = await importText(WIDE.replaceAll(',', delimiter));
      expect(report).toMatchObject({ delimiter: shown, rows_accepted: 4 });
      expect(valuesOf(channel('spo2'))).toEqual([97, 96.5, null, 95]);
    });
  }

  it('semicolon with decimal commas', async () => {
    const { report, channel } = await importText('Zeit;SpO2 (%);PI\n04.03.2031 08:00:00;97,5;1,25\n04.03.2031 08:00:10;96,0;0,9\n25.03.2031 08:00:20;95,5;1,1\n');
    expect(report).toMatchObject({ delimiter: ';', rows_accepted: 3 });
    expect(valuesOf(channel('spo2'))).toEqual([97.5, 96, 95.5]);
    expect(valuesOf(channel('perfusion-index'))).toEqual([1.25, 0.9, 1.1]);
    expect(report.guesses.find((guess) => guess.field === 'decimalMark')?.certainty).toBe('proven');
  });

  it('comma-delimited with quoted decimal commas', async () => {
    const { channel } = await importText('time,SpO2,PI\n2031-03-04 08:00:00,"97,5","1,25"\n2031-03-04 08:00:10,"96,0","0,9"\n');
    expect(valuesOf(channel('spo2'))).toEqual([97.5, 96]);
  });

  for (const [name, bytes, encoding] of [
    ['UTF-8 with a byte-order mark', new TextEncoder().encode(`\ufeff${WIDE}`), 'utf-8'],
    ['UTF-16 little-endian', utf16(WIDE, false, true), 'utf-16le'],
    ['UTF-16 big-endian', utf16(WIDE, true, true), 'utf-16be'],
    ['UTF-16 little-endian without a mark', utf16(WIDE, false, false), 'utf-16le'],
    ['UTF-16 big-endian without a mark', utf16(WIDE, true, false), 'utf-16be'],
    ['Latin-1', latin1(WIDE.replace('HR', 'Pr\xe4\xdf HR')), 'iso-8859-1'],
    ['Windows-1252', latin1(WIDE.replace('HR', '\x80 HR')), 'windows-1252'],
  ] as const) {
    it(name, async () => {
      const { report, channel } = await importText(bytes);
      expect(report).toMatchObject({ encoding, rows_accepted: 4 });
      expect(valuesOf(channel('spo2'))).toEqual([97, 96.5, null, 95]);
    });
  }

  it('carriage returns alone, and mixed line ends, keep physical lines', async () => {
    const { channel } = await importText(WIDE.replaceAll('\n', '\r'));
    expect([...channel('spo2').line]).toEqual([2, 3, 4, 5]);
    const mixed = await importText('time,SpO2,HR\r\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\r2031-03-04 08:00:20,95,62\r\n');
    expect([...mixed.channel('spo2').line]).toEqual([2, 3, 4]);
  });

  it('preamble, a row of units, blank lines, repeated headings, totals', async () => {
    const { report, channel } = await importText(
      ['Export of trends', 'Hospital: invented', '', 'Time;SpO2;Pulse', 'hh:mm:ss;%;/min', '04/03/2031 08:00:00;97;60', '', '04/03/2031 08:00:10;96;61', 'Time;SpO2;Pulse', '04/03/2031 08:00:20;95;62', 'Mean;96;61', 'end of export', ''].join('\n'),
    );
    expect(report).toMatchObject({ rows_read: 6, rows_accepted: 3, rows_rejected: 3 });
    expect(report.rejected).toEqual([
      { reason: 'headings repeated', count: 1, first_line: 9 },
      { reason: 'a note or a total, not a row of values', count: 2, first_line: 11 },
    ]);
    expect([...channel('spo2').line]).toEqual([6, 8, 10]);
    expect(channel('pulse-rate').unit).toBe('/min');
    expect(report.notes.join(' ')).toContain('Blank lines');
  });

  it('group names above the headings', async () => {
    const { record } = await importText(',Finger,,Ear lobe,\nTime,SpO2,PI,SpO2,PI\n2031-03-04 08:00:00,97,1.2,98,0.8\n2031-03-04 08:00:10,96,1.1,98,0.7\n');
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@finger', 'perfusion-index@finger', 'spo2@ear lobe', 'perfusion-index@ear lobe']);
  });

  it('several SpO2 columns without a site are sensors 1, 2, and PI and pulse go with them', async () => {
    const { record } = await importText('time,SpO2,SpO2,PI,PI,Pulse,Pulse\n2031-03-04 08:00:00,97,98,1.5,2.5,60,61\n2031-03-04 08:00:10,96,98,1.4,2.4,60,61\n');
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@unstated 1', 'spo2@unstated 2', 'perfusion-index@unstated 1', 'perfusion-index@unstated 2', 'pulse-rate@unstated 1', 'pulse-rate@unstated 2']);
  });

  it('unnumbered PI and pulse join the only sensor of the table, whose site is in its heading', async () => {
    const { record } = await importText('time,SpO2 ear,PI,Pulse\n2031-03-04 08:00:00,97,1.5,60\n2031-03-04 08:00:10,96,1.4,60\n');
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@ear lobe', 'perfusion-index@ear lobe', 'pulse-rate@ear lobe']);
  });

  it('a site column makes one sensor per site and keeps one heart rate', async () => {
    const { record, channel } = await importText(
      ['time,site,SpO2,PI,HR', '2031-03-04 08:00:00,finger,97,1.5,60', '2031-03-04 08:00:00,ear lobe,98,0.5,60', '2031-03-04 08:00:10,finger,96,1.4,61', '2031-03-04 08:00:10,ear lobe,98,0.6,61', ''].join('\n'),
    );
    expect(record.channels.map((own) => own.channelId).sort()).toEqual(['heart-rate', 'perfusion-index@ear lobe', 'perfusion-index@finger', 'spo2@ear lobe', 'spo2@finger']);
    expect(valuesOf(channel('spo2', 'ear lobe'))).toEqual([98, 98]);
    expect(valuesOf(channel('heart-rate'))).toEqual([60, 61]);
  });

  it('fractions become per cent, exactly (check-values unit-spo2-fraction)', async () => {
    const { channel, report } = await importText('time,SpO2\n2031-03-04 08:00:00,0.97\n2031-03-04 08:00:10,0.96\n2031-03-04 08:00:20,1.0\n2031-03-04 08:00:30,0.88\n');
    expect(valuesOf(channel('spo2'))).toEqual([97, 96, 100, 88]);
    expect(channel('spo2').mark.every((mark) => mark === MARK.converted)).toBe(true);
    expect(report.guesses.some((guess) => guess.field === 'columns.SpO2' && guess.alternatives.length === 1)).toBe(true);
  });

  it('kPa and °F are converted (check-values unit-kpa, unit-fahrenheit)', async () => {
    const { channel } = await importText('time,SpO2,EtCO2 (kPa),Temp core (°F)\n2031-03-04 08:00:00,97,10,98.6\n2031-03-04 08:00:10,97,5,98.6\n');
    expect(channel('etco2').value[0]).toBeCloseTo(75.006, 2);
    expect(valuesOf(channel('temp-core'))).toEqual([37, 37]);
  });

  it('sentinels of check-values `sentinels`, per channel; 0 stays a measurement for end-tidal CO2', async () => {
    const cells = ['-', '---', '?', 'NaN', '', '-1', '127', '255', '32767', '0', '-327.67', '#N/A', 'null'];
    const rows = cells.map((cell, i) => `2031-03-04 08:00:${String(10 + i)},${cell},60,0`);
    const { channel, report } = await importText(['time,SpO2,HR,EtCO2', '2031-03-04 08:00:00,97,60,35', ...rows, '2031-03-04 08:01:00,98,127,36', ''].join('\n'));
    expect(valuesOf(channel('spo2'))).toEqual([97, ...cells.map(() => null), 98]);
    expect([...channel('spo2').mark].slice(1, -1).every((mark, i) => mark === (cells[i] === '' ? MARK.empty : MARK.sentinel))).toBe(true);
    expect(channel('heart-rate').value.at(-1)).toBe(127);
    expect(valuesOf(channel('etco2')).slice(1, 4)).toEqual([0, 0, 0]);
    expect(report.rows_rejected).toBe(0);
  });

  it('a status column flags the sensor samples of its row and keeps the value; harmless letters do not', async () => {
    const { channel } = await importText('time,SpO2,PI,HR,status\n2031-03-04 08:00:00,97,1.5,60,\n2031-03-04 08:00:10,96,1.5,60,sensor off\n2031-03-04 08:00:20,95,1.5,61,MO SL\n2031-03-04 08:00:30,94,1.5,61,SD AS\n');
    expect([...channel('spo2').mark]).toEqual([0, MARK.flagged, 0, MARK.flagged]);
    expect([...channel('perfusion-index').mark]).toEqual([0, MARK.flagged, 0, MARK.flagged]);
    expect([...channel('heart-rate').mark]).toEqual([0, 0, 0, 0]);
    expect(valuesOf(channel('spo2'))).toEqual([97, 96, 95, 94]);
  });

  it('a channel of noughts stays, all sentinels', async () => {
    const { record } = await importText('time,SpO2 1,SpO2 2\n2031-03-04 08:00:00,97,0\n2031-03-04 08:00:10,96,0\n');
    const second = record.channels.find((channel) => channel.sensor === '2');
    expect([...(second?.mark ?? [])]).toEqual([MARK.sentinel, MARK.sentinel]);
  });

  it('annotations in a trend table become events and drugs', async () => {
    const { record } = await importText('time,SpO2,HR,Annotation\n2031-03-04 08:00:00,97,60,\n2031-03-04 08:00:10,96,61,phenylephrine 100 mcg IV\n2031-03-04 08:00:20,95,61,"arms tucked, both"\n');
    expect(record.drugs).toMatchObject([{ inn: 'phenylephrine', amount: 100, unit: 'ug', form: 'bolus', atMs: 10_000 }]);
    expect(record.events).toMatchObject([{ kind: 'position', term: 'arms tucked', text: 'arms tucked, both', atMs: 20_000 }]);
  });

  it('a case column makes many cases', async () => {
    const { outcome, report } = await importText('case_id,time,SpO2\nB,2031-03-04 08:00:00,97\nA,2031-03-04 09:00:00,96\nB,2031-03-04 08:00:10,95\n,2031-03-04 08:00:20,95\n');
    expect(outcome.cases.map((record) => record.caseId)).toEqual(['A', 'B']);
    expect(report).toMatchObject({ rows_accepted: 3, rows_rejected: 1, cases: ['A', 'B'] });
    expect(report.rejected[0]?.reason).toBe('no case identifier');
  });

  it('duplicate rows are dropped and counted; of two values at one instant the first plausible one stays', async () => {
    const { channel, report } = await importText('time,SpO2,HR\n2031-03-04 08:00:10,96,61\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\n2031-03-04 08:00:20,140,62\n2031-03-04 08:00:20,95,62\n');
    expect(valuesOf(channel('spo2'))).toEqual([97, 96, 95]);
    expect(valuesOf(channel('heart-rate'))).toEqual([60, 61, 62]);
    expect(report.rows_accepted).toBe(5);
    expect(report.notes.join(' ')).toMatch(/1 row repeats/);
    expect(report.notes.join(' ')).toMatch(/At 1 instant two different values/);
  });

  it('unreadable text in a column of numbers is counted with its words; a row of nothing else is rejected', async () => {
    const { channel, report } = await importText('time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,=1+1,61\n2031-03-04 08:00:20,abc,xyz\nrubbish,96,60\n,95,60\n');
    expect(valuesOf(channel('spo2'))).toEqual([97, null]);
    expect(report.rejected.map((group) => group.reason)).toEqual(['no value that can be read', 'time not readable', 'no time']);
    expect(report.notes.join(' ')).toContain('"=1+1" (1)');
    expect(report.rows_read).toBe(report.rows_accepted + report.rows_rejected);
  });

  it('a long row is rejected, a short one is filled up', async () => {
    const { report } = await importText('time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96\n2031-03-04 08:00:20,95,61,7\n2031-03-04 08:00:30,95,61,\n');
    expect(report).toMatchObject({ rows_accepted: 3, rows_rejected: 1 });
    expect(report.rejected[0]).toMatchObject({ reason: 'more cells than there are headings', first_line: 4 });
  });
});

const LONG = ['time;name;value;unit', '2031-03-04T08:00:00Z;SpO2;97;%', '2031-03-04T08:00:00Z;HR;60;bpm', '2031-03-04T08:00:10Z;SpO2;---;%', '2031-03-04T08:00:10Z;HR;61;bpm', '2031-03-04T08:00:12Z;phenylephrine;100;mcg', '2031-03-04T08:00:15Z;Event;arms tucked;', '2031-03-04T08:00:20Z;SpO2;95;%', ''].join('\n');

describe('what headless.md says is read unaided: long tables', () => {
  it('names, values and units in columns; drugs and events among them', async () => {
    const { report, channel, record } = await importText(LONG);
    expect(report).toMatchObject({ kind: 'trends', layout: 'long', delimiter: ';', rows_read: 7, rows_accepted: 7 });
    expect(valuesOf(channel('spo2'))).toEqual([97, null, 95]);
    expect(channel('spo2').layout).toBe('long');
    expect([...channel('spo2').line]).toEqual([2, 4, 8]);
    expect(record.drugs).toMatchObject([{ inn: 'phenylephrine', amount: 100, unit: 'ug' }]);
    expect(record.events).toMatchObject([{ kind: 'position', term: 'arms tucked' }]);
    expect(record.origin).toMatchObject({ zone: 'UTC', zoneStated: true });
  });

  it('sites in a column of their own', async () => {
    const { record } = await importText('time,parameter,site,value\n2031-03-04 08:00:00,SpO2,finger,97\n2031-03-04 08:00:00,SpO2,nasal ala,98\n2031-03-04 08:00:00,PI,finger,1.5\n2031-03-04 08:00:10,SpO2,finger,96\n2031-03-04 08:00:10,HR,,60\n2031-03-04 08:00:10,SpO2,nasal ala,97\n2031-03-04 08:00:20,HR,,62\n');
    expect(record.channels.map((channel) => channel.channelId).sort()).toEqual(['heart-rate', 'perfusion-index@finger', 'spo2@finger', 'spo2@nasal ala']);
  });

  it('LOINC codes as names', async () => {
    const { record } = await importText('timestamp,code,value\n2031-03-04 08:00:00,59408-5,97\n2031-03-04 08:00:00,8867-4,60\n2031-03-04 08:00:10,59408-5,96\n2031-03-04 08:00:10,8867-4,61\n');
    expect(record.channels.map((channel) => channel.quantity).sort()).toEqual(['heart-rate', 'spo2']);
  });
});

describe('administrations, events and case lists', () => {
  it('dose and unit in columns', async () => {
    const { report, record } = await importText('time,drug,dose,unit,route\n2031-03-04 08:05:00,Phenylephrine,100,mcg,IV\n2031-03-04 08:15:00,noradrenaline,8,ug,iv\n2031-03-04 08:20:00,rocuronium,50,mg,IV\n');
    expect(report).toMatchObject({ kind: 'administrations', layout: 'entries', rows_accepted: 3 });
    expect(record.drugs).toMatchObject([
      { inn: 'phenylephrine', amount: 100, unit: 'ug', route: 'iv', isVasopressor: true, manual: true },
      { inn: 'norepinephrine', amount: 8, unit: 'ug' },
      { amount: 50, unit: 'mg', isVasopressor: false },
    ]);
    expect(report.guesses.some((guess) => guess.field === 'manual')).toBe(true);
  });

  it('doses inside free text, drugs and positions in one table', async () => {
    const { record, report } = await importText('Time,Event\n2031-03-04 08:05:12,phenylephrine 100 mcg IV\n2031-03-04 08:10:00,arms tucked\n2031-03-04 08:12:00,"ephedrine 6 mg, given twice"\n2031-03-04 08:15:00,Surgeon arrives\n');
    expect(record.drugs.map((drug) => drug.inn)).toEqual(['phenylephrine', 'ephedrine']);
    expect(record.events.map((event) => event.kind)).toEqual(['position', 'note']);
    expect(record.drugs[0]?.manual).toBe(false);
    expect(report.rows_accepted).toBe(4);
  });

  it('infusion steps with rate and unit', async () => {
    const { record } = await importText('time,drug,rate,rate unit\n2031-03-04 08:05:00,norepinephrine,0.05,mcg/kg/min\n2031-03-04 08:25:00,norepinephrine,0.1,mcg/kg/min\n2031-03-04 08:45:00,norepinephrine,0,mcg/kg/min\n');
    expect(record.drugs.map((drug) => [drug.form, drug.amount, drug.unit])).toEqual([
      ['infusion rate', 0.05, 'ug/kg/min'],
      ['infusion rate', 0.1, 'ug/kg/min'],
      ['infusion stop', 0, 'ug/kg/min'],
    ]);
  });

  it('a case list gives attributes and bounds to the cases it names', async () => {
    const { cases, files } = await importTexts({
      'q/list.csv': 'case_id,patient name,service,ASA,anaesthesia start,anaesthesia end\nA,Invented Person,ortho,2,2031-03-04 07:55,2031-03-04 09:10\nZ,Other Person,gyn,1,2031-03-04 10:00,2031-03-04 11:00\n',
      'q/trends.csv': 'case_id,time,SpO2\nA,2031-03-04 08:00:00,97\nA,2031-03-04 08:00:10,96\n',
    });
    expect(files[0]).toMatchObject({ kind: 'case list', rows_accepted: 2 });
    expect(cases).toHaveLength(1);
    expect(cases[0]?.attributes).toMatchObject({ service: 'ortho', ASA: '2' });
    expect(JSON.stringify(cases)).not.toContain('Invented Person');
    expect(cases[0]?.events.map((event) => [event.kind, event.atMs])).toEqual([['anaesthesia start', -300_000], ['anaesthesia end', 4_200_000]]);
    expect(files[0]?.notes.join(' ')).toContain('"patient name"');
  });

  it('files of one folder are one case, named after the folder', async () => {
    const { cases } = await importTexts({
      'in/case-007/events.csv': 'time,event\n2031-03-04 08:00:30,head down\n',
      'in/case-007/trends.csv': WIDE,
      'in/case-007/drugs.csv': 'time,drug,dose,unit\n2031-03-04 08:00:10,ephedrine,6,mg\n',
    });
    expect(cases).toHaveLength(1);
    expect(cases[0]?.caseId).toBe('case-007');
    expect(cases[0]?.drugs[0]?.atMs).toBe(10_000);
    expect(cases[0]?.events[0]?.atMs).toBe(30_000);
    expect(cases[0]?.sources.map((source) => source.name)).toEqual(['drugs.csv', 'events.csv', 'trends.csv']);
  });
});

describe('columns that are more than they seem at first', () => {
  it('an SpO2 column that begins with "sensor off" for longer than the first part of the file is still SpO2', async () => {
    const rows: string[] = [];
    for (let i = 0; i < 9000; i += 1) rows.push(`2031-03-04 ${String(8 + Math.floor(i / 3600)).padStart(2, '0')}:${String(Math.floor(i / 60) % 60).padStart(2, '0')}:${String(i % 60).padStart(2, '0')},${i < 8000 ? 'sensor off' : '97'},60,${i < 8500 ? '' : String(i % 7)}`);
    const { channel, record } = await importText(`time,SpO2,HR,late\n${rows.join('\n')}\n`);
    expect(channel('spo2').value.at(-1)).toBe(97);
    expect(channel('spo2').mark[0]).toBe(MARK.sentinel);
    expect(record.channels.find((own) => own.label === 'late')?.value.at(-1)).toBe(8999 % 7);
  });

  it('identifiers and counters of rows are no evidence that the recorder ran', async () => {
    const { record, report } = await importText('time,sample_id,n2,SpO2\n2031-03-04 08:00:00,71,100,97\n2031-03-04 08:00:10,75,103,96\n2031-03-04 08:00:20,72,109,95\n');
    expect(record.channels.map((channel) => channel.channelId)).toEqual(['spo2@unstated']);
    expect(report.columns.map((column) => column.readAs)).toEqual(['time', 'not used (an identifier)', 'not used (counts up from row to row)', 'SpO2, site not stated, %']);
  });

  it('a drug with its dose in a trend table', async () => {
    const { record } = await importText('time,SpO2,HR,drug,dose,unit\n2031-03-04 08:00:00,97,60,,,\n2031-03-04 08:00:10,96,61,phenylephrine,100,mcg\n2031-03-04 08:00:20,95,61,,,\n');
    expect(record.drugs).toMatchObject([{ inn: 'phenylephrine', amount: 100, unit: 'ug', atMs: 10_000 }]);
    expect(record.channels.map((channel) => channel.quantity)).toEqual(['spo2', 'heart-rate']);
  });

  it('a text that goes on from row to row is one event', async () => {
    const { record, report } = await importText('time,SpO2,HR,rhythm\n2031-03-04 08:00:00,97,60,sinus\n2031-03-04 08:00:10,96,61,sinus\n2031-03-04 08:00:20,95,61,flutter\n');
    expect(record.events.map((event) => event.text)).toEqual(['sinus', 'flutter']);
    expect(report.notes.join(' ')).toContain('1 text only goes on');
  });

  it('patients told apart only by a record number stay apart, and the number is not shown', async () => {
    const { outcome } = await importText('MRN,time,SpO2\n998811,2031-03-04 08:00:00,97\n998811,2031-03-04 08:00:10,96\n998822,2031-03-04 08:00:00,90\nx,not a time,1\n');
    expect(outcome.cases.map((record) => record.caseId)).toEqual([expect.stringMatching(/^case-[0-9a-f]{10}$/), expect.stringMatching(/^case-[0-9a-f]{10}$/)]);
    expect(JSON.stringify(outcome)).not.toContain('9988');
    const kept = await importText('MRN,time,SpO2\n998811,2031-03-04 08:00:00,97\n998822,2031-03-04 08:00:00,90\n', { keepIdentifiers: true });
    expect(kept.outcome.cases.map((record) => record.caseId)).toEqual(['998811', '998822']);
  });
});
