/*
 * Whatever identifies a person and stands in an export, in whatever place of whatever kind of file, is found in no result: not in the
 * stored case, not in the report, not in the tables of the run without a window. What identifies: Safe Harbor, 45 CFR
 * 164.514(b)(2)(i), handbook 9.4.
 */
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { reportTexts } from '../builders/report-texts.ts';
import { edfBytes } from '../builders/edf-file.ts';
import { oruMessage, stamp } from '../builders/hl7v2.ts';
import { importTexts } from '../builders/import-text.ts';
import { asBundle } from '../builders/plain-case.ts';
import { plantedPerson, type PlantedPerson } from '../builders/planted-person.ts';
import { workbookParts } from '../builders/workbook-bytes.ts';
import { seededRandom } from '../simulator/random.ts';

type Files = Readonly<Record<string, string | Uint8Array>>;

const T0 = Date.UTC(2031, 2, 4, 8);
const at = (s: number): string => new Date(T0 + s * 1000).toISOString().slice(0, 19).replace('T', ' ');
const trend = (extra: (row: number) => string, heading: string): string => `time,SpO2 finger,HR,${heading}\n${Array.from({ length: 30 }, (_, i) => `${at(i * 10)},${i > 8 && i < 16 ? '' : 97},${60 + (i % 3)},${extra(i)}`).join('\n')}\n`;

/** Everything that a free text may say of a person in a form that needs no column to be known. */
function sentences(who: PlantedPerson): string[] {
  return [
    `Mr ${who.surname} restless`, `Frau ${who.surname} wach`, `Dr. ${who.given} ${who.surname} informed`, `${who.surname}, ${who.given} to theatre`, `${who.given} ${who.surname} positioned prone`, `surgeon: ${who.surname}`,
    `MRN ${who.record}`, `Pat.-Nr. ${who.record}`, `number ${who.record} checked`, `DOB ${who.born.iso}`, `geb. ${who.born.dotted}`, `identity ${who.born.compact} ok`, `call ${who.phone}`, `wrote to ${who.mail}`, `lives at ${who.street}`, `SSN ${who.ssn}`, `${who.ssn} on the wristband`,
  ];
}

/** Everything at once in columns, and bare in the notes. */
function rowsOf(who: PlantedPerson): { readonly headings: string[]; readonly cells: string[] } {
  return {
    headings: ['Patient name', 'MRN', 'Date of birth', 'Address', 'Phone', 'E-mail', 'SSN', 'Surgeon', 'Serial no'],
    cells: [`${who.surname} ${who.given}`, who.record, who.born.iso, who.street, who.phone, who.mail, who.ssn, `Dr ${who.surname}`, `SN${who.record}`],
  };
}

