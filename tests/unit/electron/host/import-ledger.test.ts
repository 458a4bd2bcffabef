import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import type { FileReport, RejectedRow } from '../../../../core/model/import-report.ts';
import { MAX_LEDGER_ROWS } from '../../../../core/model/ledger.ts';
import { ledgerImportSchema } from '../../../../core/model/ledger-schema.ts';
import type { CaseStore } from '../../../../electron/host/case-store.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost } from '../../../../electron/host/host.ts';
import type { Host } from '../../../../electron/host/host.ts';
import { bodyOf, buildFileReport, buildStandInPool } from '../../../builders/stand-in-pool.ts';
import type { StandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let store: CaseStore;
let host: Host;
let minute = 0;
beforeEach(async () => {
  minute = 0;
  folder = await mkdtemp(join(tmpdir(), 'lacuna-ledger-'));
  store = await openFolderStore(join(folder, 'library'));
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});

function start(pool: StandInPool = buildStandInPool()): StandInPool {
  const now = (): Date => new Date(Date.UTC(2031, 3, 1, 8, minute++));
  host = createHost({ store, productVersion: '1.2.3', door: 'browser', casesAtOnce: 2, samplesFolder: join(folder, 'samples'), startPool: () => pool, now });
  return pool;
}
async function restart(pool: StandInPool = buildStandInPool()): Promise<void> {
  await host.close();
  store = await openFolderStore(join(folder, 'library'));
  start(pool);
}
async function staged(...paths: string[]): Promise<string> {
  const { importId } = await host.beginImport();
  for (const path of paths) await host.stageFile(importId, path, bodyOf(path));
  return importId;
}
const run = (importId: string, over: Partial<Parameters<Host['runImport']>[0]> = {}) => host.runImport({ importId, overrules: [], zone: null, mapping: null, ...over });
const digestOf = (text: string): string => createHash('sha256').update(text).digest('hex');
const ledgerFiles = async () => (await readdir(join(folder, 'library', 'ledger'), { recursive: true })).map((name) => name.replace(/^[0-9a-f]{32}/, '#')).sort();

const GUESSED = buildFileReport({
  file: 'A/x.csv', rows_read: 5, rows_accepted: 3, rows_rejected: 2, sha256: digestOf('A/x.csv'),
  rejected: [{ reason: 'no time', count: 2, first_line: 3 }],
  guesses: [{ field: 'dateOrder', taken: '03/04/2031 read as 3 April', because: 'of a coin', certainty: 'assumed', alternatives: [] }],
  columns: [{ heading: 'Sat', readAs: 'SpO2, site not stated, %', quantity: 'spo2', site: 'unstated', values: 3, missing: 0 }],
  cases: ['A'],
});
const REJECTED: RejectedRow[] = [3, 4].map((line) => ({ file: 'A/x.csv', line, reason: 'no time', row: `row ${line}` }));
/** A pool whose every file reads as `report`. */
const poolOf = (report: Partial<FileReport>, rejectedRows: readonly RejectedRow[] = REJECTED, values: readonly number[] = [98, 97]) =>
  buildStandInPool({ report: () => ({ ...GUESSED, ...report }), rejectedRows, read: async (files): Promise<CaseRecord[]> => [...new Set(files.map((file) => file.folderName))].map((caseId) => buildCaseRecord({ caseId, channels: [buildChannel(values)] })) });

describe('the ledger', () => {
  test('has one import with what was read, guessed and rejected, also after closing and opening', async () => {
    start(poolOf({}));
    const importId = await staged('A/x.csv');
    await run(importId, { zone: 'Europe/Oslo' });
    await host.endImport({ importId });
    await restart();
    const [line] = await host.listLedger();
    expect(line).toEqual({
      importId, state: 'complete', firstAt: '2031-04-01T08:00:00.000Z', lastAt: '2031-04-01T08:01:00.000Z', runs: 1, productVersion: '1.2.3', names: ['A/x.csv'],
      files: 1, filesFailed: 0, rowsRead: 5, rowsAccepted: 3, rowsRejected: 2, casesStored: 1, casesThere: 0, casesWaiting: 0, overruled: 0,
    });
    const opened = await host.openLedger({ importId, run: null });
    expect(ledgerImportSchema.parse(opened)).toEqual(opened);
    expect(opened.run).toMatchObject({ zone: 'Europe/Oslo', mapping: null, files: [GUESSED], cases: [{ caseId: 'A', outcome: 'stored' }], rowsKept: 2, overruled: [] });
    expect(await host.ledgerRows({ importId, run: 1, file: 'A/x.csv', reason: 'no time', from: 1 })).toEqual({ rows: [{ line: 4, row: 'row 4' }], kept: 2 });
    expect(await host.ledgerRows({ importId, run: 1, file: 'A/x.csv', reason: 'other', from: 0 })).toEqual({ rows: [], kept: 0 });
    expect(await ledgerFiles()).toEqual(['#', '#/0001.json', '#/0002.json', '#/0002.rows.gz']);
  });

  test('says what a person overruled and what had been taken before, also after a third reading', async () => {
    start(poolOf({}));
    const importId = await staged('A/x.csv');
    await run(importId);
    const overrules = [{ file: 'A/x.csv', rules: { dateOrder: 'mdy' as const, columns: { Sat: { quantity: 'spo2' as const, site: 'toe' as const } } }, mapping: 'house' }];
    await run(importId, { overrules });
    await run(importId, { overrules });
    const { run: last, history } = await host.openLedger({ importId, run: null });
    expect(last!.overruled).toEqual([
      { file: 'A/x.csv', field: 'dateOrder', taken: '03/04/2031 read as 3 April', said: '"mdy"', mapping: 'house' },
      { file: 'A/x.csv', field: 'columns.Sat', taken: 'SpO2, site not stated, %', said: '{"quantity":"spo2","site":"toe"}', mapping: 'house' },
    ]);
    expect(history.map(({ kind, run: nth }) => [kind, nth])).toEqual([['begun', 1], ['run', 1], ['begun', 2], ['run', 2], ['begun', 3], ['run', 3]]);
    expect((await host.openLedger({ importId, run: 1 })).run!.overruled).toEqual([]);
  });

  test('has imports that were cancelled, failed or cut off by the end of the program', async () => {
    start(buildStandInPool({ read: async () => { throw new TypeError('bug'); } }));
    const failed = await staged('A/x.csv');
    await expect(run(failed)).rejects.toThrow('bug');
    await store.ledger.append({ schema: 'lacuna-ledger/1', importId: 'f'.repeat(32), at: '2031-04-02T00:00:00.000Z', productVersion: '1.2.3', run: 1, kind: 'begun', files: [{ file: 'cut.csv', byteLength: 3 }], corrects: null });
    await restart();
    expect((await host.listLedger()).map((line) => [line.state, line.names])).toEqual([['interrupted', ['cut.csv']], ['failed', ['A/x.csv']]]);
    await expect(host.openLedger({ importId: '0'.repeat(32), run: null })).rejects.toMatchObject({ code: 'ledger-missing' });
  });

  test('does not lose the others over a damaged entry, and leaves no half file of a dead program', async () => {
    start(poolOf({}));
    const importId = await staged('A/x.csv');
    await run(importId);
    await host.close();
    const own = join(folder, 'library', 'ledger', importId);
    await writeFile(join(own, '0002.json'), '{"kind":"run"');
    await writeFile(join(own, '0003.json.abc.unfinished'), '{');
    await writeFile(join(own, '0007.rows.gz'), 'rows whose entry never came');
    store = await openFolderStore(join(folder, 'library'));
    start();
    expect((await host.listLedger()).map((line) => line.state)).toEqual(['interrupted']);
    expect(await host.openLedger({ importId, run: null })).toMatchObject({ damaged: 1, run: null });
    expect((await readdir(own)).sort()).toEqual(['0001.json', '0002.json', '0002.rows.gz']);
  });

  test('keeps a bounded number of rejected rows and the complete count', async () => {
    start();
    const rows = function* (): Generator<RejectedRow> {
      for (let line = 0; line < MAX_LEDGER_ROWS + 7; line += 1) yield { file: 'a', line, reason: 'r', row: 'x' };
    };
    const base = { schema: 'lacuna-ledger/1' as const, importId: 'a'.repeat(32), at: '2031-04-01T00:00:00.000Z', productVersion: '1', run: 1 };
    await store.ledger.append({ ...base, kind: 'run', zone: null, mapping: null, overrules: [], overruled: [], files: [], cases: [], looseName: '' }, rows());
    expect((await host.openLedger({ importId: base.importId, run: null })).run!.rowsKept).toBe(MAX_LEDGER_ROWS);
    expect(await host.ledgerRows({ importId: base.importId, run: 1, file: 'a', reason: 'r', from: MAX_LEDGER_ROWS - 1 })).toEqual({ rows: [{ line: MAX_LEDGER_ROWS - 1, row: 'x' }], kept: MAX_LEDGER_ROWS });
  }, 60_000);

  test('has no name of a file or case among its own file names', async () => {
    start(poolOf({ file: 'Meyer-Anna/x.csv', cases: ['Meyer-Anna'] }));
    await run(await staged('Meyer-Anna/x.csv'));
    expect((await ledgerFiles()).join(' ')).not.toMatch(/meyer|anna|csv/i);
  });
});

test('a file that was read before is named with the day and the cases it went into', async () => {
  start(poolOf({}));
  const first = await staged('A/x.csv');
  expect((await run(first)).earlier).toEqual([]);
  const again = await run(await staged('B/y.csv'));
  expect(again.earlier).toEqual([{ file: 'A/x.csv', reading: { importId: first, run: 1, at: '2031-04-01T08:01:00.000Z', file: 'A/x.csv', caseIds: ['A'] } }]);
  expect((await host.listLedger())[0]).toMatchObject({ casesStored: 0, casesThere: 1 });
  // A third time: it went into the case that the library held, whatever name the second import would have given it.
  await restart(poolOf({ cases: ['B'] }));
  await run(await staged('B/y.csv'));
  expect((await run(await staged('C/z.csv'))).earlier[0]?.reading.caseIds).toEqual(['A']);
});

test('what was decided about a changed case stands in the ledger; until then the import waits', async () => {
  start(poolOf({}));
  await run(await staged('A/x.csv'));
  await restart(poolOf({}, [], [90]));
  const importId = await staged('A/x.csv');
  const { changed } = await run(importId);
  expect((await host.listLedger())[0]).toMatchObject({ state: 'waiting', casesWaiting: 1 });
  // Until somebody decides, the file went into no case.
  const readInto = async (): Promise<string[]> => [...(await store.ledger.earlierReadings([GUESSED.sha256], 'f'.repeat(32))).values()].flatMap(({ caseIds }) => caseIds);
  expect(await readInto()).toEqual([]);
  await host.decideChanges({ importId, decisions: [{ caseKey: changed[0]!.caseKey, decision: 'keep both', storeAs: 'A2' }] });
  expect((await host.listLedger())[0]).toMatchObject({ state: 'complete', casesWaiting: 0, casesStored: 1 });
  expect(await readInto()).toEqual(['A2']);
  expect((await host.openLedger({ importId, run: null })).decisions).toEqual([{ caseKey: changed[0]!.caseKey, caseId: 'A', decision: 'keep both', storedAs: 'A2' }]);
});

describe('rejected rows taken in again', () => {
  test('need the same file, which is found by its digest whatever it is called now, and bear its old name', async () => {
    const pool = start(poolOf({}));
    const first = await staged('A/x.csv');
    await run(first, { overrules: [{ file: 'A/x.csv', rules: { dateOrder: 'dmy' } }], zone: 'Europe/Oslo' });
    await host.endImport({ importId: first });
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'other.csv', bodyOf('something else'));
    await host.stageFile(importId, 'renamed.csv', bodyOf('A/x.csv')); // the content of the file above
    const match = await host.matchStaged({ importId, place: { importId: first, run: 1 } });
    expect(match).toEqual({ matched: ['A/x.csv'], foreign: ['other.csv'], missing: [], overrules: [{ file: 'A/x.csv', rules: { dateOrder: 'dmy' } }], zone: 'Europe/Oslo', mapping: null });
    await run(importId, { overrules: [{ file: 'A/x.csv', rules: { dateOrder: 'mdy' } }] });
    expect(pool.imports.at(-1)!.files.map(({ relativePath, folderName }) => [relativePath, folderName])).toEqual([['A/x.csv', 'A']]);
    const { run: last, history } = await host.openLedger({ importId, run: null });
    expect(history[0]!.words).toContain('to take in rejected rows of an earlier import');
    expect(last!.overruled).toMatchObject([{ taken: '03/04/2031 read as 3 April', said: '"mdy"' }]);
  });

  test('say which files are missing', async () => {
    start(poolOf({}));
    const first = await staged('A/x.csv');
    await run(first);
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'x.csv', bodyOf('not the same'));
    expect(await host.matchStaged({ importId, place: { importId: first, run: 1 } })).toMatchObject({ matched: [], foreign: ['x.csv'], missing: [{ file: 'A/x.csv', byteLength: 10 }] });
    await expect(run(importId)).rejects.toMatchObject({ code: 'nothing-staged' });
    await expect(host.matchStaged({ importId, place: { importId: '0'.repeat(32), run: 1 } })).rejects.toMatchObject({ code: 'ledger-missing' });
  });

  test('of files without a folder make the case of their old name, also when only one of them comes', async () => {
    const pool = start(poolOf({ file: 'drugs.csv', sha256: digestOf('drugs.csv') }));
    const first = await staged('drugs.csv', 'trends.csv');
    await run(first);
    const { importId } = await host.beginImport();
    await host.stageFile(importId, 'later name.csv', bodyOf('drugs.csv'));
    await host.matchStaged({ importId, place: { importId: first, run: 1 } });
    await run(importId);
    expect(pool.imports.at(-1)!.files.map(({ relativePath, folderName }) => [relativePath, folderName])).toEqual([['drugs.csv', 'drugs']]);
  });
});

