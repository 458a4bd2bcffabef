import { describe, expect, test } from 'vitest';
import type { Mapping, PhraseReading } from '../../../../core/model/mapping.ts';
import { PhraseBook } from '../../../../core/readers/phrase-book.ts';
import { oruMessage } from '../../../builders/hl7v2.ts';
import { importText } from '../../../builders/import-text.ts';

/* Phrases and names of drugs are invented, so that no dictionary knows them; what a person says of them needs no source. */

function saying(phrases: Readonly<Record<string, PhraseReading>>): { mapping: Mapping } {
  return { mapping: { schema: 'lacuna-mapping/1', name: 'said by hand', files: [{ match: {}, reading: { phrases } }] } };
}

const DRUGS = ['time,drug,dose,unit', '2031-03-04 08:00,Zorbamine forte,5,mg', '2031-03-04 08:10,zorbamine  forte,10,mg', '2031-03-04 08:20,Phenylephrine,100,mcg', '2031-03-04 08:30,Quell (mcg/min),4,'].join('\n');
const EVENTS = ['time,event', '2031-03-04 08:00,Frobnicated', '2031-03-04 08:05,Zorbamine 5 mg iv', '2031-03-04 08:10,prone', '2031-03-04 08:15,Zorbamine 10 mg', '2031-03-04 08:20,frobnicated'].join('\n');

describe('phrases that nobody knows', () => {
  test('a column of drugs: with count and first line, the most frequent first', async () => {
    const { report } = await importText(DRUGS);
    expect(report.unknown_phrases).toEqual([
      { text: 'Zorbamine forte', kind: 'drug', count: 2, first_line: 2 },
      { text: 'Quell (mcg/min)', kind: 'drug', count: 1, first_line: 5 },
    ]);
    expect(report.unknown_phrases_not_listed).toBe(0);
  });

  test('free text: a dose without a known drug under its words, the rest as events', async () => {
    const { report } = await importText(EVENTS);
    expect(report.unknown_phrases).toEqual([
      { text: 'Frobnicated', kind: 'event', count: 2, first_line: 2 },
      { text: 'Zorbamine', kind: 'drug', count: 2, first_line: 3 },
    ]);
  });

  test('a wide table, a long table and a result message', async () => {
    const wide = await importText('time,SpO2,HR,remark\n2031-03-04 08:00,97,60,Frobnicated\n2031-03-04 08:01,97,61,\n2031-03-04 08:02,97,61,Frobnicated');
    expect(wide.report.unknown_phrases).toEqual([{ text: 'Frobnicated', kind: 'event', count: 2, first_line: 2 }]);
    const long = await importText('time,name,value\n2031-03-04 08:00,SpO2,97\n2031-03-04 08:01,SpO2,98\n2031-03-04 08:02,Bed,Frobnicated\n2031-03-04 08:03,HR,60');
    expect(long.report.unknown_phrases).toEqual([{ text: 'Bed: Frobnicated', kind: 'event', count: 1, first_line: 4 }]);
    const oru = await importText(oruMessage(['OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC||97|%|||||F|||20310304080000+0000', 'OBX|2|ST|NOTE^Note^L||Frobnicated||||||F|||20310304080100+0000']));
    expect(oru.report.unknown_phrases).toEqual([{ text: 'Frobnicated', kind: 'event', count: 1, first_line: 6 }]);
  });

  test('at most 200 are listed, the entries of the others counted', () => {
    const book = new PhraseBook(undefined);
    for (let i = 0; i < 6000; i += 1) book.addUnknown('event', `text ${i}`, i + 1);
    book.addUnknown('event', 'x'.repeat(301), 7000);
    const { unknown_phrases, unknown_phrases_not_listed } = book.report();
    expect(unknown_phrases).toHaveLength(200);
    expect(unknown_phrases_not_listed).toBe(6001 - 200);
  });
});

