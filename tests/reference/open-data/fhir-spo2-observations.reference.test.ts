/*
 * Source: tests/fixtures/open-data/fhir-spo2-observations (HL7 examples CC0 1.0; Medizininformatik-Initiative CC BY 4.0),
 * with the counts of its README: eight observations, six of them SpO2; "each of these must be recognised as SpO2, with its
 * site where it has one, and none may be read as a series".
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { importFiles } from '../../../core/pipeline/import-files.ts';
import { memorySource, plainImport } from '../../builders/byte-source.ts';

const FOLDER = join(import.meta.dirname, '..', '..', 'fixtures', 'open-data', 'fhir-spo2-observations');
const FILES = readdirSync(FOLDER).filter((name) => !name.endsWith('.md'));

const read = (name: string) => importFiles([memorySource(`set/${name}`, readFileSync(join(FOLDER, name)))], plainImport());

/** [quantity, sensor, value, instant] of every channel that a file must give; written down from the files by hand. */
const EXPECTED: Readonly<Record<string, readonly (readonly [quantity: string, sensor: string, value: number, at: string])[]>> = {
  'Observation-oxygen-saturation.json': [['spo2', '', 99, '1999-07-02T00:00:00.000Z']],
  'Observation-satO2-fiO2.json': [['spo2', '', 95, '2014-12-05T08:30:10.000Z']],
  'observation-example-satO2.xml': [['spo2', '', 95, '2014-12-05T08:30:10.000Z']],
  'mii-exa-icu-muv-o2saettigung-im-arteriell-blut-durch-pulsoxymet.json': [['spo2', '', 98, '2019-12-23T08:30:10.000Z']],
  'mii-exa-icu-muv-o2saettigung-im-blut-preduktal-durch-pulsoxymet.json': [['spo2', 'preductal', 96, '2019-12-23T08:30:10.000Z']],
  'mii-exa-icu-muv-o2saettigung-im-blut-postduktal-durch-pulsoxymet.json': [['spo2', 'postductal', 91, '2019-12-23T08:30:10.000Z']],
  'mii-exa-icu-muv-herzfrequenz.json': [['heart-rate', '', 70, '2019-12-23T08:30:10.000Z']],
  'mii-exa-icu-muv-arterieller-blutdruck.json': [
    ['nibp-sys', '', 120, '2019-12-23T08:30:10.000Z'],
    ['nibp-mean', '', 90, '2019-12-23T08:30:10.000Z'],
    ['nibp-dia', '', 80, '2019-12-23T08:30:10.000Z'],
  ],
};

test('the set has the eight files of its README', () => {
  expect([...FILES].sort()).toEqual(Object.keys(EXPECTED).sort());
});

test.each(FILES)('%s is read whole: one row, its values, each a single value at its time', async (name) => {
  const { cases, files } = await read(name);
  expect(files).toMatchObject([{ failure: null, rows_read: 1, rows_accepted: 1, rows_rejected: 0, kind: 'trends' }]);
  const [record] = cases;
  const found = record?.channels.map(({ quantity, site, value, tMs, layout }) => {
    expect(value).toHaveLength(1);
    expect(layout).toBe('long');
    if (quantity === 'spo2') expect(site).toBe('unstated');
    return [quantity, value[0], new Date((record.origin.epochMs ?? NaN) + (tMs[0] ?? NaN)).toISOString()];
  });
  expect(found).toEqual(EXPECTED[name]?.map(([quantity, , value, at]) => [quantity, value, at]));
});

test('all eight together: one case for each of the two patients, three sensors told apart by code', async () => {
  const { cases, files } = await importFiles(FILES.map((name) => memorySource(`set/${name}`, readFileSync(join(FOLDER, name)))), plainImport());
  expect(files.reduce((sum, file) => sum + file.rows_accepted, 0)).toBe(8);
  expect(cases).toHaveLength(2);
  const german = cases.find((record) => record.channels.some((channel) => channel.quantity === 'heart-rate'));
  const sensors = german?.channels.filter((channel) => channel.quantity === 'spo2').map(({ sensor, value }) => [sensor, value[0]]);
  expect(new Map(sensors as [string, number][])).toEqual(new Map([['', 98], ['preductal', 96], ['postductal', 91]]));
});

test('150324 beside 59408-5 is said, and no name of a person is kept', async () => {
  const { files } = await read('mii-exa-icu-muv-o2saettigung-im-arteriell-blut-durch-pulsoxymet.json');
  expect(files[0]?.notes.join(' ')).toContain('150324');
  expect(JSON.stringify(await read('Observation-oxygen-saturation.json'))).not.toMatch(/Amy|Shaw/);
});