test('a reading whose entry cannot be written leaves the library as it was', async () => {
  start(poolOf({}));
  const importId = await staged('A/x.csv');
  Object.assign(store.ledger, { prepare: async () => { throw new Error('no room'); } });
  await expect(run(importId)).rejects.toThrow('no room');
  expect(await host.listCases()).toEqual([]);
  expect((await host.listLedger())[0]!.state).toBe('failed');
  expect(await readFile(join(folder, 'library', 'ledger', importId, '0002.json'), 'utf8')).toContain('stopped');
});

describe('a program that was killed while cases came in', () => {
  /** Puts the library back to where it was when the import had written down what it was about to do. */
  async function backToPublishing(importId: string, withNote: boolean): Promise<void> {
    const [line] = store.list();
    await host.close();
    const library = join(folder, 'library');
    const prepared = join(library, 'incoming', importId, 'prepared');
    await mkdir(prepared, { recursive: true });
    await rename(join(library, 'cases', `${line!.caseKey}.case`), join(prepared, `${line!.caseKey}.case`));
    await rename(join(library, 'ledger', importId, '0002.json'), join(library, 'ledger', importId, '0002.prepared'));
    const steps = [{ step: 'put', caseKey: line!.caseKey, aside: false }, { step: 'enter', importId, number: '0002' }];
    if (withNote) await writeFile(join(library, 'incoming', importId, 'publish.json'), JSON.stringify({ schema: 'lacuna-publication/1', steps }));
    store = await openFolderStore(library);
    start(poolOf({}));
  }

  test('has its import in the ledger as what it is: complete, with its rejected rows', async () => {
    start(poolOf({}));
    const importId = await staged('A/x.csv');
    await run(importId);
    await backToPublishing(importId, true);
    expect((await host.listCases()).map(({ caseId }) => caseId)).toEqual(['A']);
    expect((await host.listLedger())[0]).toMatchObject({ state: 'complete', casesStored: 1, rowsRejected: 2 });
    expect((await host.ledgerRows({ importId, run: 1, file: 'A/x.csv', reason: 'no time', from: 0 })).kept).toBe(2);
  });

  test('before the note was written has neither the cases nor the entry', async () => {
    start(poolOf({}));
    const importId = await staged('A/x.csv');
    await run(importId);
    await backToPublishing(importId, false);
    expect(await host.listCases()).toEqual([]);
    expect((await host.listLedger())[0]).toMatchObject({ state: 'interrupted', casesStored: 0 });
    expect(await ledgerFiles()).toEqual(['#', '#/0001.json']);
  });
});

