/*
 * Source: tests/fixtures/open-data/mimic3-demo-charted and eicu-demo-infusions (ODbL 1.0), with the counts of their READMEs:
 * stays charted by hand, whose items are codes that a table beside them explains, and infusion entries with untidy units.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import Papa from 'papaparse';
import { beforeAll, describe, expect, test } from 'vitest';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { importFiles } from '../../../core/pipeline/import-files.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { FileReport } from '../../../core/model/import-report.ts';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import type { ImportOutcome } from '../../../core/readers/reader.ts';
import { memorySource, plainImport } from '../../builders/byte-source.ts';

const FOLDER = join(import.meta.dirname, '..', '..', 'fixtures', 'open-data');

function readSet(set: string): Promise<ImportOutcome> {
  const names = readdirSync(join(FOLDER, set)).filter((name) => name.endsWith('.csv'));
  return importFiles(names.map((name) => memorySource(`${set}/${name}`, readFileSync(join(FOLDER, set, name)))), plainImport());
}

/** Returns the rows of a file as another library cuts them. */
function rowsOf(set: string, file: string): Readonly<Record<string, string>>[] {
  return Papa.parse<Record<string, string>>(readFileSync(join(FOLDER, set, file), 'utf8'), { header: true, skipEmptyLines: true }).data;
}

function caseOf(outcome: ImportOutcome, id: string): CaseRecord {
  const found = outcome.cases.find(({ caseId }) => caseId === id);
  if (found === undefined) throw new Error(`no case ${id}`);
  return found;
}

function reportOf(outcome: ImportOutcome, name: string): FileReport {
  const found = outcome.files.find(({ file }) => file.endsWith(`/${name}`));
  if (found === undefined) throw new Error(`no file ${name}`);
  return found;
}

const isVasopressor = (inn: string | null): boolean => ['norepinephrine', 'phenylephrine', 'vasopressin', 'dopamine', 'epinephrine', 'dobutamine'].includes(inn ?? '');

