import { describe, expect, test } from 'vitest';
import { MARK } from '../../../../core/model/channel.ts';
import type { Mapping, ReadingRules } from '../../../../core/model/mapping.ts';
import { edfBytes } from '../../../builders/edf-file.ts';
import { oruMessage } from '../../../builders/hl7v2.ts';
import { importText, secondsOf, valuesOf } from '../../../builders/import-text.ts';
import { workbookBytes } from '../../../builders/workbook-bytes.ts';

/* What a person says needs no source; the tables are made up. Units: 1 kPa = 7.50062 mmHg (check-values unit-kpa). */

function saying(reading: ReadingRules): { mapping: Mapping } {
  return { mapping: { schema: 'lacuna-mapping/1', name: 'said by hand', files: [{ match: {}, reading }] } };
}

const START = '2031-03-04 08:00:';
/** Returns a table with a row every 10 s. */
function wide(heading: string, rows: readonly string[]): string {
  return [`time,${heading}`, ...rows.map((row, i) => `${START}${String(i * 10).padStart(2, '0')},${row}`)].join('\n');
}

function marksOf(channel: { readonly mark: Uint8Array }): number[] {
  return [...channel.mark];
}

const { none, sentinel, flagged } = MARK;

/** One column of values in each layout that carries text cells: what every layout must make of the same rule. */
const CELLS = ['97', '999', 'n.b.', '96 art', '95*', 'ART', '98'] as const;
const LAYOUTS: readonly { readonly layout: string; readonly file: string | Uint8Array }[] = [
  { layout: 'wide', file: wide('SpO2,HR', CELLS.map((cell) => `${cell},60`)) },
  { layout: 'long', file: ['time,name,value', ...CELLS.flatMap((cell, i) => [`${START}${i}0,SpO2,${cell}`, `${START}${i}0,HR,60`])].join('\n').replaceAll(':60,', ':59,') },
  { layout: 'aligned', file: ['time                  SpO2      HR', ...CELLS.map((cell, i) => `${START}${i === 6 ? '59' : `${i}0`}   ${cell.padEnd(8)}  60`)].join('\n') },
  { layout: 'workbook', file: workbookBytes([{ name: 'Trends', rows: [['time', 'SpO2', 'HR'], ...CELLS.map((cell, i) => [`${START}${i === 6 ? '59' : `${i}0`}`, cell, 60])] }]) },
];

