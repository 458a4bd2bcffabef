import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { CaseRecord } from '../../../../core/model/case.ts';
import { sourceDigests } from '../../../../core/model/source-digests.ts';
import { decodeCase, encodeCase } from '../../../../core/persist/case-bytes.ts';
import { summarizeCase } from '../../../../core/protocol/case-summary.ts';
import type { CaseStore, StagingArea } from '../../../../electron/host/case-store.ts';
import { createImportConflicts } from '../../../../electron/host/import-conflicts.ts';
import type { ImportConflicts, Verdict } from '../../../../electron/host/import-conflicts.ts';
import { setClockOffset } from '../../../../core/pipeline/set-clock-offset.ts';
import { LIBRARY_KINDS } from '../../../builders/library-kinds.ts';
import { importTexts } from '../../../builders/import-text.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

describe.each(LIBRARY_KINDS)('in a library that is $kind', ({ kind, open }) => {
let folder = '';
let store: CaseStore;
let staging: StagingArea;
let conflicts: ImportConflicts;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-conflicts-'));
  store = await open(join(folder, 'library'));
  await beginImport();
});
afterEach(async () => {
  await store.close();
  await rm(folder, { recursive: true, force: true });
});

async function beginImport(): Promise<void> {
  staging = await store.openStaging({ isResumable: true });
  conflicts = createImportConflicts({ store, pool: buildStandInPool(), staging });
}
const record = (caseId: string, values: readonly number[], over: Partial<CaseRecord> = {}): CaseRecord => buildCaseRecord({ caseId, channels: [buildChannel(values)], ...over });
/** Makes a case ready and puts it where it belongs, as a run of the import does with all its cases. */
async function place(one: CaseRecord): Promise<Verdict & { readonly replaced: readonly string[] }> {
  const analysis = buildCaseAnalysis(undefined, { caseId: one.caseId });
  const summary = summarizeCase(store.keyOf(one.caseId), one, analysis);
  const ready = await staging.prepare({ bytes: encodeCase(one, analysis), summary, digests: sourceDigests(one), remarks: { notes: [], asTimeOfDay: [], agedBy: null } });
  const verdict = await conflicts.judge(ready);
  const replaced = await store.publish(staging, verdict.kind === 'new' ? { put: [ready], takeBack: [] } : { put: [], takeBack: [summary.caseKey] }, {});
  if (verdict.kind === 'held') await conflicts.hold([verdict.changed]);
  return { ...verdict, replaced: [...replaced] };
}
const decide = (caseKey: string, decision: 'replace' | 'keep old' | 'keep both', storeAs: string | null = null) => conflicts.decide([{ caseKey, decision, storeAs }], async (_record, held) => held);
/** Twenty rows, ten seconds apart. */
const stamps = (value: (i: number) => string): string => Array.from({ length: 20 }, (_, i) => `2031-03-04 08:${String(Math.floor(i / 6)).padStart(2, '0')}:${String((i % 6) * 10).padStart(2, '0')},${value(i)}`).join('\n');
async function valuesOf(caseId: string): Promise<number[] | null> {
  const line = store.list().find((one) => one.caseId === caseId);
  if (line === undefined) return null;
  const decoded = decodeCase(await store.readBytes(line.caseKey));
  return decoded.ok ? [...decoded.value.record.channels[0]!.value] : null;
}

