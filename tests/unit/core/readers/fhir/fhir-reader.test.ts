import { describe, expect, it } from 'vitest';
import { importText, importTexts, secondsOf, valuesOf } from '../../../../builders/import-text.ts';
import { asBundle, asNdjson } from '../../../../builders/plain-case.ts';

const LOINC = 'http://loinc.org';
const MDC = 'urn:iso:std:iso:11073:10101';
const at = (second: number): string => `2031-03-04T08:00:${String(second).padStart(2, '0')}+01:00`;
const code = (system: string, ...codes: readonly (string | readonly [string, string])[]) => ({ coding: codes.map((one) => (typeof one === 'string' ? { system, code: one } : { system, code: one[0], display: one[1] })) });
const SPO2 = code(LOINC, '2708-6', '59408-5');

function observation(second: number, value: unknown, more: object = {}): object {
  const own = typeof value === 'number' ? { valueQuantity: { value, unit: '%', system: 'http://unitsofmeasure.org', code: '%' } } : (value as object);
  return { resourceType: 'Observation', status: 'final', encounter: { reference: 'Encounter/e1' }, code: SPO2, effectiveDateTime: at(second), ...own, ...more };
}

describe('observations', () => {
  it('are rows: accepted, or rejected with a reason; entered-in-error and cancelled ones are counted', async () => {
    const { report, outcome, channel } = await importText(
      asBundle(
        [
          observation(0, 97),
          observation(1, 12, { status: 'entered-in-error' }),
          observation(2, 13, { status: 'cancelled' }),
          observation(3, { dataAbsentReason: { coding: [{ code: 'temp-unknown' }] } }),
          observation(4, {}),
          observation(5, 96, { effectiveDateTime: '2031-03' }),
          observation(6, { valueRatio: { numerator: { value: 1 } } }),
          observation(7, 95, { code: {} }),
          observation(8, { valueString: '94' }),
          observation(9, { valueString: '---' }),
          observation(10, 93, { status: 'amended' }),
          { resourceType: 'Observation', status: 'final', code: SPO2, hasMember: [{ reference: 'Observation/x' }], effectiveDateTime: at(11) },
          { resourceType: 'Patient', name: [{ family: 'Secret' }] },
        ],
        1,
      ),
    );
    expect(report).toMatchObject({ rows_read: 11, rows_accepted: 5, rows_rejected: 6, kind: 'trends', layout: 'fhir json' });
    expect(Object.fromEntries(report.rejected.map(({ reason, count }) => [reason, count]))).toEqual({
      'entered in error': 1,
      'cancelled': 1,
      'no value and no reason why there is none': 1,
      'no time that is exact to the day': 1,
      'a kind of value that is not read (valueRatio)': 1,
      'no code that says what was measured': 1,
    });
    expect(valuesOf(channel('spo2'))).toEqual([97, null, 94, null, 93]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 3, 8, 9, 10]);
    expect(report.notes.join(' ')).toMatch(/only group others.*temp-unknown 1/);
    expect(report.notes.join(' ')).toContain('1 observations were amended');
    expect(JSON.stringify(outcome)).not.toContain('Secret');
  });

  it('carry the line on which each entry begins', async () => {
    const text = asBundle([observation(0, 97), observation(1, 96)], 2);
    const { channel } = await importText(text);
    const lines = text.split('\n').flatMap((line, i) => (line === '    {' ? [i + 1] : []));
    expect([...channel('spo2').line]).toEqual(lines);
  });

  it('are mapped by code: LOINC, MDC, pre- and postductal, method stated and not', async () => {
    const one = (coding: object, value: number, unit = '%') => observation(0, { valueQuantity: { value, unit, code: unit } }, { code: coding });
    const { record, report } = await importText(
      asNdjson([
        one(code(MDC, '150456'), 97),
        one(code(LOINC, '59407-7'), 96),
        one(code(MDC, '160300'), 91),
        one(code(MDC, '149530'), 71, '/min'),
        one(code(LOINC, '8867-4'), 70, '/min'),
        one(code(MDC, '150301'), 120, 'mm[Hg]'),
        one(code(LOINC, '76215-3'), 16, 'kPa'),
        one(code(LOINC, '8462-4'), 60, 'mm[Hg]'),
        one(code(LOINC, '8310-5'), 98.6, '[degF]'),
      ]),
    );
    expect(Object.fromEntries(record.channels.map((channel) => [channel.channelId, channel.value[0]]))).toEqual({
      'spo2@unstated 1': 97, // beside sensors that have a name, the one without is given a number
      'spo2@unstated preductal': 96,
      'spo2@unstated postductal': 91,
      'pulse-rate@unstated': 71,
      'heart-rate': 70,
      'nibp-sys': 120,
      'art-sys': 120.00992, // 16 kPa at 7.50062 mmHg (check value unit-kpa)
      'nibp-dia': 60,
      'temp': 37,
    });
    expect(report.guesses.map((guess) => guess.field)).toEqual(['columns.8462-4']);
    expect(report.layout).toBe('fhir ndjson');
  });

  it('150324 is arterial saturation: alone it is not taken for SpO2 whatever its name, beside 59408-5 it does not decide; both are said', async () => {
    const alone = await importText(asNdjson([observation(0, 98, { code: code(MDC, ['150324', 'SpO2']) }), observation(1, 97, { code: code(MDC, ['150324', 'SpO2']) }), observation(0, 95)]));
    expect(alone.record.channels.map(({ quantity, label }) => [quantity, label])).toEqual([['other', 'SpO2 (150324)'], ['spo2', '2708-6']]);
    expect(alone.report.notes.join(' ')).toContain('not taken for SpO2');
    const beside = await importText(asNdjson([observation(0, 98, { code: { coding: [...code(LOINC, '59408-5').coding, ...code(MDC, '150324').coding] } })]));
    expect(valuesOf(beside.channel('spo2'))).toEqual([98]);
    expect(beside.report.notes.join(' ')).toContain('do not agree');
  });

  it('of the laboratory with the general code are not taken for SpO2', async () => {
    const { record } = await importText(
      asNdjson([0, 1].map((second) => observation(second, 70 + second, { code: code(LOINC, '2708-6'), category: [{ coding: [{ code: 'laboratory' }] }] }))),
    );
    expect(record.channels.map(({ quantity }) => quantity)).toEqual(['other']);
  });

  it('say their site by SNOMED code or words, or by the type of their device', async () => {
    const site = (bodySite: object) => observation(0, 97, { bodySite });
    const { record } = await importText(
      asNdjson([
        site({ coding: [{ system: 'http://snomed.info/sct', code: '48800003' }] }),
        site({ text: 'left index finger' }),
        site({ coding: [{ system: 'http://snomed.info/sct', code: '279549004', display: 'Nasal cavity' }] }),
        observation(0, 95, { device: { reference: 'Device/d' } }),
        { resourceType: 'Device', id: 'd', type: { text: 'forehead sensor' }, serialNumber: 'SECRET-77' },
      ]),
    );
    expect(record.channels.map(({ site: where, sensor }) => [where, sensor])).toEqual([['ear lobe', ''], ['finger', ''], ['other', ''], ['forehead', '']]);
    expect(JSON.stringify(record)).not.toContain('SECRET');
  });

  it('of two devices are two sensors', async () => {
    const of = (device: string, second: number, value: number) => observation(second, value, { device: { reference: `Device/${device}` } });
    const { record, report } = await importText(asNdjson([of('a', 0, 97), of('b', 0, 91), of('a', 10, 96), of('b', 10, 90)]));
    expect(record.channels.map(({ channelId, value }) => [channelId, [...value]])).toEqual([['spo2@unstated 1', [97, 96]], ['spo2@unstated 2', [91, 90]]]);
    expect(report.notes.join(' ')).toContain('2 devices');
  });

  it('of one quantity under several codes and units are one channel, unless they run side by side and differ', async () => {
    const mdc = { code: code(MDC, '150456') };
    const after = await importText(asNdjson([observation(0, 97), observation(10, 96), observation(20, { valueQuantity: { value: 95, unit: 'percent' } }, mdc)]));
    expect(after.record.channels.map(({ channelId, value }) => [channelId, [...value]])).toEqual([['spo2@unstated', [97, 96, 95]]]);
    const beside = await importText(asNdjson([observation(0, 97), observation(10, 96), observation(0, 91, mdc), observation(10, 90, mdc)]));
    expect(beside.record.channels.map(({ channelId, value }) => [channelId, [...value]])).toEqual([['spo2@unstated 1', [97, 96]], ['spo2@unstated 2', [91, 90]]]);
  });

  it('with components give a value for each; a component that cannot be used does not cost the others', async () => {
    const part = (loinc: string, value: object) => ({ code: code(LOINC, loinc), ...value });
    const { record, report } = await importText(
      asNdjson([observation(0, { component: [part('8480-6', { valueQuantity: { value: 120, code: 'mm[Hg]' } }), part('8462-4', { valueBoolean: true }), part('8478-0', { dataAbsentReason: { text: 'cuff moved' } })] }, { code: code(LOINC, '85354-9') })]),
    );
    expect(report).toMatchObject({ rows_read: 1, rows_accepted: 1 });
    expect(record.channels.map(({ quantity, value }) => [quantity, value[0]])).toEqual([['nibp-sys', 120], ['nibp-mean', NaN]]);
    expect(report.notes.join(' ')).toContain('a kind of value that is not read (valueBoolean) 1');
  });

  it('with sampled data give a series; waves and faulty ones are rejected', async () => {
    const sampled = (data: object, more: object = {}) => observation(0, { valueSampledData: { origin: { value: 0, unit: '%', code: '%' }, period: 10_000, dimensions: 1, data: '97 E U 95.5', ...data } }, more);
    const { channel, report } = await importText(
      asNdjson([sampled({}), sampled({ dimensions: 2 }), sampled({ period: 0 }), sampled({ data: '97 x' }), sampled({ data: '' }), sampled({ period: 8 }, { code: code(MDC, '150452') })]),
    );
    expect(valuesOf(channel('spo2'))).toEqual([97, null, null, 95.5]);
    expect(secondsOf(channel('spo2'))).toEqual([0, 10, 20, 30]);
    expect(report.rejected.map(({ reason }) => reason)).toEqual([
      'sampled data of several dimensions',
      'sampled data without a period that can be used',
      'sampled data with a sample that is no number',
      'sampled data without samples',
      'a wave, not a trend',
    ]);
  });

  it('with words are events; a text said again and again is one', async () => {
    const said = (second: number, text: string) => observation(second, { valueCodeableConcept: { text } }, { code: { text: 'Body position' } });
    const { record, report } = await importText(asNdjson([said(0, 'supine'), said(10, 'supine'), said(20, 'prone'), said(30, 'prone'), said(40, 'supine')]));
    expect(record.events.map(({ term, atMs }) => [term, atMs / 1000])).toEqual([['supine', 0], ['prone', 20], ['supine', 40]]);
    expect(report.notes.join(' ')).toContain('2 texts only repeat');
    const notes = await importText(asNdjson([0, 10].map((second) => observation(second, { valueString: 'ephedrine 6 mg' }, { code: { text: 'Note' } }))));
    expect(notes.record.drugs.map(({ inn, atMs }) => [inn, atMs])).toEqual([['ephedrine', 0], ['ephedrine', 10_000]]);
  });
});

