import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { ROOT } from '../repo/source-files.ts';

let folder = '';
let child = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-crash-'));
  child = join(folder, 'save-cases.mjs');
  const bundle = await rolldown({ input: join(ROOT, 'tests/integration/children/save-cases.ts'), platform: 'node', tsconfig: false });
  await bundle.write({ file: child, format: 'esm', codeSplitting: false });
  await bundle.close();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Lets the child save for a while, kills it without warning, and returns what the store had acknowledged. */
async function saveUntilKilled(library: string, round: number, afterMs: number): Promise<Map<string, string>> {
  const saving = spawn(process.execPath, [child, library, String(round)], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(saving, 'exit');
  const acknowledged = new Map<string, string>();
  for await (const line of createInterface({ input: saving.stdout })) {
    if (line === 'ready') setTimeout(() => saving.kill('SIGKILL'), afterMs);
    else {
      const { caseId, version } = JSON.parse(line) as { caseId: string; version: string };
      acknowledged.set(caseId, version);
    }
  }
  await ended; // until then the dead program still counts as running
  return acknowledged;
}

test('a program that is killed while it saves loses no case that was acknowledged, and leaves no rubbish', async () => {
  const library = join(folder, 'library');
  let nAcknowledged = 0;
  for (let round = 0; round < 8; round += 1) {
    const acknowledged = await saveUntilKilled(library, round, 40 + 37 * round);
    nAcknowledged += acknowledged.size;
    // The dead program's lock is taken over.
    const store = await openFolderStore(library);
    const lines = store.list();
    expect(lines.filter((line) => line.problem !== null)).toEqual([]);
    for (const [caseId, version] of acknowledged) {
      const line = lines.find((one) => one.caseId === caseId);
      const decoded = decodeCase(await store.readBytes(line?.caseKey ?? ''));
      if (!decoded.ok) throw new Error(decoded.failure.message);
      const stored = decoded.value.record.attributes['version'] ?? '';
      // What was acknowledged is there, or what was saved after it and not acknowledged any more.
      const [storedRound, storedNumber] = stored.split('-').map(Number);
      expect(storedRound, caseId).toBe(round);
      expect(storedNumber, caseId).toBeGreaterThanOrEqual(Number(version.split('-')[1]));
    }
    expect((await readdir(library, { recursive: true })).filter((name) => name.endsWith('.unfinished'))).toEqual([]);
    await store.close();
  }
  expect(nAcknowledged).toBeGreaterThan(20);
});