describe('what a person says that a phrase means', () => {
  test('a drug in a column of drugs, with its dose and unit; a name of the dictionary in any spelling', async () => {
    const { record, report } = await importText(DRUGS, saying({ 'zorbamine forte': { means: 'drug', inn: 'Noradrenaline' }, 'Quell': { means: 'drug', inn: 'Quellamine', isVasopressor: true } }));
    expect(record.drugs.map(({ inn, atc, isVasopressor, amount, unit, form }) => ({ inn, atc, isVasopressor, amount, unit, form }))).toEqual([
      { inn: 'norepinephrine', atc: 'C01CA03', isVasopressor: true, amount: 5, unit: 'mg', form: 'bolus' },
      { inn: 'norepinephrine', atc: 'C01CA03', isVasopressor: true, amount: 10, unit: 'mg', form: 'bolus' },
      { inn: 'phenylephrine', atc: 'C01CA06', isVasopressor: true, amount: 100, unit: 'ug', form: 'bolus' },
      { inn: 'quellamine', atc: null, isVasopressor: true, amount: 4, unit: 'ug/min', form: 'infusion rate' },
    ]);
    expect(record.drugs[0]?.flags).toContain('drug as stated in the mapping');
    expect(report.unknown_phrases).toEqual([]);
  });

  test('free text: drug with the dose of each text, event, plain note', async () => {
    const { record, report } = await importText(EVENTS, saying({ 'Zorbamine': { means: 'drug', inn: 'ephedrine' }, 'FROBNICATED': { means: 'event', kind: 'position', term: 'head down' }, 'prone': { means: 'note' } }));
    expect(record.drugs.map(({ inn, amount, unit, route }) => [inn, amount, unit, route])).toEqual([['ephedrine', 5, 'mg', 'iv'], ['ephedrine', 10, 'mg', null]]);
    expect(record.events.map(({ kind, term, phase, text }) => [kind, term, phase, text])).toEqual([
      ['position', 'head down', 'start', 'Frobnicated'],
      ['note', '', 'moment', 'prone'],
      ['position', 'head down', 'start', 'frobnicated'],
    ]);
    expect(report.unknown_phrases).toEqual([]);
  });

  test('an event in place of a drug, and the kind alone where no term is stated', async () => {
    const { record } = await importText(DRUGS, saying({ 'Phenylephrine': { means: 'event', kind: 'tourniquet' }, 'Zorbamine forte': { means: 'note' }, 'Quell (mcg/min)': { means: 'event', kind: 'position', phase: 'end' } }));
    expect(record.drugs).toEqual([]);
    expect(record.events.map(({ kind, term, phase }) => [kind, term, phase])).toEqual([['note', '', 'moment'], ['note', '', 'moment'], ['tourniquet', 'tourniquet up', 'start'], ['position', 'position changed', 'end']]);
  });

  test('the name cell of a long table: its numbers are doses', async () => {
    const table = 'time,name,value,unit\n2031-03-04 08:00,SpO2,97,%\n2031-03-04 08:01,SpO2,98,%\n2031-03-04 08:02,Zorbamine,50,mcg\n2031-03-04 08:03,Bed,low\n2031-03-04 08:04,Bed,high';
    const { record } = await importText(table, saying({ 'Zorbamine': { means: 'drug', inn: 'phenylephrine' }, 'low': { means: 'event', kind: 'position', term: 'head down' } }));
    expect(record.drugs.map(({ inn, amount, unit }) => [inn, amount, unit])).toEqual([['phenylephrine', 50, 'ug']]);
    expect(record.events.map(({ term, text }) => [term, text])).toEqual([['head down', 'Bed: low'], ['', 'Bed: high']]);
  });

  test('a wide table with notes and a column of drugs', async () => {
    const { record } = await importText('time,SpO2,HR,remark\n2031-03-04 08:00,97,60,Frobnicated\n2031-03-04 08:01,97,61,Zorbamine 5 mg', saying({ 'Frobnicated': { means: 'event', kind: 'sensor moved', site: 'ear lobe' }, 'Zorbamine': { means: 'drug', inn: 'ephedrine' } }));
    expect(record.events.map(({ kind, site }) => [kind, site])).toEqual([['sensor moved', 'ear lobe']]);
    expect(record.drugs.map(({ inn, amount }) => [inn, amount])).toEqual([['ephedrine', 5]]);
  });

  test('FHIR and HL7 v2: it goes before the codes', async () => {
    const at = '2031-03-04T08:00:00Z';
    const resources = [
      { resourceType: 'MedicationAdministration', status: 'completed', effectiveDateTime: at, medicationCodeableConcept: { text: 'Zorbamine' }, dosage: { dose: { value: 5, code: 'mg' } } },
      { resourceType: 'MedicationAdministration', status: 'completed', effectiveDateTime: at, medicationCodeableConcept: { text: 'pump test', coding: [{ system: 'http://www.whocc.no/atc', code: 'C01CA03' }] }, dosage: { dose: { value: 5, code: 'mg' } } },
      { resourceType: 'Procedure', status: 'completed', code: { text: 'Frobnication' }, performedPeriod: { start: at, end: '2031-03-04T08:30:00Z' } },
    ].map((resource) => JSON.stringify(resource)).join('\n');
    const plain = await importText(resources);
    expect(plain.report.unknown_phrases).toEqual([{ text: 'Zorbamine', kind: 'drug', count: 1, first_line: 1 }, { text: 'Frobnication', kind: 'event', count: 1, first_line: 3 }]);
    const { record } = await importText(resources, saying({ 'Zorbamine': { means: 'drug', inn: 'ephedrine' }, 'pump test': { means: 'note' }, 'Frobnication': { means: 'event', kind: 'bypass' } }));
    expect(record.drugs.map(({ inn, amount, unit }) => [inn, amount, unit])).toEqual([['ephedrine', 5, 'mg']]);
    expect(record.events.map(({ kind, phase, text, endMs }) => [kind, phase, text, endMs]).sort()).toEqual([['bypass', 'start', 'Frobnication', 1_800_000], ['note', 'moment', 'pump test', null]]);
    const oru = await importText(oruMessage(['OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC||97|%|||||F|||20310304080000+0000', 'OBX|2|ST|POS^Bed^L||low||||||F|||20310304080100+0000']), saying({ low: { means: 'event', kind: 'position', term: 'head down' } }));
    expect(oru.record.events.map(({ term, text }) => [term, text])).toEqual([['head down', 'Bed: low']]);
  });

  test('a phrase that no entry has is named', async () => {
    const { report } = await importText(DRUGS, saying({ 'Nowhere': { means: 'note' } }));
    expect(report.notes).toContain('The mapping says what 1 phrase means that no entry of this file has: "Nowhere".');
  });
});
