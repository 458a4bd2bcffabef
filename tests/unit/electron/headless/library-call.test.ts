import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough } from 'node:stream';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { LibraryCall } from '../../../../electron/headless/library-call.ts';
import { NEW_PASSPHRASE_VARIABLE, runLibraryCall } from '../../../../electron/headless/library-call.ts';
import { openFolderStore } from '../../../../electron/host/folder-case-store.ts';
import { createHost } from '../../../../electron/host/host.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../../../../electron/store/ask-passphrase.ts';
import { openLibraryFile } from '../../../../electron/store/library-file.ts';
import { CHANGE_SAID, meetingAction } from '../../../builders/meeting-action.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';
import { buildStandInPool } from '../../../builders/stand-in-pool.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

let folder = '';
let file = '';
let said: string[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-call-'));
  file = join(folder, 'x.lacuna');
  said = [];
  vi.stubEnv(PASSPHRASE_VARIABLE, PASSPHRASE);
});
afterEach(async () => {
  vi.unstubAllEnvs();
  await rm(folder, { recursive: true, force: true });
});
async function run(call: LibraryCall): Promise<[code: number, text: string]> {
  said = [];
  const code = await runLibraryCall(call, (line) => said.push(line), {
    ...CHEAP,
    now: () => new Date(Date.UTC(2031, 0, 5)),
    hostOver: (store) => createHost({ store, productVersion: '1', now: () => new Date(Date.UTC(2031, 0, 5)), door: 'browser', samplesFolder: folder, casesAtOnce: 1, startPool: () => buildStandInPool({ read: async () => [] }) }),
  });
  return [code, said.join('\n')];
}

test('an encrypted library is made, moved into, checked, given another passphrase and restored, each said', async () => {
  const old = await openFolderStore(join(folder, 'old'));
  const { caseKey } = await old.save(buildCaseRecord({ caseId: 'A', channels: [buildChannel(Array.from({ length: 60_000 }, (_, i) => i % 100))] }), null);
  await old.close();
  expect(await run({ command: 'library', action: 'create', file: join(folder, 'x') })).toEqual([1, expect.stringContaining('ends in .lacuna')]);
  expect(await run({ command: 'library', action: 'move', folder: join(folder, 'mistyped'), file })).toEqual([1, expect.stringContaining('There is no library')]);
  expect((await readdir(folder)).sort()).toEqual(['old']); // neither an empty folder nor a library of nothing was made
  expect(await run({ command: 'library', action: 'move', folder: join(folder, 'old'), file })).toEqual([0, expect.stringMatching(/^1 cases.*held against the folder[^]*remove the folder yourself[^]*nobody can read/)]);
  expect(await run({ command: 'library', action: 'create', file })).toEqual([1, expect.stringContaining('already a library')]);
  expect(await run({ command: 'library', action: 'check', file })).toEqual([0, '1 of 1 cases are whole, and everything else in the library is.']);
  const [, listed] = await run({ command: 'library', action: 'backups', file });
  const backup = /\S+\.lacuna$/m.exec(listed)?.[0] ?? '';
  vi.stubEnv(NEW_PASSPHRASE_VARIABLE, 'a later passphrase');
  expect(await run({ command: 'library', action: 'passphrase', file })).toEqual([0, expect.stringContaining('is changed')]);
  expect(await run({ command: 'library', action: 'check', file })).toEqual([1, expect.stringMatching(/^This is not the passphrase.*cannot be replaced or reset by anyone/)]);
  // A piece of the case is damaged; the backup is whole, and has the passphrase of its day.
  vi.stubEnv(PASSPHRASE_VARIABLE, 'a later passphrase');
  const bytes = await readFile(file);
  bytes.fill(0, bytes.length - 40 * 4096, bytes.length - 36 * 4096);
  await writeFile(file, bytes);
  expect(await run({ command: 'library', action: 'check', file })).toEqual([1, expect.stringMatching(new RegExp(`^case ${caseKey}: .*damaged`))]);
  vi.stubEnv(PASSPHRASE_VARIABLE, PASSPHRASE);
  expect(await run({ command: 'library', action: 'restore', file, backup })).toEqual([0, expect.stringMatching(/1 cases\. It is the library now\.[^]*before-2031-01-05T00-00-00Z/)]);
  const store = await openLibraryFile(file, PASSPHRASE, CHEAP);
  expect(store.list().map(({ caseId }) => caseId)).toEqual(['A']);
  await store.close();
});

