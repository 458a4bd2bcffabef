import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { rolldown } from 'rolldown';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SealedEntry } from '../../core/model/review.ts';
import { decodeCase } from '../../core/persist/case-bytes.ts';
import { LIBRARY_KINDS } from '../builders/library-kinds.ts';
import { ROOT } from '../repo/source-files.ts';

/** Moments at which the host is killed, over both kinds of library; the figures in docs/library.md are those of 500. */
const MOMENTS = Number(process.env['LACUNA_CRASH_MOMENTS'] ?? 6);

let folder = '';
let child = '';
beforeAll(async () => {
  // Below the project: the native part of the library is looked for from there.
  await mkdir(join(ROOT, 'dist'), { recursive: true });
  folder = await mkdtemp(join(ROOT, 'dist', 'crash-'));
  child = join(folder, 'review-and-import.mjs');
  const bundle = await rolldown({ input: join(ROOT, 'tests/integration/children/review-and-import.ts'), platform: 'node', external: ['libsql'], tsconfig: false });
  await bundle.write({ file: child, format: 'esm', codeSplitting: false });
  await bundle.close();
});
afterAll(() => rm(folder, { recursive: true, force: true }));

interface Acknowledged {
  readonly kind: 'verdict' | 'taken back' | 'flags' | 'case' | 'removed';
  readonly dropoutId: string;
  readonly note: string;
}

/** Lets the host work, kills it without warning at some moment after it began or was ready, and returns what it acknowledged. */
async function workUntilKilled(kind: number, path: string, round: number): Promise<Acknowledged[]> {
  const working = spawn(process.execPath, [child, String(kind), path, String(round), ROOT], { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = once(working, 'exit');
  const killAfter = (ms: number): void => void setTimeout(() => working.kill('SIGKILL'), ms);
  // Every sixth is killed while it starts and opens the library, every sixth from its first moment on, the others once there is something to lose.
  const [isAtStart, isAtOnce] = [round % 6 === 5, round % 6 === 4];
  if (isAtStart) killAfter(60 + ((round * 41) % 400));
  const acknowledged: Acknowledged[] = [];
  for await (const line of createInterface({ input: working.stdout })) {
    if (line !== 'ready') acknowledged.push(JSON.parse(line) as Acknowledged);
    if (line === 'ready' ? isAtOnce : acknowledged.length === 3 && !isAtStart && !isAtOnce) killAfter(5 + ((round * 173) % 797));
  }
  await ended;
  return acknowledged;
}

const noteOf = ({ entry }: SealedEntry): string => (entry.kind === 'verdict' ? entry.judgement.note : entry.kind === 'flags' ? entry.note : '');

test.each(LIBRARY_KINDS.map(({ kind }, place) => ({ kind, place })))('the host over $kind is killed at any moment of imports and reviews: every acknowledged verdict is there, in a trail without a fault', { timeout: Math.max(180_000, MOMENTS * 15_000) }, async ({ place }) => {
  const path = join(folder, place === 0 ? 'library' : 'library.lacuna');
  const everything: Acknowledged[] = [];
  let entriesBefore = 0;
  for (let round = 0; round < MOMENTS / 2; round += 1) {
    const acknowledged = await workUntilKilled(place, path, round);
    everything.push(...acknowledged);
    const store = await LIBRARY_KINDS[place]!.open(path);
    try {
      expect(store.list().filter(({ problem }) => problem !== null)).toEqual([]);
      const checked = await store.reviews.check(null);
      expect(checked.problems).toEqual([]);
      expect(checked.entries).toBeGreaterThanOrEqual(entriesBefore);
      entriesBefore = checked.entries;
      const reviewed = store.list().find(({ caseId }) => caseId === 'reviewed');
      if (reviewed === undefined) {
        expect(everything).toEqual([]);
        continue;
      }
      const entries = await store.reviews.ofCase(reviewed.caseKey);
      const verdicts = new Map(entries.flatMap((sealed) => (sealed.entry.kind === 'verdict' ? [[noteOf(sealed), sealed.entry] as const] : [])));
      const flags = new Set(entries.filter(({ entry }) => entry.kind === 'flags').map(noteOf));
      const takenBack = new Set(entries.flatMap(({ entry }) => (entry.kind === 'taken back' ? [entry.supersedes] : [])));
      // Not of this round alone: what was acknowledged in any round before is still there.
      for (const one of everything) {
        if (one.kind === 'verdict') expect(verdicts.get(one.note)?.anchor.dropoutId, one.note).toBe(one.dropoutId);
        if (one.kind === 'taken back') expect(takenBack, one.note).toContain(verdicts.get(one.note)?.entryId);
        if (one.kind === 'flags') expect(flags).toContain(one.note);
      }
      const removed = new Set(everything.filter(({ kind }) => kind === 'removed').map(({ dropoutId }) => dropoutId));
      const keys = new Set(store.list().map(({ caseKey }) => caseKey));
      for (const one of acknowledged) if (one.kind === 'case' && !removed.has(one.dropoutId)) {
        // It may be on its way out: then the trail says so.
        const isGoing = (await store.reviews.ofCase(one.dropoutId)).some(({ entry }) => entry.kind === 'act' && entry.act === 'case removed');
        expect(keys.has(one.dropoutId) || isGoing, one.note).toBe(true);
      }
      for (const key of removed) expect(keys).not.toContain(key);
      for (const { caseKey } of store.list()) expect(decodeCase(await store.readBytes(caseKey)).ok).toBe(true);
      // So that a long run stays as fast as a short one.
      for (const { caseKey, caseId } of store.list()) if (caseId !== 'reviewed') await store.remove(caseKey);
    } finally {
      await store.close();
    }
  }
  expect(everything.filter(({ kind }) => kind === 'verdict').length).toBeGreaterThan(MOMENTS / 2);
  if (MOMENTS >= 100) process.stdout.write(`${Math.ceil(MOMENTS / 2)} kills over ${LIBRARY_KINDS[place]!.kind}: ${everything.filter(({ kind }) => kind === 'verdict').length} verdicts and ${everything.length} changes in all acknowledged, 0 lost\n`);
});