const PLACES: Readonly<Record<string, (who: PlantedPerson) => Files>> = {
  'columns of a trend table, and the bare words in its notes': (who) => {
    const { headings, cells } = rowsOf(who);
    return { 'a/trends.csv': trend((i) => [...cells, i === 3 ? `talked to ${who.surname} (${who.record})` : ''].join(','), [...headings, 'Remark'].join(',')) };
  },
  'German columns of a semicolon table': (who) => {
    const rows = Array.from({ length: 20 }, (_, i) => `${at(i * 10)};97;60;${who.surname};${who.given};${who.born.dotted};${who.record};${who.street};${who.phone}`);
    return { 'a/b.csv': `Zeit;SpO2;HF;Nachname;Vorname;Geburtsdatum;Patientennummer;Anschrift;Telefon\n${rows.join('\n')}\n` };
  },
  'notes of a trend table': (who) => ({ 'a/trends.csv': trend((i) => `"${sentences(who)[i] ?? ''}"`, 'Remark') }),
  'events and administrations': (who) => ({
    'a/trends.csv': trend(() => 'x', 'Remark'),
    'a/events.csv': `Time,Event\n${sentences(who).map((text, i) => `${at(i * 7)},"${text}"`).join('\n')}\n`,
    'a/drugs.csv': `Time,Drug,Dose,Unit,Given by\n${at(20)},phenylephrine,100,mcg,${who.surname}\n${at(50)},"ephedrine for Mr ${who.surname}",6,mg,${who.surname}\n`,
  }),
  'names of a long table': (who) => {
    const { headings, cells } = rowsOf(who);
    const values = Array.from({ length: 20 }, (_, i) => `${at(i * 10)},SpO2,97,%\n${at(i * 10)},Heart rate,6${i % 10},/min`);
    return { 'a/long.csv': `time,parameter,value,unit\n${headings.map((heading, i) => `${at(0)},${heading},"${cells[i] ?? ''}",`).join('\n')}\n${values.join('\n')}\n${sentences(who).map((text) => `${at(60)},Note,"${text}",`).join('\n')}\n` };
  },
  'a case list with attributes': (who) => {
    const { headings, cells } = rowsOf(who);
    return {
      'a/trends.csv': `case_no,time,SpO2,HR\n${Array.from({ length: 20 }, (_, i) => `K1,${at(i * 10)},97,60`).join('\n')}\n`,
      'a/list.csv': `case_no,service,sex,comment,${headings.join(',')}\nK1,surgery,f,"seen by Dr ${who.surname}, MRN ${who.record}",${cells.map((cell) => `"${cell}"`).join(',')}\nK2,surgery,m,,${cells.map(() => '').join(',')}\n`,
    };
  },
  'rejected rows of every kind': (who) => {
    const { headings, cells } = rowsOf(who);
    return {
      'a/with-columns.csv': trend((i) => cells.join(',') + (i === 5 ? `,${who.surname},${who.record}` : ''), headings.join(',')) + `not a time,97,60,${cells.join(',')}\n${at(0)},${cells.join(',')}\n"${at(1)},97,60,${cells.join(',')}\n`,
      'b/without.csv': `${trend(() => '', 'x')}${sentences(who).map((text) => `"said: ${text}",97,60,1`).join('\n')}\n"${sentences(who).join(' | ')}"\n`,
    };
  },
  'a case column that is a record number, or a name': (who) => ({
    'a/mrn.csv': `MRN,time,SpO2,HR\n${Array.from({ length: 20 }, (_, i) => `${who.record},${at(i * 10)},97,60\n7${who.record.slice(1)}1,${at(i * 10)},96,61`).join('\n')}\n`,
    'b/name.csv': `Patient name,time,SpO2,HR\n${Array.from({ length: 20 }, (_, i) => `"${who.surname}, ${who.given}",${at(i * 10)},97,60\n"Elsa, Nobody",${at(i * 10)},96,61`).join('\n')}\n`,
    'c/case.csv': `case,time,SpO2,HR\n${Array.from({ length: 20 }, (_, i) => `${who.given}_${who.surname.replace("'", '')}_${who.record},${at(i * 10)},97,60\nK2,${at(i * 10)},96,61`).join('\n')}\n`,
  }),
  'names of folders, files, archives and sheets': (who) => {
    const plain = who.surname.replace("'", '');
    const book = zipSync(workbookParts([{ name: `${plain} ${who.given}`, rows: [['time', 'SpO2', 'HR'], ...Array.from({ length: 12 }, (_, i) => [at(i * 10), 97, 60])] }]));
    return {
      [`${plain}_${who.given}_${who.record}/trends.csv`]: trend(() => '', 'x'),
      [`in/${who.record}.csv`]: trend(() => '', 'x'),
      [`${who.given} ${plain}.zip`]: zipSync({ [`${who.given}_${plain}/${plain}, ${who.given}.csv`]: strToU8(trend(() => '', 'x')), [`MRN${who.record}.csv`]: strToU8('nothing at all') }),
      [`books/${plain}-${who.given}.xlsx`]: book,
      [`broken/Herr ${plain}.csv`]: 'no table here\n',
    };
  },
  'a workbook': (who) => {
    const { headings, cells } = rowsOf(who);
    const sheet = [['time', 'SpO2', 'HR', 'Remark', ...headings], ...Array.from({ length: 20 }, (_, i) => [at(i * 10), 97, 60, sentences(who)[i] ?? '', ...cells])];
    return { 'a/book.xlsx': zipSync(workbookParts([{ name: 'Sheet 1', rows: sheet }])) };
  },
  'HL7 v2 messages': (who) => {
    const pid = `PID|1|${who.record}|${who.record}^^^HOSP^MR||${who.surname}^${who.given}^Q||${who.born.compact}|F|||${who.street}^^Town^^12345||${who.phone}|||||${who.record}|${who.ssn}`;
    const obx = (i: number): string[] => [
      `OBX|1|NM|150456^MDC_PULS_OXIM_SAT_O2^MDC|1.1.1.1|97|262688^MDC_DIM_PERCENT^MDC|||||F|||${stamp(T0 + i * 10_000)}||${who.record}^${who.surname}^${who.given}`,
      `OBX|2|ST|NOTE^Note^L||${(sentences(who)[i] ?? `seen by ${who.surname}`).replaceAll('|', ' ')}||||||F|||${stamp(T0 + i * 10_000)}`,
    ];
    return { 'a/x.hl7': `${oruMessage(Array.from({ length: 20 }, (_, i) => obx(i)).flat(), { pid, pv1: `PV1||I|OR^4^1||||${who.record}^${who.surname}^${who.given}${'|'.repeat(12)}V${who.record}` })}NK1|1|${who.surname}^${who.given}\rPID|${who.surname}\rbroken ${who.surname}\r` };
  },
  'FHIR resources': (who) => {
    const note = (text: string, i: number): object => ({ resourceType: 'Observation', id: `n${i}`, status: 'final', code: { text: 'Note' }, subject: { reference: `Patient/${who.record}`, display: `${who.given} ${who.surname}` }, performer: [{ display: `Dr ${who.surname}` }], effectiveDateTime: new Date(T0 + i * 1000).toISOString(), valueString: text });
    const value = (i: number): object => ({ resourceType: 'Observation', id: `v${i}`, status: i === 3 ? 'entered-in-error' : 'final', code: { coding: [{ system: 'http://loinc.org', code: '59408-5', display: 'SpO2' }] }, subject: { reference: `Patient/${who.record}` }, effectiveDateTime: new Date(T0 + i * 10_000).toISOString(), valueQuantity: { value: 97, unit: '%' } });
    const patient = { resourceType: 'Patient', id: who.record, identifier: [{ value: who.record }, { value: who.ssn }], name: [{ family: who.surname, given: [who.given] }], birthDate: who.born.iso, telecom: [{ value: who.phone }, { value: who.mail }], address: [{ line: [who.street] }] };
    return { 'a/bundle.json': asBundle([patient, ...Array.from({ length: 20 }, (_, i) => value(i)), ...sentences(who).map(note), note(`bare ${who.surname}`, 40)]) };
  },
  'EDF+ header and annotations': (who) => ({
    'a/x.edf': edfBytes({
      patient: `${who.record} F ${who.born.dotted.replaceAll('.', '-')} ${who.surname}_${who.given}`, recording: `Startdate 04-MAR-2031 ${who.record} ${who.surname} machine`, recordS: 10,
      signals: [{ label: 'SpO2', dimension: '%', physical: [0, 100], digital: [0, 100], records: Array.from({ length: 20 }, () => [97]) }],
      annotations: Array.from({ length: 20 }, (_, i) => `+${i * 10}\x14\x14\x00+${i * 10 + 1}\x14${sentences(who)[i] ?? `asked ${who.surname}`}\x14`),
    }),
  }),
};