describe('fillers and artefact words', () => {
  test.each(LAYOUTS)('of the whole file, $layout', async ({ layout, file }) => {
    const { channel, report } = await importText(file, saying({ sentinels: ['999', 'N.B.'], flagWords: ['art', '*'] }));
    const spo2 = channel('spo2');
    expect(valuesOf(spo2)).toEqual([97, null, null, 96, 95, null, 98]);
    expect(marksOf(spo2)).toEqual([none, sentinel, sentinel, flagged, flagged, sentinel | flagged, none]);
    // The heading line of a log stands among its rejected rows.
    expect(report.rows_rejected).toBe(layout === 'aligned' ? 1 : 0);
    expect(report.notes).toContain('Taken as "no value" because the mapping says so: "999" (1), "N.B." (1).');
  });

  test.each(LAYOUTS)('of one column or name, $layout', async ({ file }) => {
    const { channel } = await importText(file, saying({ columns: { SpO2: { sentinels: ['999', 'n.b.', '97'], flagWords: ['ART'] }, HR: { sentinels: ['61'] } } }));
    expect(valuesOf(channel('spo2'))).toEqual([null, null, null, 96, 95, null, 98]);
    expect(valuesOf(channel('heart-rate'))).toEqual([60, 60, 60, 60, 60, 60, 60]);
  });

  test('a number as a filler fits however it is written, and nothing else does', async () => {
    const { channel } = await importText(wide('SpO2,HR', ['97,60', '88.0,60', '88,60', '88.1,60', '188,60']), saying({ columns: { SpO2: { sentinels: ['88'] } } }));
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, 88.1, 188]);
  });

  test('a column of flags: whole words only, beside those the product knows', async () => {
    const rows = ['97,60,ok', '96,60,XQ', '95,60,XQT', '94,60,sensor off', '93,60,low XQ'];
    const { channel } = await importText(wide('SpO2,HR,Signal status', rows), saying({ flagWords: ['xq'] }));
    expect(marksOf(channel('spo2'))).toEqual([none, flagged, none, flagged, flagged]);
  });

  test('a column that holds no values and has artefact words is a column of flags; it may say of which quantity and site', async () => {
    const rows = ['97,96,60,gut', '96,95,60,schlecht', '95,94,60,gut'];
    const said = await importText(wide('SpO2 finger,SpO2 ear,HR,Kommentar Ohr', rows), saying({ columns: { 'Kommentar Ohr': { flagWords: ['schlecht'], site: 'ear lobe' } } }));
    expect(marksOf(said.channel('spo2', 'ear lobe'))).toEqual([none, flagged, none]);
    expect(marksOf(said.channel('spo2', 'finger'))).toEqual([none, none, none]);
    const byQuantity = await importText(wide('SpO2 finger,SpO2 ear,HR,X', rows), saying({ columns: { X: { role: 'flag', flagWords: ['schlecht'], quantity: 'heart-rate' } } }));
    expect(marksOf(byQuantity.channel('heart-rate'))).toEqual([none, flagged, none]);
    expect(marksOf(byQuantity.channel('spo2', 'finger'))).toEqual([none, none, none]);
  });

  test('a column of flags and a name of states in a long table', async () => {
    const table = ['time,name,value,flag', `${START}00,SpO2,97,`, `${START}10,SpO2,96,XQ`, `${START}20,SpO2,95,`, `${START}20,Probe state,XQ,`, `${START}30,SpO2,94,`, `${START}30,HR,60,`].join('\n');
    const { channel } = await importText(table, saying({ flagWords: ['XQ'], columns: { 'Probe state': { role: 'flag' } } }));
    expect(marksOf(channel('spo2'))).toEqual([none, flagged, flagged, none]);
  });

  test('doses and texts: a stated filler is no dose, no drug and no text', async () => {
    const { record, report } = await importText('time,drug,dose,unit,note\n2031-03-04 08:00,ephedrine,999,mg,kA\n2031-03-04 08:01,phenylephrine,kA,mcg,given\n2031-03-04 08:02,kA,,,', saying({ sentinels: ['999', 'kA'] }));
    expect(record.drugs.map(({ inn, amount, text }) => [inn, amount, text])).toEqual([['ephedrine', null, 'ephedrine mg'], ['phenylephrine', null, 'phenylephrine mcg given']]);
    expect(report.rejected).toEqual([{ reason: 'entry without text', count: 1, first_line: 4 }]);
  });

  test('FHIR: numbers, texts and what stands as interpretation', async () => {
    const spo2 = (second: number, more: object): string => JSON.stringify({ resourceType: 'Observation', status: 'final', effectiveDateTime: `2031-03-04T08:00:${second}Z`, code: { coding: [{ system: 'http://loinc.org', code: '59408-5' }] }, ...more });
    const file = [
      spo2(10, { valueQuantity: { value: 97, code: '%' } }),
      spo2(20, { valueQuantity: { value: 55.5, code: '%' } }),
      spo2(30, { valueString: 'n.b.' }),
      spo2(40, { valueString: '96 art' }),
      spo2(50, { valueQuantity: { value: 95, code: '%' }, interpretation: [{ text: 'ART' }] }),
    ].join('\n');
    const { channel, report } = await importText(file, saying({ sentinels: ['55.5', 'n.b.'], columns: { '59408-5': { flagWords: ['art'] } } }));
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, 96, 95]);
    expect(marksOf(channel('spo2'))).toEqual([none, sentinel, sentinel, flagged, flagged]);
    expect(report.rows_rejected).toBe(0);
  });

  test('HL7 v2: numbers, texts and flags of OBX-8', async () => {
    const obx = (second: number, type: string, value: string, flag = ''): string => `OBX|1|${type}|150456^MDC_PULS_OXIM_SAT_O2^MDC||${value}|%||${flag}|||F|||203103040800${second}+0000`;
    const { channel } = await importText(oruMessage([obx(10, 'NM', '97'), obx(20, 'NM', '55.5'), obx(30, 'ST', 'n.b.'), obx(40, 'ST', '96 art'), obx(50, 'NM', '95', 'XQ')]), saying({ sentinels: ['55.5', 'n.b.'], flagWords: ['art', 'XQ'] }));
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, 96, 95]);
    expect(marksOf(channel('spo2'))).toEqual([none, sentinel, sentinel, flagged, flagged]);
  });

  test('EDF: a stored number', async () => {
    const { channel } = await importText(edfBytes({ recordS: 10, signals: [{ label: 'SpO2', dimension: '%', physical: [0, 200], digital: [0, 2000], records: [[970], [555], [960]] }] }), saying({ columns: { SpO2: { sentinels: ['55.5'] } } }));
    expect(valuesOf(channel('spo2'))).toEqual([97, null, 96]);
  });

  test('words that no cell holds are named', async () => {
    const { report } = await importText(wide('SpO2,HR', ['97,60', '96,61']), saying({ sentinels: ['777'], columns: { HR: { flagWords: ['zz'] } } }));
    expect(report.notes).toContain('The mapping states 2 fillers or artefact words that no cell of this file holds: "777", "zz".');
  });
});