describe('administrations and procedures', () => {
  const given = (more: object): object => ({ resourceType: 'MedicationAdministration', status: 'completed', context: { reference: 'Encounter/e1' }, effectiveDateTime: at(30), ...more });
  const ATC = 'http://www.whocc.no/atc';

  it('are read by ATC code first, by words else, from a medication that the file holds, before or after it', async () => {
    const { record, report } = await importText(
      asNdjson([
        given({ medicationCodeableConcept: { coding: [{ system: ATC, code: 'C01CA06' }], text: 'syringe no 3' }, dosage: { dose: { value: 100, unit: 'ug', code: 'ug' } } }),
        given({ medicationCodeableConcept: { text: 'ephedrine' }, dosage: { dose: { value: 6, unit: 'mg' }, route: { text: 'intravenous' } } }),
        given({ medicationReference: { reference: 'Medication/m1' }, dosage: { dose: { value: 8, code: 'ug' } } }),
        given({ medicationReference: { reference: '#own' }, contained: [{ resourceType: 'Medication', id: 'own', code: { text: 'atropine' } }], dosage: { dose: { value: 0.5, code: 'mg' } } }),
        given({ medicationCodeableConcept: { coding: [{ system: ATC, code: 'C01CA24' }], text: 'ephedrine' }, dosage: { dose: { value: 10, code: 'ug' } } }),
        given({ medicationReference: { reference: 'Medication/elsewhere' } }),
        given({ status: 'not-done', medicationCodeableConcept: { text: 'ephedrine' } }),
        given({ status: 'entered-in-error', medicationCodeableConcept: { text: 'ephedrine' } }),
        { resourceType: 'Medication', id: 'm1', code: { coding: [{ system: ATC, code: 'C01CA03', display: 'norepinephrine' }] } },
      ]),
    );
    expect(record.drugs.map(({ inn, atc, amount, unit, form, isVasopressor }) => [inn, atc, amount, unit, form, isVasopressor])).toEqual([
      ['phenylephrine', 'C01CA06', 100, 'ug', 'bolus', true],
      ['ephedrine', 'C01CA26', 6, 'mg', 'bolus', true],
      ['norepinephrine', 'C01CA03', 8, 'ug', 'bolus', true],
      ['atropine', expect.any(String), 0.5, 'mg', 'bolus', false],
      ['epinephrine', 'C01CA24', 10, 'ug', 'bolus', true],
      [null, null, null, '', 'bolus', false],
    ]);
    expect(record.drugs[4]?.flags.join()).toContain('named ephedrine, but its code C01CA24 is epinephrine');
    expect(record.drugs[5]?.flags.join()).toContain('does not hold');
    expect(Object.fromEntries(report.rejected.map(({ reason, count }) => [reason, count]))).toEqual({ 'not done': 1, 'entered in error': 1 });
    expect(report.kind).toBe('administrations');
  });

  it('with a rate are infusions that last as long as their period; a dose over more than 5 min is an infusion of a total dose', async () => {
    const effectivePeriod = { start: at(0), end: '2031-03-04T09:00:00+01:00' };
    const norepinephrine = { medicationCodeableConcept: { text: 'norepinephrine' }, effectiveDateTime: undefined, effectivePeriod };
    const { record } = await importText(
      asNdjson([
        given({ ...norepinephrine, dosage: { rateQuantity: { value: 0.1, code: 'ug/kg/min' } } }),
        given({ ...norepinephrine, dosage: { rateRatio: { numerator: { value: 4, code: 'mg' }, denominator: { value: 2, code: 'h' } } } }),
        given({ ...norepinephrine, dosage: { dose: { value: 4, code: 'mg' } } }),
      ]),
    );
    expect(record.drugs.map(({ form, amount, unit, atMs, endMs }) => [form, amount, unit, atMs, endMs])).toEqual([
      ['infusion rate', 0.1, 'ug/kg/min', 0, 3_600_000],
      ['infusion rate', 2, 'mg/h', 0, 3_600_000],
      ['infusion start', 4, 'mg', 0, 3_600_000],
    ]);
    expect(record.drugs[2]?.flags).toContain('total dose over 60 min');
  });

  it('procedures are states with start and end, moments, or notes', async () => {
    const done = (text: string, more: object = {}): object => ({ resourceType: 'Procedure', status: 'completed', encounter: { reference: 'Encounter/e1' }, code: { text }, performedPeriod: { start: at(0), end: at(50) }, ...more });
    const { record, report } = await importText(
      asNdjson([
        done('Cardiopulmonary bypass'),
        done('Prone position'),
        done('General anaesthesia'),
        done('Cholecystectomy', { performedPeriod: undefined, performedDateTime: at(5) }),
        done('Tourniquet', { status: 'not-done' }),
      ]),
    );
    expect(record.events.map(({ kind, phase, atMs, endMs }) => [kind, phase, atMs / 1000, endMs === null ? null : endMs / 1000])).toEqual([
      ['bypass', 'start', 0, 50],
      ['position', 'start', 0, 50],
      ['anaesthesia start', 'moment', 0, null],
      ['note', 'moment', 5, null],
      ['anaesthesia end', 'moment', 50, null],
    ]);
    expect(report.rejected).toMatchObject([{ reason: 'not done', count: 1 }]);
  });
});