test('staged files that were read before are known by their digest before anything is read', async () => {
  const pool = start(poolOf({}));
  const first = await staged('A/x.csv');
  await run(first);
  const again = await host.beginImport();
  await host.stageFile(again.importId, 'under another name.csv', bodyOf('A/x', '.csv'));
  await host.stageFile(again.importId, 'new.csv', bodyOf('new'));
  expect(await host.readBefore(again)).toEqual([{ file: 'under another name.csv', reading: { importId: first, run: 1, at: '2031-04-01T08:01:00.000Z', file: 'A/x.csv', caseIds: ['A'] } }]);
  expect(pool.imports).toHaveLength(1);
});

test('names of files and folders that look like a person are codes in the ledger too', async () => {
  start(buildStandInPool({ report: () => GUESSED, read: async () => [buildCaseRecord()] })); // masks no case names, which is the reader's work
  const importId = await staged('Anna Meyer/x.csv', 'Anna Meyer 1950-02-03.csv');
  await run(importId, { overrules: [{ file: 'x.csv', rules: { caseId: 'Anna Meyer' } }] });
  for (const name of ['0001.json', '0002.json']) expect(await readFile(join(folder, 'library', 'ledger', importId, name), 'utf8')).not.toMatch(/Anna|Meyer/);
});
