import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { ROOT } from '../repo/source-files.ts';

let folder = '';
let child = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-ledger-crash-'));
  child = join(folder, 'append-entries.mjs');
  const bundle = await rolldown({ input: join(ROOT, 'tests/integration/children/append-entries.ts'), platform: 'node', tsconfig: false });
  await bundle.write({ file: child, format: 'esm', codeSplitting: false });
  await bundle.close();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Lets the child write entries for a while, kills it without warning, and returns what the ledger had acknowledged. */
async function appendUntilKilled(library: string, round: number, afterMs: number): Promise<{ importId: string; rows: number }[]> {
  const writing = spawn(process.execPath, [child, library, String(round)], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(writing, 'exit');
  const acknowledged: { importId: string; rows: number }[] = [];
  for await (const line of createInterface({ input: writing.stdout })) {
    if (line === 'ready') setTimeout(() => writing.kill('SIGKILL'), afterMs);
    else acknowledged.push(JSON.parse(line) as { importId: string; rows: number });
  }
  await ended; // until then the dead program still counts as running
  return acknowledged;
}

test('a program that is killed while it writes the ledger loses no entry that was acknowledged, and leaves no half one', async () => {
  const library = join(folder, 'library');
  const all = new Map<string, number>();
  for (let round = 0; round < 6; round += 1) {
    for (const { importId, rows } of await appendUntilKilled(library, round, 60 + 41 * round)) all.set(importId, rows);
    const store = await openFolderStore(library);
    const lines = await store.ledger.list();
    expect(lines.filter((line) => line.state === 'damaged')).toEqual([]);
    const known = new Map(lines.map((line) => [line.importId, line]));
    for (const [importId, rows] of all) {
      expect(known.get(importId)?.state, importId).toBe('complete');
      const { kept } = await store.ledger.rejectedRows({ importId, run: 1 }, { file: 'a.csv', reason: 'no time', from: 0, limit: 1 });
      expect(kept, importId).toBe(rows);
    }
    // What was being written when the program died is a reading that began, or nothing at all.
    for (const line of lines) if (!all.has(line.importId)) expect(['interrupted', 'complete']).toContain(line.state);
    expect((await readdir(library, { recursive: true })).filter((name) => name.endsWith('.unfinished'))).toEqual([]);
    await store.close();
  }
  expect(all.size).toBeGreaterThan(20);
}, 120_000);