test('the definitions of a library of either kind go into a file and out of it into another', async () => {
  const from = await openFolderStore(join(folder, 'ward'));
  await from.save(buildCaseRecord({ caseId: 'SECRET' }), null);
  await from.mappings.save({ schema: 'lacuna-mapping/1', name: 'house', files: [] }, false);
  await from.close();
  const out = join(folder, 'shared.json');
  expect(await run({ command: 'library', action: 'share', library: join(folder, 'ward'), file: out })).toEqual([0, expect.stringMatching(/^1 mappings, 0 sets[^]*not in it: cases and their analyses \(records of patients\)/)]);
  expect(await readFile(out, 'utf8')).not.toContain('SECRET');
  expect(await run({ command: 'library', action: 'share', library: join(folder, 'ward'), file: out })).toEqual([1, expect.stringContaining('There is a file')]);
  expect(await run({ command: 'library', action: 'share', library: join(folder, 'none'), file: join(folder, 'y.json') })).toEqual([1, expect.stringContaining('There is no library')]);
  expect(await run({ command: 'library', action: 'create', file })).toMatchObject([0, expect.anything()]);
  expect(await run({ command: 'library', action: 'take', library: file, file: out })).toEqual([0, expect.stringMatching(/^mappings: 1 added, 0 already there, 0 left out/)]);
  const store = await openLibraryFile(file, PASSPHRASE, CHEAP);
  await store.mappings.save({ schema: 'lacuna-mapping/1', name: 'house', files: [{ match: {}, reading: {} }] }, true);
  await store.close();
  expect(await run({ command: 'library', action: 'take', library: file, file: out })).toEqual([0, expect.stringMatching(/1 left out\nleft out: house: /)]);
  expect(await run({ command: 'library', action: 'take', library: file, file: join(folder, 'ward', 'library.json') })).toEqual([1, expect.stringContaining('does not begin with')]);
  expect(await run({ command: 'library', action: 'take', library: file, file: join(folder, 'gone.json') })).toEqual([1, expect.stringContaining('could not be read (ENOENT)')]);
});

test('actions are written as a table or whole, measured again first where asked, and what is wrong is said before anything is written', async () => {
  const library = join(folder, 'ward');
  const store = await openFolderStore(library);
  for (const view of [meetingAction({ measure: null }), meetingAction({ actionId: '00000000000000a2', change: CHANGE_SAID })]) await store.actions.add(view);
  await store.close();
  const call = (over: Partial<Extract<LibraryCall, { action: 'actions' }>>): LibraryCall => ({ command: 'library', action: 'actions', library, out: join(folder, 'actions.csv'), measureAgain: false, only: undefined, today: '2031-04-12', by: undefined, ...over });
  expect(await run(call({ out: join(folder, 'actions.txt') }))).toEqual([1, expect.stringContaining('neither .csv nor .json')]);
  expect(await run(call({ library: join(folder, 'none') }))).toEqual([1, expect.stringContaining('There is no library')]);
  expect(await run(call({}))).toEqual([0, expect.stringMatching(/^2 actions \(1 open, 1 changed, not measured again\) written to/)]);
  expect((await readFile(join(folder, 'actions.csv'), 'utf8')).split('\r\n')[1]).toMatch(/^00000000000000a1,.*,open,12,/);
  expect(await run(call({}))).toEqual([1, expect.stringContaining('There is a file')]);
  // In January a change of March is too early: said, kept, and said again without being written again.
  const whole = { out: join(folder, 'actions.json'), measureAgain: true, only: '00000000000000A2', by: 'Reader One' };
  expect(await run(call(whole))).toEqual([0, expect.stringMatching(/^action 00000000: Too early: [^]*\n2 actions/)]);
  expect(JSON.parse(await readFile(whole.out, 'utf8'))).toMatchObject({ today: '2031-04-12', actions: [{ state: 'open' }, { state: 'change made', last: { standing: 'too early', measuredAt: '2031-01-05T00:00:00.000Z' } }] });
  await rm(whole.out);
  expect(await run(call({ ...whole, only: undefined }))).toEqual([0, expect.stringContaining('nothing was written.')]);
  await rm(whole.out);
  expect(await run(call({ ...whole, only: 'ffff' }))).toEqual([1, expect.stringContaining('no action whose name begins with ffff')]);
  // Without --today it is the day of this computer.
  expect(await run(call({ out: join(folder, 'now.csv'), today: undefined }))).toMatchObject([0, expect.anything()]);
  expect(await run(call({ out: join(folder, 'none', 'x.csv') }))).toEqual([1, expect.stringContaining('could not be written (ENOENT)')]);
  const again = await openFolderStore(library);
  expect((await again.reviews.list(null, 10)).entries.map(({ entry }) => [entry.by, entry.kind === 'act' && entry.act])).toEqual([['Reader One', 'action measured']]);
  await again.close();
});

describe('a passphrase', () => {
  const terminal = (...lines: string[]) => {
    const input = Object.assign(new PassThrough(), { isTTY: true, setRawMode: () => undefined });
    const output = new PassThrough();
    let shown = '';
    output.on('data', (chunk: Buffer) => {
      shown += chunk.toString();
      const line = shown.endsWith(': ') ? lines.shift() : undefined;
      if (line !== undefined) setImmediate(() => input.write(`${line}\r`));
    });
    return { source: { input, output, env: {} }, shown: () => shown };
  };

  test('is typed unseen, and twice when it is new', async () => {
    const one = terminal('secret words of mine');
    expect(await askPassphrase('Passphrase', 'X', { twice: false }, one.source)).toBe('secret words of mine');
    expect(one.shown()).toBe('Passphrase: \n');
    const two = terminal('secret words of mine', 'secret words of mien');
    await expect(askPassphrase('New', 'X', { twice: true }, two.source)).rejects.toMatchObject({ code: 'passphrase-differs' });
    expect(two.shown()).not.toContain('secret');
  });

  test('comes from the environment where nobody can be asked, or is missed', async () => {
    const { source } = terminal();
    expect(await askPassphrase('Passphrase', 'X', { twice: true }, { ...source, env: { X: 'from there' } })).toBe('from there');
    await expect(askPassphrase('Passphrase', 'X', { twice: false }, { ...source, input: new PassThrough() })).rejects.toMatchObject({ code: 'passphrase-missing', remedy: expect.stringContaining('environment variable X') as string });
  });
});
