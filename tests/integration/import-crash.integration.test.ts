import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { writeManyCases } from '../bench/make-exports.ts';
import { ROOT } from '../repo/source-files.ts';

const CASES = 24;
let folder = '';
let child = '';
let exported = '';
let whole = new Map<string, string>();

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-import-crash-'));
  child = join(folder, 'import-export.mjs');
  const bundle = await rolldown({ input: join(ROOT, 'tests/integration/children/import-export.ts'), platform: 'node', tsconfig: false });
  await bundle.write({ file: child, format: 'esm', codeSplitting: false });
  await bundle.close();
  exported = join(folder, 'export.csv');
  await writeManyCases(exported, { cases: CASES, megabytes: 3, rooms: 4 });
  const library = join(folder, 'whole');
  expect(await importUntil(library, null)).toMatchObject({ isDone: true });
  whole = await contentOf(library);
}, 300_000);
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Attempt {
  readonly isDone: boolean;
  /** What the program found of an earlier attempt. */
  readonly found: { readonly filesRead: number; readonly cases: number | null; readonly casesDone: number } | null;
}

/** Runs the import, kills it without warning `afterMs` after it began (null: never), and returns how far it came. */
async function importUntil(library: string, afterMs: number | null): Promise<Attempt> {
  const running = spawn(process.execPath, [child, ROOT, library, exported], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(running, 'exit');
  let isDone = false;
  let found: Attempt['found'] = null;
  for await (const line of createInterface({ input: running.stdout })) {
    if (line === 'done') isDone = true;
    if (!line.startsWith('ready')) continue;
    if (line !== 'ready') found = JSON.parse(line.slice('ready '.length)) as Attempt['found'];
    if (afterMs !== null) setTimeout(() => running.kill('SIGKILL'), afterMs);
  }
  await ended; // until then the dead program still counts as running
  return { isDone, found };
}

/** Returns the digest of every case of a library by its name. Keys differ from library to library, contents must not. */
async function contentOf(library: string): Promise<Map<string, string>> {
  const store = await openFolderStore(library);
  const found = new Map<string, string>();
  for (const { caseId, caseKey, problem } of store.list()) {
    expect(problem).toBeNull();
    found.set(caseId, createHash('sha256').update(await store.readBytes(caseKey)).digest('hex'));
  }
  await store.close();
  return found;
}

/** Returns how every import of a library stands in its ledger. */
async function ledgerStates(library: string): Promise<string[]> {
  const store = await openFolderStore(library);
  const lines = await store.ledger.list();
  await store.close();
  return lines.map(({ state }) => state);
}

test('an import that is not interrupted stores every case', () => {
  expect(whole.size).toBe(CASES);
});

test('an import that is killed again and again stores nothing until its end, and then what it stores uninterrupted', async () => {
  const library = join(folder, 'killed');
  const found: Attempt['found'][] = [];
  let isDone = false;
  for (let round = 0; !isDone && round < 12; round += 1) {
    const attempt = await importUntil(library, 150 + 130 * round);
    if (attempt.found !== null) found.push(attempt.found);
    isDone = attempt.isDone;
    const now = await contentOf(library);
    expect([0, CASES], `after round ${round}`).toContain(now.size);
    expect(await ledgerStates(library), `after round ${round}`).toEqual([now.size === 0 ? 'interrupted' : 'complete']);
    if (now.size === CASES) break; // killed after the cases had come in, or done
  }
  await importUntil(library, null);
  expect(await contentOf(library)).toEqual(whole);
  // What was done is not done again: from one attempt to the next there are never fewer files read, nor fewer cases made.
  for (const [i, one] of found.entries()) {
    expect(one?.filesRead ?? 0).toBeGreaterThanOrEqual(found[i - 1]?.filesRead ?? 0);
    expect(one?.casesDone ?? 0).toBeGreaterThanOrEqual(found[i - 1]?.casesDone ?? 0);
  }
  expect((await readdir(join(library, 'incoming')))).toEqual([]);
}, 300_000);

test('an import that was killed can be thrown away: the library is as it was', async () => {
  const library = join(folder, 'discarded');
  await importUntil(library, 900);
  const store = await openFolderStore(library);
  for (const { importId } of await store.interruptedRuns()) expect(await store.endStaging(importId)).toBe(true);
  expect(await store.interruptedRuns()).toEqual([]);
  expect(await readdir(join(library, 'incoming'))).toEqual([]);
  expect([0, CASES]).toContain(store.list().length);
  await store.close();
}, 120_000);