describe('columns', () => {
  test.each([
    ['wide', wide('Kanal 7,Kanal 8', ['97,60', '96,61', '95,62'])],
    ['long', ['time,name,value', ...[0, 1, 2].flatMap((i) => [`${START}${i}0,Kanal 7,${97 - i}`, `${START}${i}0,Kanal 8,${60 + i}`])].join('\n')],
    ['aligned', ['time                  Kanal 7   Kanal 8', `${START}00   97        60`, `${START}10   96        61`, `${START}20   95        62`].join('\n')],
    ['HL7 v2', oruMessage([0, 1, 2].flatMap((i) => [`OBX|1|NM|K7^Kanal 7^L||${97 - i}|||||||||203103040800${i}0+0000`, `OBX|2|NM|K8^Kanal 8^L||${60 + i}|||||||||203103040800${i}0+0000`]))],
  ])('quantity, site and sensor of names that nobody knows, %s', async (_, file) => {
    const { channel } = await importText(file, saying({ columns: { 'kanal 7': { quantity: 'spo2', site: 'ear lobe', sensor: 'B' }, 'Kanal 8': { quantity: 'heart-rate' } } }));
    const spo2 = channel('spo2', 'ear lobe');
    expect(valuesOf(spo2)).toEqual([97, 96, 95]);
    expect(secondsOf(spo2)).toEqual([0, 10, 20]);
    expect(valuesOf(channel('heart-rate'))).toEqual([60, 61, 62]);
  });

  test.each([
    ['wide', wide('SpO2,ART mean,Temp,EtCO2,PI', ['97,10,98.6,50,0.02', '96,12,100.4,49,0.03'])],
    ['long', ['time,name,value,unit', ...([['97', '10', '98.6', '50', '0.02'], ['96', '12', '100.4', '49', '0.03']] as const).flatMap((values, i) => ['SpO2', 'ART mean', 'Temp', 'EtCO2', 'PI'].map((name, k) => `${START}${i}0,${name},${values[k] ?? ''},mmHg`))].join('\n')],
  ])('a stated unit converts, %s', async (_, file) => {
    const { channel } = await importText(file, saying({ columns: { 'ART mean': { unit: 'kPa' }, 'Temp': { unit: '°F' }, 'EtCO2': { unit: 'cmH2O' }, 'PI': { unit: 'fraction' }, 'SpO2': { unit: '%' } } }));
    expect(valuesOf(channel('art-mean'))).toEqual([75.0062, 90.00744]);
    expect(valuesOf(channel('temp'))).toEqual([37, 38]);
    expect(channel('etco2').value[0]).toBeCloseTo(36.778, 3);
    expect(valuesOf(channel('perfusion-index'))).toEqual([2, 3]);
    expect(valuesOf(channel('spo2'))).toEqual([97, 96]);
  });

  test('fractions, also when one is a little above 1, and per cent below 1 as stated', async () => {
    const fractions = await importText(wide('SpO2,HR', ['0.97,60', '1.01,60']), saying({ columns: { SpO2: { unit: 'fraction' } } }));
    expect(valuesOf(fractions.channel('spo2'))).toEqual([97, 101]);
    const perCent = await importText(wide('SpO2,HR', ['0.97,60', '0.99,60']), saying({ columns: { SpO2: { unit: '%' } } }));
    expect(valuesOf(perCent.channel('spo2'))).toEqual([0.97, 0.99]);
  });

  test('an amplitude that a person says is an index in per cent stays one', async () => {
    const rows = ['97,60,41', '96,60,55', '95,60,12'];
    expect((await importText(wide('SpO2,HR,PI', rows))).channel('pulse-amplitude').label).toBe('PI');
    expect(valuesOf((await importText(wide('SpO2,HR,PI', rows), saying({ columns: { PI: { quantity: 'perfusion-index', unit: '%' } } }))).channel('perfusion-index'))).toEqual([41, 55, 12]);
  });

  test('a unit that does not fit is said and changes nothing', async () => {
    const { channel, report } = await importText(wide('SpO2,HR', ['97,60', '96,61']), saying({ columns: { HR: { unit: 'kPa' } } }));
    expect(valuesOf(channel('heart-rate'))).toEqual([60, 61]);
    expect(report.notes).toContain('"HR": the mapping states the unit "kPa", which does not fit Heart rate (ECG); its numbers were taken as they are.');
  });

  test('what a person says of a site goes before a column of sites', async () => {
    const table = wide('SpO2,HR,site', ['97,60,finger', '96,61,finger']);
    expect((await importText(table, saying({ columns: { SpO2: { site: 'toe' } } }))).channel('spo2').site).toBe('toe');
    const long = ['time,name,value,site', `${START}00,SpO2,97,finger`, `${START}10,SpO2,96,finger`, `${START}10,HR,60,`].join('\n');
    expect((await importText(long, saying({ columns: { SpO2: { site: 'toe' } } }))).channel('spo2').site).toBe('toe');
  });

  test('roles: a stated column takes the place of the one that was found', async () => {
    const cases = await importText('case,slot,time,SpO2,HR\nA,1,2031-03-04 08:00,97,60\nB,1,2031-03-04 08:01,96,60\nC,2,2031-03-04 08:02,95,60', saying({ columns: { slot: { role: 'case' } } }));
    expect(cases.outcome.cases.map((record) => record.caseId)).toEqual(['1', '2']);
    const drugs = await importText('time,drug,what was given,how much\n2031-03-04 08:00,pump A,phenylephrine,100 mcg\n2031-03-04 08:01,pump B,ephedrine,6 mg iv', saying({ columns: { 'what was given': { role: 'drug' }, 'how much': { role: 'dose' } } }));
    expect(drugs.record.drugs.map(({ inn, amount, unit, route }) => [inn, amount, unit, route])).toEqual([['phenylephrine', 100, 'ug', null], ['ephedrine', 6, 'mg', 'iv']]);
    const text = await importText('time,SpO2,HR,x\n2031-03-04 08:00,97,60,phenylephrine 100 mcg\n2031-03-04 08:01,97,60,prone', saying({ columns: { x: { role: 'text' } } }));
    expect(text.record.drugs.map(({ inn, amount }) => [inn, amount])).toEqual([['phenylephrine', 100]]);
    expect(text.record.events.map(({ term }) => term)).toEqual(['prone']);
    const ignored = await importText(wide('SpO2,HR', ['97,60', '96,61']), saying({ columns: { HR: { role: 'ignore' } } }));
    expect(ignored.record.channels.map(({ quantity }) => quantity)).toEqual(['spo2']);
  });

  test('roles of the names of a long table', async () => {
    const table = ['time,name,value', `${START}00,SpO2,97`, `${START}10,SpO2,96`, `${START}10,Q1,50`, `${START}20,Q2,7`, `${START}30,Q3,5`].join('\n');
    const { record } = await importText(table, saying({ columns: { Q1: { role: 'drug' }, Q2: { role: 'text' }, Q3: { role: 'ignore' } } }));
    expect(record.drugs.map(({ text, amount }) => [text, amount])).toEqual([['Q1 50', 50]]);
    expect(record.events.map(({ text }) => text)).toEqual(['Q2: 7']);
    expect(record.channels.map(({ label }) => label)).toEqual(['SpO2']);
  });

  test('columns that the file does not have are named', async () => {
    const { report } = await importText(wide('SpO2,HR', ['97,60', '96,61']), saying({ columns: { 'Kanal 9': { role: 'ignore' }, 'column 3': { quantity: 'heart-rate' }, 'column 9': { role: 'ignore' }, 'constructor': { role: 'ignore' as const } } }));
    expect(report.notes).toContain('The mapping names 3 columns that this file does not have: "Kanal 9", "column 9", "constructor".');
    const oru = await importText(oruMessage(['OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC||97|%|||||F|||20310304080000+0000']), saying({ dateOrder: 'dmy', columns: { '150456': { site: 'toe' }, 'Nowhere': { role: 'ignore' } } }));
    expect(oru.report.notes).toContain('The mapping names a column that this file does not have: "Nowhere".');
    expect(oru.report.notes).toContain('This kind of file settles by itself what the mapping states: order of dates.');
    expect(oru.channel('spo2').site).toBe('toe');
  });
});

