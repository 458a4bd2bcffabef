import { rm } from 'node:fs/promises';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Channel } from '../../core/model/channel.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { openFolderStore } from '../../electron/host/folder-case-store.ts';
import { createReviews } from '../../electron/host/reviews.ts';
import { caseOf } from '../builders/case-record.ts';
import { channelOf, regularChannel, type ChannelSpec } from '../builders/channel.ts';
import { buildStandInPool } from '../builders/stand-in-pool.ts';

/*
 * Run in a process of its own:
 *   node queue.bench.js ROOT FOLDER CASES
 * The first queue over a folder library, the second one, and the first one after another start, over cases of six hours, recorded every second in eight channels, with
 * 20 dropouts each; prints one JSON line: seconds of the clock and of the processor.
 * On a busy machine compare those of the processor.
 */
const [, folder, casesText] = process.argv.slice(2);
if (folder === undefined || casesText === undefined) throw new Error('usage: ROOT FOLDER CASES');
const count = Number(casesText);
const VERSION = 'bench';
const SECONDS = 6 * 3600;
const DROPOUTS = 20;

const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, Array.from({ length: SECONDS }, (_, s) => (s % 1000 >= 100 && s % 1000 < 140 && s < DROPOUTS * 1000 ? null : 95 + (s % 5))));
const others = (['pulse-rate', 'perfusion-index', 'heart-rate', 'etco2', 'art-mean', 'temp'] as const).map((quantity, i): Channel => {
  const spec: ChannelSpec = { quantity, site: 'finger' };
  return channelOf(spec, { ...spo2, value: Float64Array.from(spo2.value, (_, s) => 50 + i + (s % 7)) });
});
const record = caseOf({ channels: [spo2, ...others] });
const analysis = analyzeCase(record, DEFAULT_PARAMETERS, VERSION);
const bytes = encodeCase(record, analysis).length;

const made = await openFolderStore(folder);
for (let i = 0; i < count; i += 1) await made.save({ ...record, caseId: `case ${i}` }, { ...analysis, caseId: `case ${i}` });
await made.close();

interface Spent {
  readonly seconds: number;
  readonly cpuSeconds: number;
  readonly dropouts: number;
}

/** Opens the library as a start does, and asks for a queue twice. */
async function start(): Promise<Spent[]> {
  const store = await openFolderStore(folder ?? '');
  const { calls } = createReviews({ store, pool: buildStandInPool(), casesAtOnce: 2, closing: new AbortController().signal, tell: () => undefined, now: () => new Date(), productVersion: VERSION });
  const spent: Spent[] = [];
  for (const jobId of ['0'.repeat(32), '1'.repeat(32)]) {
    const began = performance.now();
    const cpuBefore = process.cpuUsage();
    const { queue } = await calls.reviewQueue({ jobId, caseKeys: null, order: { kind: 'worst first' }, by: 'Ada' });
    const { user, system } = process.cpuUsage(cpuBefore);
    spent.push({ seconds: Math.round(performance.now() - began) / 1000, cpuSeconds: Math.round((user + system) / 1000) / 1000, dropouts: queue.length });
  }
  await store.close();
  return spent;
}

const [first, again] = await start();
const [afterAnotherStart] = await start();
await rm(folder, { recursive: true, force: true });
console.log(JSON.stringify({ cases: count, bytes, first, again, afterAnotherStart }));
