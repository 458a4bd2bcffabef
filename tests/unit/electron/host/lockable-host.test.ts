import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { HOST_METHODS } from '../../../../core/protocol/host-api-schema.ts';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import { answerCall } from '../../../../electron/host/call-gate.ts';
import { createHost, type Host } from '../../../../electron/host/host.ts';
import { createLockableHost } from '../../../../electron/host/lockable-host.ts';
import { createLibraryFile, openLibraryFile } from '../../../../electron/store/library-file.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';
import { bodyOf, buildStandInPool, deferred } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord } from '../../../builders/stored-case.ts';

let folder = '';
let file = '';
let host: Host;
let holdUp: Promise<void> | null = null;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-lockable-'));
  file = join(folder, 'x.lacuna');
  await (await createLibraryFile(file, PASSPHRASE, CHEAP)).close();
  holdUp = null;
  const pool = () => buildStandInPool({ read: async () => { await holdUp; return [buildCaseRecord({ caseId: 'A' })]; } });
  host = createLockableHost({
    productVersion: '1', door: 'browser', libraryName: 'x', lockAfterMinutes: 10,
    open: async (passphrase) => createHost({ store: await openLibraryFile(file, passphrase, CHEAP), productVersion: '1', door: 'browser', casesAtOnce: 1, samplesFolder: folder, startPool: pool }),
  });
});
afterEach(async () => {
  await host.close();
  await rm(folder, { recursive: true, force: true });
});
const ask = async (method: string, args: unknown = null) => await answerCall(host, method, args, () => undefined);

test('a locked library answers nothing but what it is called, and opens only with its passphrase', async () => {
  for (const method of Object.keys(HOST_METHODS)) {
    if (['describe', 'unlockLibrary', 'lockLibrary'].includes(method)) continue;
    await expect((host[method as 'listCases'] as (args: unknown) => Promise<unknown>)({})).rejects.toMatchObject({ code: 'library-locked' });
  }
  await expect(host.openCase('a'.repeat(32))).rejects.toMatchObject({ code: 'library-locked' });
  expect(await ask('describe')).toEqual({ ok: true, value: { productVersion: '1', door: 'browser', libraryName: 'x', lock: { isLocked: true, afterMinutes: 10 } } });
  expect(await ask('unlockLibrary', { passphrase: 'not this one, no' })).toMatchObject({ ok: false, failure: { code: 'passphrase-wrong' } });
  expect(await ask('unlockLibrary', { passphrase: PASSPHRASE })).toEqual({ ok: true, value: { unlocked: true } });
  expect(await ask('listCases')).toEqual({ ok: true, value: [] });
});

test('locking closes the library, tells the page, and is refused while something is being written', async () => {
  const events: HostEvent['kind'][] = [];
  host.onEvent(({ kind }) => events.push(kind));
  await host.unlockLibrary({ passphrase: PASSPHRASE });
  const reading = deferred<void>();
  holdUp = reading.promise;
  const { importId } = await host.beginImport();
  await host.stageFile(importId, 'A/a.csv', bodyOf('x'));
  const run = host.runImport({ importId, overrules: [], zone: null, mapping: null });
  await expect(host.lockLibrary()).rejects.toBeInstanceOf(FailureError);
  reading.resolve();
  await run;
  expect(await host.lockLibrary()).toEqual({ locked: true });
  expect(events.at(-1)).toBe('library-locked');
  await expect(host.listCases()).rejects.toMatchObject({ code: 'library-locked' });
  // Closed: another program could open it now.
  await (await openLibraryFile(file, PASSPHRASE, CHEAP)).close();
  await host.unlockLibrary({ passphrase: PASSPHRASE });
  expect((await host.listCases()).map(({ caseId }) => caseId)).toEqual(['A']);
});