describe('cases', () => {
  const of = (second: number, value: number, encounter: string | null, subject: string): object => observation(second, value, { encounter: encounter === null ? undefined : { reference: encounter }, subject: { reference: subject } });

  it('are encounters; a patient with one encounter in the file brings what names none along; no reference is kept', async () => {
    const { outcome, report } = await importText(
      asBundle([of(0, 97, 'Encounter/secret-e1', 'Patient/secret-p1'), of(1, 96, null, 'Patient/secret-p1'), of(0, 90, 'https://example.org/fhir/Encounter/secret-e2/_history/1', 'Patient/secret-p2'), of(1, 91, 'Encounter/secret-e2', 'Patient/secret-p2')]),
    );
    expect(outcome.cases.map(({ channels }) => [...(channels[0]?.value ?? [])]).sort((a, b) => (b[0] ?? 0) - (a[0] ?? 0))).toEqual([[97, 96], [90, 91]]);
    expect(outcome.cases.every(({ caseId }) => /^case-[0-9a-f]{10}$/.test(caseId))).toBe(true);
    expect(JSON.stringify([outcome.cases, report, outcome.rejectedRows])).not.toContain('secret');
    expect(report.notes.join(' ')).toContain('only keep cases apart');
  });

  it('bear the folder’s name when there is one, and the same name over the files of a bulk export', async () => {
    const outcome = await importTexts({
      'theatre 4/Observation.ndjson': asNdjson([of(0, 97, 'Encounter/1', 'Patient/1'), of(10, 96, 'Encounter/1', 'Patient/1')]),
      'theatre 4/MedicationAdministration.ndjson': asNdjson([{ resourceType: 'MedicationAdministration', status: 'completed', context: { reference: 'Encounter/1' }, effectiveDateTime: at(5), medicationCodeableConcept: { text: 'ephedrine' } }]),
      'theatre 4/Patient.ndjson': asNdjson([{ resourceType: 'Patient', id: '1', name: [{ family: 'Secret' }] }]),
    });
    expect(outcome.cases.map(({ caseId, drugs }) => [caseId, drugs.length])).toEqual([['theatre 4', 1]]);
    expect(outcome.files.map(({ failure, rows_read }) => [failure, rows_read])).toEqual([[null, 2], [null, 1], [null, 0]]);
    expect(JSON.stringify(outcome)).not.toContain('Secret');
  });

  it('follow urn addresses inside a Bundle', async () => {
    const bundle = {
      resourceType: 'Bundle',
      entry: [
        { fullUrl: 'urn:uuid:e', resource: { resourceType: 'Encounter', id: '5' } },
        { resource: of(0, 97, 'urn:uuid:e', 'Patient/1') },
        { resource: of(1, 96, 'Encounter/5', 'Patient/1') },
      ],
    };
    const { outcome } = await importText(JSON.stringify(bundle));
    expect(outcome.cases.map(({ channels }) => channels[0]?.value.length)).toEqual([2]);
  });

  it('and columns follow a mapping', async () => {
    const mapping = { schema: 'lacuna-mapping/1' as const, name: 'm', files: [{ match: {}, reading: { caseId: 'mine', clockOffsetS: 60, columns: { '2708-6': { site: 'toe' as const } } } }] };
    const { record } = await importText(asNdjson([observation(0, 97), observation(1, 96)]), { mapping });
    expect([record.caseId, record.channels[0]?.site, record.sources[0]?.clockOffsetMs]).toEqual(['mine', 'toe', 60_000]);
  });
});