/** Returns every byte of every result of an import, as text. */
async function everything(files: Files, keepIdentifiers = false): Promise<{ readonly text: string; readonly nCases: number; readonly withheld: number }> {
  const outcome = await importTexts(files, { keepIdentifiers });
  const cases = outcome.cases.map((record) => ({ record, analysis: analyzeCase(record, DEFAULT_PARAMETERS, 'test') }));
  const settings = { productVersion: 'test', parameters: DEFAULT_PARAMETERS, zone: null, mapping: null, keepIdentifiers, pseudonyms: 'key from the input' as const, relativeTime: false, written: [] };
  const written = reportTexts({ settings, files: outcome.files, rejectedRows: outcome.rejectedRows, cases, unanalyzed: [], withRobustness: true });
  const latin = new TextDecoder('latin1');
  const text = [JSON.stringify(outcome), ...cases.map(({ record, analysis }) => latin.decode(encodeCase(record, analysis))), ...Object.values(written)].join('\n');
  return { text, nCases: outcome.cases.length, withheld: outcome.files.reduce((sum, file) => sum + (file.withheld ?? []).reduce((own, entry) => own + entry.count, 0), 0) };
}

describe('relative time', () => {
  it('leaves no date and no clock time of a case in any file of a run', async () => {
    const who = plantedPerson(seededRandom(3));
    for (const place of ['events and administrations', 'a case list with attributes', 'rejected rows of every kind', 'FHIR resources', 'HL7 v2 messages', 'EDF+ header and annotations']) {
      const files = Object.fromEntries(Object.entries(PLACES[place]?.(who) ?? {}).map(([path, body]) => [`2031-03-04 ${path}`, body]));
      const outcome = await importTexts({ ...files, 'x/odd.csv': 'when,SpO2,HR\n03/04/2031 08:00,97,60\n03/04/2031 08:01,97,61\nat 09:30 on 4 March 2031,1,1\n' });
      const cases = outcome.cases.map((record) => ({ record, analysis: analyzeCase(record, DEFAULT_PARAMETERS, 'test') }));
      const settings = { productVersion: 'test', parameters: DEFAULT_PARAMETERS, zone: 'Europe/Berlin', mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input' as const, relativeTime: true, written: [] };
      for (const [name, all] of Object.entries(reportTexts({ settings, files: outcome.files, rejectedRows: outcome.rejectedRows, cases, unanalyzed: [], withRobustness: true }))) {
        // What dates and times the product's own words hold stands in the dictionary alone.
        const found = name === 'data-dictionary.md' ? null : /.{0,40}(?:2031|\b0?[89]:\d\d|Europe\/Berlin|\b[34] (?:March|April)|20310304).{0,40}/.exec(all);
        expect(found?.[0], `${place}: ${name}`).toBeUndefined();
        if (name === 'data-dictionary.md') expect(all).toContain('## Relative time');
      }
    }
  });
});

describe('a planted person', () => {
  it.each(Object.keys(PLACES))('is in no result: %s', async (place) => {
    for (let seed = 1; seed <= 12; seed += 1) {
      const who = plantedPerson(seededRandom(seed * 7919));
      const files = PLACES[place]?.(who) ?? {};
      const { text, nCases, withheld } = await everything(files);
      const lower = text.toLowerCase();
      const found = who.secrets.filter((secret) => lower.includes(secret.toLowerCase()) || lower.includes(secret.replace("'", '').toLowerCase()));
      const around = found.map((secret) => text.slice(Math.max(0, lower.indexOf(secret.toLowerCase()) - 80), lower.indexOf(secret.toLowerCase()) + 60));
      expect(around, `seed ${seed}: ${found.join(', ')}`).toEqual([]);
      expect(nCases, `seed ${seed}`).toBeGreaterThan(0);
      expect(withheld, `seed ${seed}`).toBeGreaterThan(0);
    }
  });

  it('is there again when identifiers are kept on request: the checks above look in the right places', async () => {
    const who = plantedPerson(seededRandom(7919));
    for (const place of ['notes of a trend table', 'rejected rows of every kind', 'a case list with attributes', 'FHIR resources', 'HL7 v2 messages', 'EDF+ header and annotations', 'a workbook']) {
      expect((await everything(PLACES[place]?.(who) ?? {}, true)).text, place).toContain(who.surname);
    }
  });
});