describe('stays charted by hand, items by code', () => {
  const SET = 'mimic3-demo-charted';
  let outcome: ImportOutcome;
  beforeAll(async () => {
    outcome = await readSet(SET);
  }, 120_000);

  test('every file is read, every row accepted or rejected with a reason', () => {
    expect(outcome.files.map(({ failure }) => failure)).toEqual(outcome.files.map(() => null));
    for (const report of outcome.files) {
      expect(report.rows_read).toBe(rowsOf(SET, report.file.slice(SET.length + 1)).length);
      expect(report.rows_accepted + report.rows_rejected).toBe(report.rows_read);
      expect(report.rejected.reduce((sum, { count }) => sum + count, 0)).toBe(report.rows_rejected);
    }
    expect(reportOf(outcome, 'd_items.csv')).toMatchObject({ layout: 'code table', rows_accepted: 123, rows_rejected: 0 });
    const charts = outcome.files.filter(({ file }) => file.endsWith('-chartevents.csv'));
    expect(charts.reduce((sum, { rows_accepted }) => sum + rows_accepted, 0)).toBe(28_006);
    expect(outcome.cases).toHaveLength(9);
    for (const { file, notes } of charts) expect([file, notes.some((note) => note.includes('what they mean was taken from d_items.csv'))]).toEqual([file, true]);
  });

  // README, "Difficulties, as counted": SpO2 values (0 and NULL among them), 0 or NULL, 1–69 %, lowest above 0.
  test.each([
    ['298685', 421, 1, 2, 67],
    ['239396', 782, 0, 0, 88],
    ['286072', 299, 0, 1, 59],
    ['217724', 32, 0, 1, 66],
    ['283181', 56, 0, 0, 71],
    ['221684', 383, 0, 0, 72],
    ['249805', 1137, 5, 15, 9],
    ['203766', 232, 1, 12, 4],
    ['251573', 40, 0, 3, 39],
  ])('stay %s: %i SpO2 values, %i of them 0 or NULL, %i below 70', (id, values, missing, low, lowest) => {
    const [spo2, ...more] = caseOf(outcome, id).channels.filter(({ quantity }) => quantity === 'spo2');
    expect(more).toEqual([]);
    const numbers = [...(spo2?.value ?? [])].filter((value) => !Number.isNaN(value));
    expect(spo2?.value).toHaveLength(values);
    expect(values - numbers.length).toBe(missing);
    expect(numbers.filter((value) => value < 70)).toHaveLength(low);
    expect(Math.min(...numbers)).toBe(lowest);
  });

  test('charts have no recording interval: no dropout is made of their pauses', () => {
    for (const record of outcome.cases) {
      for (const site of analyzeCase(record, DEFAULT_PARAMETERS, '0').sites) {
        expect([record.caseId, site.segments.map(({ intervalMs }) => intervalMs), site.dropouts.length]).toEqual([record.caseId, [null], 0]);
        expect(site.notMonitoredReason).not.toBeNull();
      }
    }
  });

  test('when an entry was written is not taken for when it happened', () => {
    const rows = outcome.cases.flatMap(({ caseId }) => rowsOf(SET, `stay-${caseId}-chartevents.csv`));
    expect(rows.filter((row) => (row['storetime'] ?? '') < (row['charttime'] ?? '')).length).toBe(3917);
    const first = rowsOf(SET, 'stay-203766-chartevents.csv').find((row) => row['itemid'] === '646');
    const record = caseOf(outcome, '203766');
    const spo2 = record.channels.find(({ quantity }) => quantity === 'spo2');
    expect(new Date((record.origin.epochMs ?? NaN) + (spo2?.tMs[0] ?? NaN)).toISOString()).toBe(`${(first?.['charttime'] ?? '').replace(' ', 'T')}.000Z`);
  });

  test('positions charted as words are states', () => {
    const positions = caseOf(outcome, '286072').events.filter(({ text }) => text.startsWith('Position: '));
    expect(new Set(positions.map(({ kind, term, phase }) => `${kind}, ${term}, ${phase}`))).toEqual(new Set(['position, prone, start', 'position, supine, start', 'position, lateral right, start', 'position, lateral left, start']));
    const words = rowsOf(SET, 'stay-286072-chartevents.csv').filter((row) => row['itemid'] === '224093').map((row) => row['value']);
    expect(positions).toHaveLength(words.filter((word, i) => word !== words[i - 1]).length);
  });

  // README: norepinephrine 240 rows, dopamine 52, vasopressin 17, phenylephrine 11; rewritten ones were not given.
  test.each([['norepinephrine', '221906', 240], ['dopamine', '221662', 52], ['vasopressin', '222315', 17], ['phenylephrine', '221749', 11]])('%s with start and end: each entry once, a stop where none goes on', (inn, code, count) => {
    const rows = rowsOf(SET, 'inputevents_mv.csv').filter((row) => row['itemid'] === code);
    expect(rows).toHaveLength(count);
    const given = rows.filter((row) => row['statusdescription'] !== 'Rewritten');
    const stays = new Set(rows.map((row) => row['icustay_id'] ?? ''));
    const drugs = [...stays].flatMap((id) => caseOf(outcome, id).drugs.filter((drug) => drug.inn === inn));
    expect(drugs.filter(({ form }) => form !== 'infusion stop')).toHaveLength(given.length);
    const goesOn = (row: Readonly<Record<string, string>>): boolean =>
      given.some((other) => other !== row && other['icustay_id'] === row['icustay_id'] && (other['starttime'] ?? '') <= (row['endtime'] ?? '') && ((other['endtime'] ?? '') > (row['endtime'] ?? '') || (other['starttime'] ?? '') === (row['endtime'] ?? '')));
    expect(new Set(drugs.filter(({ form }) => form === 'infusion stop').map(({ atMs, text }) => `${atMs} ${text.slice(0, 4)}`)).size).toBe(new Set(given.filter((row) => !goesOn(row)).map((row) => `${row['icustay_id'] ?? ''} ${row['endtime'] ?? ''}`)).size);
    expect(new Set(drugs.map(({ unit }) => unit))).toEqual(new Set([inn === 'vasopressin' ? '[iU]/h' : 'ug/kg/min']));
  });

  test('rates at points in time: amounts beside them are no doses of their own, a rate of 0 stops', () => {
    const rows = rowsOf(SET, 'inputevents_cv.csv');
    const ids = [...new Set(rows.map((row) => row['icustay_id'] ?? ''))];
    const drugs = ids.flatMap((id) => caseOf(outcome, id).drugs);
    expect(drugs).toHaveLength(rows.length);
    expect(drugs.every(({ inn }) => inn !== null)).toBe(true);
    expect(drugs.filter(({ form, isVasopressor: isExposure }) => form === 'bolus' && isExposure)).toEqual([]);
    expect(drugs.filter(({ form, amount }) => form === 'infusion stop' && amount === 0)).toHaveLength(rows.filter((row) => row['rate'] !== '' && Number(row['rate']) === 0).length);
    expect(drugs.filter(({ inn, form, unit }) => inn === 'norepinephrine' && form !== 'bolus' && unit !== '').every(({ unit }) => unit === 'ug/kg/min')).toBe(true);
  });
});

