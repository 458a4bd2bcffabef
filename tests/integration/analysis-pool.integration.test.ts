import { afterEach, describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { FileReport } from '../../core/model/import-report.ts';
import type { ImportProgress } from '../../core/readers/reader.ts';
import type { InputFile } from '../../core/worker/analysis-service.ts';
import type { AnalysisPool, AnalysisPoolOptions } from '../../electron/host/analysis-pool.ts';
import { createAnalysisPool } from '../../electron/host/analysis-pool.ts';
import type { WorkerFailure } from '../../electron/host/worker-supervisor.ts';
import { buildCaseRecord } from '../builders/stored-case.ts';

const SCRIPTED = new URL('../fixtures/workers/scripted.worker.mjs', import.meta.url);
const OPTIONS = { zone: null, mapping: null, keepIdentifiers: false, pseudonymKey: '00112233445566778899aabbccddeeff' };
const pools: AnalysisPool[] = [];

function poolOf(size: number, over: Partial<AnalysisPoolOptions> = {}): AnalysisPool {
  const pool = createAnalysisPool({ size, workerUrl: SCRIPTED, productVersion: '1', ...over });
  pools.push(pool);
  return pool;
}
afterEach(async () => {
  await Promise.all(pools.splice(0).map((pool) => pool.dispose()));
});

const inputs = (...names: string[]): InputFile[] => names.map((name, i) => ({ path: `/nowhere/${name}`, relativePath: name, folderName: 'nowhere', byteLength: 100 * (i + 1) }));
const record = (caseId: string): ReturnType<typeof buildCaseRecord> => buildCaseRecord({ caseId });
/** Reads and reports, as an import does, without a shelf: the scripted worker puts nothing away. */
async function reportsOf(pool: AnalysisPool, files: readonly InputFile[], hooks?: Parameters<AnalysisPool['readFiles']>[3]): Promise<readonly FileReport[]> {
  const shelves = { pathOf: (place: number) => `/nowhere/${place}.shelf`, known: () => null, keep: () => Promise.resolve() };
  const read = await pool.readFiles(files, OPTIONS, shelves, hooks);
  return await pool.completeReports(read, [], hooks);
}
/** Which thread answered: the scripted worker says so in its result. */
const threadOf = async (pool: AnalysisPool, caseId = 'a'): Promise<number> => ((await pool.analyze(record(caseId), DEFAULT_PARAMETERS)) as unknown as { threadId: number }).threadId;

describe('importing over several workers', () => {
  it.each([1, 2, 5])('reports files in the order given, whatever worker finished first (%i workers)', async (size) => {
    const outcome = await reportsOf(poolOf(size), inputs('slow1', 'b', 'slow2', 'c', 'a'));
    expect(outcome.map((file) => [file.file, file.rows_read])).toEqual([['slow1', 100], ['b', 200], ['slow2', 300], ['c', 400], ['a', 500]]);
  });

  it('gives a file whose worker died a failure, and reads the rest', async () => {
    const lost: WorkerFailure[] = [];
    const outcome = await reportsOf(poolOf(2, { onWorkerLost: (failure) => lost.push(failure) }), inputs('a', 'exits', 'b', 'exits too', 'c'));
    expect(outcome.map((file) => [file.file, file.failure?.message ?? null])).toEqual([
      ['a', null],
      ['exits', 'The analysis stopped unexpectedly (exit code 9).'],
      ['b', null],
      ['exits too', 'The analysis stopped unexpectedly (exit code 9).'],
      ['c', null],
    ]);
    expect(lost.map((failure) => failure.code)).toEqual(['worker-lost', 'worker-lost']);
  });

  it('gives an archive as many reports as it has parts, in its place among the others', async () => {
    const outcome = await reportsOf(poolOf(2), inputs('slow', 'two', 'gone', 'b'));
    expect(outcome.map((file) => file.file)).toEqual(['slow', 'two/1', 'two/2', 'gone', 'b']);
  });

  it('gives a file that the disk refused or a bug stopped a failure, and reads the rest', async () => {
    const outcome = await reportsOf(poolOf(1), inputs('gone', 'throws', 'b'));
    expect(outcome.map((file) => file.failure?.message ?? null)).toEqual(['The file is no longer there.', 'An error inside the program: a bug', null]);
    expect(outcome[0]?.failure?.remedy).toBe('Put it back.');
  });

  it('gives a file up that shows no sign of life', async () => {
    const outcome = await reportsOf(poolOf(2, { silenceMs: 3000 }), inputs('hangs', 'b'));
    expect(outcome[0]?.failure?.message).toContain('no sign of life');
    expect(outcome[1]?.failure).toBeNull();
  });

  it('counts bytes over all files, never backwards, up to the whole', async () => {
    const seen: ImportProgress[] = [];
    await reportsOf(poolOf(2), inputs('a', 'gone', 'slow', 'b'), { onProgress: (progress) => seen.push(progress) });
    const done = seen.map((progress) => progress.bytesDone);
    expect(done).toEqual([...done].sort((x, y) => x - y));
    expect(seen.at(-1)).toMatchObject({ stage: 'reading', bytesDone: 1000, bytesTotal: 1000 });
  });

  it('stops on abort with the signal’s reason, and goes on with the next import', async () => {
    const pool = poolOf(2);
    const abort = new AbortController();
    const call = reportsOf(pool, inputs('hangs', 'hangs too', 'waiting', 'waiting too'), {
      signal: abort.signal,
    });
    setImmediate(() => abort.abort(new Error('no longer wanted')));
    await expect(call).rejects.toThrow('no longer wanted');
    expect(await reportsOf(pool, inputs('a'))).toHaveLength(1);
  });

  it('can be aborted with hundreds of files waiting without a warning', async () => {
    const warnings: Error[] = [];
    const note = (warning: Error): number => warnings.push(warning);
    process.on('warning', note);
    const abort = new AbortController();
    const call = reportsOf(poolOf(2), inputs('hangs', ...Array.from({ length: 300 }, (_, i) => `waiting ${i}`)), { signal: abort.signal });
    setImmediate(() => abort.abort(new Error('stop')));
    await expect(call).rejects.toThrow('stop');
    await new Promise((resolve) => setImmediate(resolve));
    process.off('warning', note);
    expect(warnings).toEqual([]);
  });

  it('imports nothing from nothing', async () => {
    expect(await reportsOf(poolOf(1), [])).toEqual([]);
  });
});

describe('analysing in the pool', () => {
  it('leaves the record usable: it is copied', async () => {
    const one = record('a');
    await poolOf(1).analyze(one, DEFAULT_PARAMETERS);
    expect(one.channels[0]?.value.length).toBe(4);
  });

  it('keeps a worker for the next call', async () => {
    const pool = poolOf(3);
    expect(await threadOf(pool)).toBe(await threadOf(pool));
  });

  it('rejects when the worker dies in the middle of a call, and goes on with a new one', async () => {
    const pool = poolOf(1);
    const before = await threadOf(pool);
    const calls = [pool.analyze(record('exits'), DEFAULT_PARAMETERS), threadOf(pool, 'next')] as const;
    await expect(calls[0]).rejects.toMatchObject({ code: 'worker-lost', message: 'The analysis stopped unexpectedly (exit code 9).' });
    expect(await calls[1]).not.toBe(before);
  });

  it('withdraws a waiting call on abort and leaves the running one alone', async () => {
    const pool = poolOf(1);
    const first = reportsOf(pool, inputs('slow'));
    const abort = new AbortController();
    const second = pool.analyze(record('a'), DEFAULT_PARAMETERS, { signal: abort.signal });
    abort.abort(new Error('not this one'));
    await expect(second).rejects.toThrow('not this one');
    expect(await first).toHaveLength(1);
  });

  it('rejects everything pending and waiting when disposed, and every later call', async () => {
    const pool = poolOf(1);
    const calls = Promise.allSettled([pool.analyze(record('hangs'), DEFAULT_PARAMETERS), pool.analyze(record('a'), DEFAULT_PARAMETERS)]);
    await pool.dispose();
    for (const call of await calls) expect(call).toMatchObject({ status: 'rejected', reason: { code: 'closed' } });
    await expect(pool.analyze(record('a'), DEFAULT_PARAMETERS)).rejects.toMatchObject({ code: 'closed' });
  });
});