describe('files that are no good', () => {
  it.each([
    ['JSON of something else', '{"results": [1, 2, 3]}', /Its only row could not be used \(entry without a resource\)/],
    ['an empty list', '[]', /no FHIR resource/],
    ['an empty Bundle', '{"resourceType":"Bundle"}', /no FHIR resource/],
    ['JSON cut off at once', '{"resourceType":"Obs', /ends inside this entry/],
    ['deep JSON', '['.repeat(200_000), /Its only row/],
    ['XML cut off', '<Observation xmlns="http://hl7.org/fhir">\n<code>', /never closed/],
  ])('%s ends in a message with a remedy', async (_, text, message) => {
    const { report } = await importText(text);
    expect(report.failure?.message).toMatch(message);
    expect(report.failure?.remedy).toBeTruthy();
  });

  it('a Bundle cut off gives what was whole, rejects the rest by line and says that it may be incomplete', async () => {
    const text = asBundle([observation(0, 97), observation(1, 96), observation(2, 95)], 1);
    const { report, channel } = await importText(text.slice(0, -300));
    expect(channel('spo2').value.length).toBe(2);
    expect(report).toMatchObject({ rows_read: 3, rows_accepted: 2, rows_rejected: 1, failure: null });
    expect(report.notes.join(' ')).toContain('may be incomplete');
  });

  it('is told by content, not by name, in UTF-16 and with a mark too', async () => {
    const text = asNdjson([observation(0, 97)]);
    const utf16 = new Uint8Array(Buffer.from(`\ufeff${text}`, 'utf16le'));
    for (const body of [`\ufeff${text}`, utf16]) expect((await importText(body, {}, 'a/b.txt')).channel('spo2').value.length).toBe(1);
  });

  it('tables that only mention such words stay tables', async () => {
    const { report } = await importText('time,SpO2,{"resourceType"}\n2031-03-04 08:00,97,x\n2031-03-04 08:01,96,y\n');
    expect(report.layout).toBe('wide');
  });
});