describe('infusions with untidy units, times as minutes from admission', () => {
  const SET = 'eicu-demo-infusions';
  let outcome: ImportOutcome;
  beforeAll(async () => {
    outcome = await readSet(SET);
  }, 60_000);

  test('every file is read, every row accepted or rejected with a reason', () => {
    expect(outcome.files.map(({ failure }) => failure)).toEqual(outcome.files.map(() => null));
    for (const report of outcome.files) expect([report.file, report.rows_read, report.rows_accepted + report.rows_rejected]).toEqual([report.file, rowsOf(SET, report.file.slice(SET.length + 1)).length, report.rows_read]);
    expect(outcome.cases).toHaveLength(7);
  });

  // README: SaO2 values, lowest, vasopressor entries, infusion entries, before admission, cuff rows.
  test.each([
    ['3116577', 43, 22, 222, 900, 0, 310],
    ['3239262', 55, 95, 199, 1069, 0, 755],
    ['3099676', 66, 89, 165, 633, 0, 240],
    ['490809', 10, 97, 80, 255, 6, 278],
    ['3027284', 22, 94, 13, 23, 0, 390],
    ['3029353', 5, 72, 7, 8, 0, 99],
    ['250724', 0, null, 0, 49, 2, 388],
  ])('stay %s: %i SpO2 values', (id, values, lowest, vasopressors, infusions, before, cuffs) => {
    const record = caseOf(outcome, id);
    const spo2 = record.channels.find(({ quantity }) => quantity === 'spo2');
    expect(spo2?.value.length ?? 0).toBe(values);
    if (lowest !== null) expect(Math.min(...(spo2?.value ?? []))).toBe(lowest);
    expect(record.drugs).toHaveLength(infusions);
    expect(record.drugs.filter(({ inn }) => isVasopressor(inn))).toHaveLength(vasopressors);
    expect(record.drugs.filter(({ atMs }) => atMs + record.origin.originOffsetMs < 0)).toHaveLength(before);
    expect(record.channels.find(({ quantity }) => quantity === 'nibp-mean')?.value).toHaveLength(cuffs);
    expect(analyzeCase(record, DEFAULT_PARAMETERS, '0').sites.flatMap(({ segments, dropouts }) => [...segments.map(({ intervalMs }) => intervalMs), dropouts.length])).toEqual(values === 0 ? [] : [null, 0]);
  });

  test('rates that are ERROR or empty are infusions without a rate, never boluses; a rate of 0 stops', () => {
    const drugs = outcome.cases.flatMap((record) => record.drugs);
    expect(drugs.filter(({ flags }) => flags.includes('rate not readable: "ERROR"'))).toHaveLength(16);
    expect(drugs.filter(({ form }) => form === 'bolus')).toEqual([]);
    expect(drugs.filter(({ form, amount }) => form === 'infusion stop' && amount === 0)).toHaveLength(318);
    expect(drugs.filter(({ amount }) => amount === null)).toHaveLength(24);
  });

  test('the unit in a name is the unit of its rate', () => {
    const units = new Map<string, Set<string>>();
    for (const drug of outcome.cases.flatMap((record) => record.drugs)) {
      if (drug.amount === null) continue;
      const bracketed = /\(([^()]*)\)/.exec(drug.text)?.[1] ?? '';
      units.set(bracketed, (units.get(bracketed) ?? new Set<string>()).add(drug.unit));
    }
    const expected: Readonly<Record<string, string>> = { 'mcg/min': 'ug/min', 'mcg/kg/min': 'ug/kg/min', 'ml/hr': 'mL/h', 'mcg/hr': 'ug/h', 'mg/hr': 'mg/h', 'units/hr': '[iU]/h', 'mcg/kg/hr': 'ug/kg/h', 'mg/min': 'mg/min', '': '', 'Unknown': '' };
    for (const [bracketed, own] of units) expect([bracketed, ...own]).toEqual([bracketed, expected[bracketed]]);
  });

  test('what reads SaO2 as SpO2 is a guess that can be overruled', () => {
    const guess = reportOf(outcome, 'respiratorycharting.csv').guesses.find(({ field }) => field === 'columns.SaO2');
    expect(guess).toMatchObject({ certainty: 'assumed', alternatives: [{ rules: { columns: { SaO2: { role: 'ignore' } } } }] });
  });
});
