import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { Mapping } from '../../../../core/model/mapping.ts';
import { parseMapping } from '../../../../core/persist/mapping-file.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { bodyOf, buildStandInPool } from '../../../builders/stand-in-pool.ts';

let folder = '';
let host: Host;
let pool: ReturnType<typeof buildStandInPool>;
const library = (): string => join(folder, 'library');

async function start(): Promise<void> {
  pool = buildStandInPool();
  host = createHost({ store: await openFolderStore(library()), productVersion: '1', door: 'browser', casesAtOnce: 1, samplesFolder: folder, startPool: () => pool });
}

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-mappings-'));
  await start();
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

const buildMapping = (name: string, over: Partial<Mapping> = {}): Mapping => ({
  schema: 'lacuna-mapping/1', name, files: [{ match: { headings: ['Kanal 7'] }, reading: { columns: { 'Kanal 7': { quantity: 'spo2', site: 'ear lobe' } } } }], ...over,
});
const names = async (): Promise<string[]> => (await host.listMappings()).map((mapping) => mapping.name);

describe('saved mappings', () => {
  test('there are none in a new library', async () => {
    expect(await host.listMappings()).toEqual([]);
  });

  test('are kept under their names, in order, and outlive the program', async () => {
    await host.saveMapping({ mapping: buildMapping('theatre 4'), replace: false });
    await host.saveMapping({ mapping: buildMapping('  day unit '), replace: false });
    expect(await names()).toEqual(['day unit', 'theatre 4']);
    await host.close();
    await start();
    expect((await host.listMappings())[1]).toEqual(buildMapping('theatre 4'));
  });

  test('of one name are not replaced unless that is asked for', async () => {
    await host.saveMapping({ mapping: buildMapping('theatre 4'), replace: false });
    const other = buildMapping('theatre 4', { files: [] });
    await expect(host.saveMapping({ mapping: other, replace: false })).rejects.toMatchObject({ code: 'name-taken', message: 'There is a saved mapping “theatre 4” already.' });
    expect(await host.saveMapping({ mapping: other, replace: true })).toEqual([other]);
  });

  test('without a name are refused', async () => {
    await expect(host.saveMapping({ mapping: buildMapping('  '), replace: false })).rejects.toMatchObject({ code: 'no-name' });
  });

  test('are renamed and removed', async () => {
    await host.saveMapping({ mapping: buildMapping('a'), replace: false });
    await host.saveMapping({ mapping: buildMapping('b'), replace: false });
    await expect(host.renameMapping({ name: 'a', to: 'b' })).rejects.toMatchObject({ code: 'name-taken' });
    await expect(host.renameMapping({ name: 'gone', to: 'c' })).rejects.toMatchObject({ code: 'mapping-missing' });
    expect((await host.renameMapping({ name: 'a', to: 'c' })).map(({ name }) => name)).toEqual(['b', 'c']);
    expect((await host.removeMapping({ name: 'b' })).map(({ name }) => name)).toEqual(['c']);
    expect(await names()).toEqual(['c']);
  });

  test('saved at the same time are all there', async () => {
    await Promise.all(Array.from({ length: 12 }, (_, i) => host.saveMapping({ mapping: buildMapping(`m${i}`), replace: false })));
    expect(await names()).toHaveLength(12);
  });

  test('lie in one file of the library in the form of mapping files, with nothing half-written beside it', async () => {
    await host.saveMapping({ mapping: buildMapping('theatre 4'), replace: false });
    const stored = JSON.parse(await readFile(join(library(), 'mappings.json'), 'utf8')) as { mappings: unknown[] };
    expect(parseMapping(stored.mappings[0])).toEqual({ ok: true, value: buildMapping('theatre 4') });
    expect((await readdir(library())).filter((name) => name.includes('unfinished'))).toEqual([]);
  });

  test('that are damaged on the disk are told and not overwritten', async () => {
    await writeFile(join(library(), 'mappings.json'), '{"schema":"lacuna-mappings/1","mapp');
    await expect(host.listMappings()).rejects.toMatchObject({ code: 'mappings-damaged' });
    await expect(host.saveMapping({ mapping: buildMapping('x'), replace: false })).rejects.toMatchObject({ code: 'mappings-damaged' });
    expect(await readFile(join(library(), 'mappings.json'), 'utf8')).toContain('"mapp');
  });
});

describe('the text of a mapping file', () => {
  test('is read', async () => {
    expect(await host.readMapping({ text: JSON.stringify(buildMapping('x')) })).toEqual(buildMapping('x'));
  });

  test.each([
    ['{"schema": "lacuna-mapping/1",\n"name": }', 'bad-json', 'fault in line 2'],
    ['{"schema": "lacuna-mapping/2", "name": "x", "files": []}', 'bad-field', '"schema" does not fit'],
    ['{"schema": "lacuna-mapping/1", "name": "x", "files": [{"match": {}, "reading": {"columns": {"A": {"site": "nose"}}}}]}', 'bad-field', '"files.0.reading.columns.A.site"'],
  ])('that does not fit names the place: %s', async (text, code, message) => {
    await expect(host.readMapping({ text })).rejects.toMatchObject({ code, message: expect.stringContaining(message) });
  });
});

describe('a preview', () => {
  test('is asked of the staged file, or of the archive around the part that is named', async () => {
    const { importId } = await host.beginImport();
    for (const path of ['A/x.csv', 'A/all.zip', 'A/all.zip.csv']) await host.stageFile(importId, path, bodyOf('x'));
    for (const file of ['A/x.csv', 'A/all.zip/in/y.csv', 'A/all.zip.csv']) expect((await host.previewFile({ importId, file, zone: 'Europe/Oslo', rules: { kind: 'events' }, atLine: 7 })).file).toBe(file);
    expect(pool.previews.map(({ of }) => of)).toEqual(['A/x.csv', 'A/all.zip', 'A/all.zip.csv']);
    expect(pool.previews[1]!.request).toEqual({ file: 'A/all.zip/in/y.csv', zone: 'Europe/Oslo', rules: { kind: 'events' }, atLine: 7 });
    await expect(host.previewFile({ importId, file: 'B/x.csv', zone: null, rules: {}, atLine: null })).rejects.toMatchObject({ code: 'file-missing' });
    await host.endImport({ importId });
    await expect(host.previewFile({ importId, file: 'A/x.csv', zone: null, rules: {}, atLine: null })).rejects.toMatchObject({ code: 'import-over' });
  });

  test('rules of a saved mapping keep its name on their way to the readers; what is said by hand has none', async () => {
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'A/x.csv', bodyOf('x'));
    await host.runImport({ importId, zone: null, mapping: null, overrules: [{ file: 'A/x.csv', rules: { kind: 'events' }, mapping: 'theatre 4' }, { file: 'A/y.csv', rules: {} }] });
    expect(pool.imports[0]!.options.mapping?.files.map(({ match, name }) => [match.path, name])).toEqual([['A/x.csv', 'theatre 4'], ['A/y.csv', '']]);
  });
});
