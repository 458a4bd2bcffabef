import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import type { CaseStore } from '../../electron/host/case-store.ts';
import { LIBRARY_KINDS } from '../builders/library-kinds.ts';
import { ROOT } from '../repo/source-files.ts';

/** Moments at which the program is killed; the figures in docs/library.md are those of 500. */
const MOMENTS = Number(process.env['LACUNA_CRASH_MOMENTS'] ?? 5);

let folder = '';
let child = '';
beforeAll(async () => {
  // Below the project: the native part of the library is looked for from there.
  await mkdir(join(ROOT, 'dist'), { recursive: true });
  folder = await mkdtemp(join(ROOT, 'dist', 'crash-'));
  child = join(folder, 'write-library.mjs');
  const bundle = await rolldown({ input: join(ROOT, 'tests/integration/children/write-library.ts'), platform: 'node', external: ['libsql'], tsconfig: false });
  await bundle.write({ file: child, format: 'esm', codeSplitting: false });
  await bundle.close();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Acknowledged {
  readonly kind: 'case' | 'entry' | 'set' | 'pair';
  readonly caseId: string;
  readonly version: string;
  readonly importId: string;
  readonly rows: number;
  readonly name: string;
}

/** Lets the child write, kills it without warning some time after it began or was ready, and returns what was acknowledged. */
async function writeUntilKilled(file: string, round: number): Promise<Acknowledged[]> {
  const writing = spawn(process.execPath, [child, file, String(round)], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(writing, 'exit');
  const killAfter = (ms: number): void => void setTimeout(() => writing.kill('SIGKILL'), ms);
  // Every fifth is killed while it starts, opens or makes the library; the others while they write.
  if (round % 5 === 4) killAfter(60 + ((round * 41) % 300));
  const acknowledged: Acknowledged[] = [];
  for await (const line of createInterface({ input: writing.stdout })) {
    if (line !== 'ready') acknowledged.push(JSON.parse(line) as Acknowledged);
    // Every fifth from its first moment on, three of five after the first pair, so that there is something to lose on any machine.
    if (line === 'ready' ? round % 5 === 0 : acknowledged.length === 4 && [1, 2, 3].includes(round % 5)) killAfter(5 + ((round * 173) % 397));
  }
  await ended;
  return acknowledged;
}

async function versionOf(store: CaseStore, caseId: string): Promise<[round: number, number: number]> {
  const decoded = decodeCase(await store.readBytes(store.keyOf(caseId)));
  if (!decoded.ok) throw new Error(decoded.failure.message);
  const [round = NaN, number = NaN] = (decoded.value.record.attributes['version'] ?? '').split('-').map(Number);
  return [round, number];
}
const notBefore = ([round, number]: readonly [number, number], version: string): boolean => {
  const [wantedRound = NaN, wanted = NaN] = version.split('-').map(Number);
  return round > wantedRound || (round === wantedRound && number >= wanted);
};

test('an encrypted library whose program is killed at any moment opens, and holds everything that was acknowledged', { timeout: Math.max(120_000, MOMENTS * 10_000) }, async () => {
  const file = join(folder, 'x.lacuna');
  const everything: Acknowledged[] = [];
  for (let round = 0; round < MOMENTS; round += 1) {
    const acknowledged = await writeUntilKilled(file, round);
    everything.push(...acknowledged);
    const store = await LIBRARY_KINDS[1]!.open(file);
    try {
      expect(store.list().filter(({ problem }) => problem !== null)).toEqual([]);
      const ledger = new Set((await store.ledger.list()).map(({ importId }) => importId));
      const sets = new Set((await store.parameterSets.list()).map(({ name }) => name));
      for (const one of acknowledged) {
        if (one.kind === 'case') expect(notBefore(await versionOf(store, one.caseId), one.version)).toBe(true);
        else if (one.kind === 'set') expect(sets).toContain(one.name);
        else expect(ledger).toContain(one.importId);
        if (one.kind === 'entry') expect((await store.ledger.rejectedRows({ importId: one.importId, run: 1 }, { file: 'a.csv', reason: 'no time', from: 0, limit: 1 })).kept).toBe(one.rows);
      }
      // Both cases of a publication, or neither, and the entry with them.
      const lastPair = acknowledged.findLast(({ kind }) => kind === 'pair');
      if (lastPair !== undefined) expect(notBefore(await versionOf(store, 'left'), lastPair.version)).toBe(true);
      if (store.lineOf(store.keyOf('left')) !== null) {
        const [left, right] = [await versionOf(store, 'left'), await versionOf(store, 'right')];
        expect(left).toEqual(right);
        expect((await store.ledger.list()).some(({ names }) => names[0] === left.join('-'))).toBe(true);
      }
    } finally {
      await store.close();
    }
  }
  // What was acknowledged in all the rounds is still there at the end.
  const store = await LIBRARY_KINDS[1]!.open(file);
  const ledger = new Set((await store.ledger.list()).map(({ importId }) => importId));
  for (const { kind, importId } of everything) if (kind === 'entry' || kind === 'pair') expect(ledger).toContain(importId);
  for (const { caseKey } of store.list()) expect(decodeCase(await store.readBytes(caseKey)).ok).toBe(true);
  await store.close();
  expect(everything.filter(({ kind }) => kind === 'pair').length).toBeGreaterThanOrEqual(3 * Math.floor(MOMENTS / 5));
  if (MOMENTS >= 100) process.stdout.write(`${MOMENTS} kills, ${everything.length} acknowledged changes, 0 lost\n`);
});