describe('a case of a known name', () => {
  test('with the same content is left alone', async () => {
    await store.save(record('A', [98, 97]), null);
    expect(await place(record('A', [98, 97]))).toMatchObject({ kind: 'unchanged' });
    expect(conflicts.changed).toEqual([]);
  });

  test('with other content is held back until somebody decides, and says in figures what differs', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    const placed = await place(record('A', [98, 90, 91]));
    expect(placed).toMatchObject({ kind: 'held', changed: { caseKey, rows: { added: 1, removed: 0, changed: 1 }, events: 0, drugs: 0, dropouts: null, decision: null } });
    expect(await valuesOf('A')).toEqual([98, 97]);
    expect(await conflicts.compare(caseKey)).toMatchObject({ isSame: false, channels: [{ rowsAdded: 1, rowsChanged: 1 }] });
  });

  test('that is replaced keeps its key, so that what hangs on it stays', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    await place(record('A', [90]));
    expect(await decide(caseKey, 'replace')).toMatchObject([{ caseKey, decision: 'replace' }]);
    expect(await valuesOf('A')).toEqual([90]);
    expect(store.list().map((line) => line.caseKey)).toEqual([caseKey]);
  });

  test('whose clock a person has set is the same when the export is, and keeps the clock when it is replaced', async () => {
    const texts = (rate: string): Record<string, string> => ({ 'c/oximeter.csv': `Time,SpO2\n${stamps((i) => String(95 + (i % 3)))}`, 'c/keeper.csv': `Time,HR\n${stamps((i) => String(60 + (i % 7)))}\n2031-03-04 09:00:00,${rate}` });
    const [given] = (await importTexts(texts('61'))).cases;
    const keeper = given!.sources.findIndex(({ name }) => name === 'keeper.csv');
    const set = setClockOffset(given!, keeper, -95_000, null);
    const { caseKey } = await store.save(set.ok ? set.value : given!, null);
    expect(await place(given!)).toMatchObject({ kind: 'unchanged' });

    const [updated] = (await importTexts(texts('99'))).cases;
    expect(await place(updated!)).toMatchObject({ kind: 'held', changed: { rows: { added: 0, removed: 0, changed: 1 } } });
    expect((await conflicts.compare(caseKey)).clocksKept).toEqual([{ source: 'keeper.csv', offsetMs: -95_000 }]);
    await decide(caseKey, 'replace');
    const decoded = decodeCase(await store.readBytes(caseKey));
    expect(decoded.ok && decoded.value.record.sources[keeper]).toMatchObject({ clockOffsetMs: -95_000, sha256: updated!.sources[keeper]!.sha256 });
  });

  test('is kept beside the new one under another name', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    await place(record('A', [90]));
    await decide(caseKey, 'keep both', 'A, second export');
    expect([await valuesOf('A'), await valuesOf('A, second export')]).toEqual([[98, 97], [90]]);
    const line = store.list().find((one) => one.caseId === 'A, second export');
    const decoded = decodeCase(await store.readBytes(line!.caseKey));
    expect(decoded.ok && [decoded.value.record.caseId, decoded.value.analysis?.caseId]).toEqual(['A, second export', 'A, second export']);
  });

  test('can be decided otherwise as long as the import is open; nothing of the earlier decision stays', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    await place(record('A', [90]));
    await decide(caseKey, 'replace');
    await decide(caseKey, 'keep both', 'B');
    expect([await valuesOf('A'), await valuesOf('B')]).toEqual([[98, 97], [90]]);
    await decide(caseKey, 'keep both', 'B'); // its own name is free for it
    await decide(caseKey, 'keep old');
    expect([await valuesOf('A'), await valuesOf('B')]).toEqual([[98, 97], null]);
    await decide(caseKey, 'replace');
    expect(await valuesOf('A')).toEqual([90]);
    expect(await conflicts.compare(caseKey)).toMatchObject({ channels: [{ rowsBefore: 2, rowsAfter: 1 }] });
  });

  test('is asked about anew when the import is read again, against what was there before it', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    await place(record('A', [90]));
    await decide(caseKey, 'replace');
    conflicts.begin();
    expect(await place(record('A', [91]))).toMatchObject({ kind: 'held', changed: { decision: null } });
    expect(await valuesOf('A')).toEqual([98, 97]);
    conflicts.begin();
    expect(await place(record('A', [98, 97]))).toMatchObject({ kind: 'unchanged' });
  });

  test.runIf(kind === 'a folder')('whose stored copy is damaged is replaced without a question: there is nothing to keep', async () => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    const { writeFile } = await import('node:fs/promises');
    await writeFile(join(folder, 'library', 'cases', `${caseKey}.case`), 'rubbish');
    await store.refresh(caseKey);
    expect(await place(record('A', [90]))).toMatchObject({ kind: 'new', replaced: [caseKey] });
    expect(await valuesOf('A')).toEqual([90]);
  });
});

describe('a decision is refused whole', () => {
  test.each([
    ['that names no new name', 'keep both', null, 'name-missing'],
    ['with a name that another case has', 'keep both', 'B', 'name-taken'],
    ['with the name of the case itself', 'keep both', 'A', 'name-taken'],
  ] as const)('%s', async (_name, decision, storeAs, code) => {
    const { caseKey } = await store.save(record('A', [98, 97]), null);
    await store.save(record('B', [1]), null);
    await place(record('A', [90]));
    await expect(decide(caseKey, decision, storeAs)).rejects.toMatchObject({ code });
    expect([await valuesOf('A'), await valuesOf('B')]).toEqual([[98, 97], [1]]);
  });

  test('about a case that does not wait', async () => {
    await expect(decide('0'.repeat(32), 'replace')).rejects.toMatchObject({ code: 'no-such-change' });
  });
});

describe('the same files under another name', () => {
  test('are no new case, also when only some of the files of the stored one come', async () => {
    const sources = [buildCaseRecord().sources[0]!, { name: 'drugs.csv', sha256: 'cd'.repeat(32), byteLength: 9, kind: 'administrations' as const, clockOffsetMs: 0 }];
    const drugs = buildCaseRecord().drugs.map((drug) => ({ ...drug, source: { sourceIndex: 1, line: 2 } }));
    const { caseKey } = await store.save(record('K1', [98, 97], { sources, drugs }), null);
    expect(await place(record('trends', [98, 97], { drugs: [] }))).toMatchObject({ kind: 'unchanged', unchanged: { caseId: 'trends', heldBy: { caseKey, caseId: 'K1' } } });
    expect(await place(record('K1', [98, 97], { drugs: [] }))).toMatchObject({ kind: 'unchanged' });
    expect(store.list()).toHaveLength(1);
  });

  test('read otherwise are a case of their own', async () => {
    await store.save(record('K1', [98, 97]), null);
    expect(await place(record('trends', [98]))).toMatchObject({ kind: 'new' });
  });
});
});