describe('the file as a whole', () => {
  test('date order, decimal mark, delimiter, encoding and zone', async () => {
    const table = 'Zeit|SpO2|Höhe °C\n03/04/2031 08:00|97,5|36,1\n03/04/2031 08:01|96,5|36,2\n';
    const bytes = Uint8Array.from([...table].map((letter) => letter.charCodeAt(0)));
    const { channel, record } = await importText(bytes, saying({ dateOrder: 'mdy', decimalMark: ',', delimiter: 'pipe', encoding: 'windows-1252', zone: 'Europe/Berlin', columns: { 'Höhe °C': { quantity: 'temp' } } }));
    expect(record.origin.epochMs).toBe(Date.UTC(2031, 2, 4, 7, 0));
    expect(valuesOf(channel('spo2'))).toEqual([97.5, 96.5]);
    expect(valuesOf(channel('temp'))).toEqual([36.1, 36.2]);
  });

  test('the kind of times, with a column of dates beside them, and a column of times that does not look like one', async () => {
    const clock = await importText('date,time,SpO2,HR\n2031-03-04,00:10:00,97,60\n2031-03-04,00:10:10,96,60', saying({ timeKind: 'elapsed hms' }));
    expect(clock.record.origin.clock).toBe('elapsed');
    const minutes = await importText('x,SpO2,HR\n0,97,60\n1,96,60\n2,95,60', saying({ timeKind: 'elapsed min', columns: { x: { role: 'time' } } }));
    expect(secondsOf(minutes.channel('spo2'))).toEqual([0, 60, 120]);
    const odd = await importText('when exactly,SpO2,HR\nsoon,97,60\n2031-03-04 08:00,96,60\nlater,95,60\nnever,95,60', saying({ columns: { 'when exactly': { role: 'time' } } }));
    expect(odd.report.rejected).toEqual([{ reason: 'time not readable', count: 3, first_line: 2 }]);
    expect(valuesOf(odd.channel('spo2'))).toEqual([96]);
  });

  test('kind, and blanks as the delimiter', async () => {
    const events = await importText('time,note\n2031-03-04 08:00,prone\n2031-03-04 08:05,arms tucked', saying({ kind: 'events' }));
    expect(events.report.kind).toBe('events');
    const aligned = await importText('time   SpO2   HR\n08:00  97     60\n08:01  96     61\n', saying({ delimiter: 'aligned' }));
    expect(valuesOf(aligned.channel('spo2'))).toEqual([97, 96]);
    const sign = await importText('time§SpO2\n08:00§97\n', saying({ delimiter: '§' }));
    expect(sign.report.failure?.message).toContain('only a sign of the ASCII set');
  });
});
