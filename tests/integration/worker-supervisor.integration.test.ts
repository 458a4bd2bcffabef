import { afterEach, describe, expect, it } from 'vitest';
import type { SupervisedWorker } from '../../electron/host/worker-supervisor.ts';
import { WorkerFailure, startWorker } from '../../electron/host/worker-supervisor.ts';
import type { WorkerMessage } from '../../core/worker/analysis-service.ts';

interface Faulty {
  version(): Promise<string>;
  double(x: number): Promise<number>;
  fail(): Promise<never>;
  hang(): Promise<never>;
  spin(): Promise<never>;
  exit(code: number): Promise<never>;
  crash(): Promise<never>;
  tick(everyMs: number, times: number): Promise<number>;
}

const FAULTY = new URL('../fixtures/workers/faulty.worker.mjs', import.meta.url);
const started: SupervisedWorker<Faulty>[] = [];

function start(url = FAULTY): SupervisedWorker<Faulty> {
  const worker = startWorker<Faulty>(url, '1.2.3');
  started.push(worker);
  return worker;
}
afterEach(async () => {
  await Promise.all(started.splice(0).map((worker) => worker.end()));
});

const patient = { silenceMs: 30_000 };

async function failureOf(promise: Promise<unknown>): Promise<WorkerFailure> {
  const reason: unknown = await promise.then(() => 'resolved', (error: unknown) => error);
  expect(reason).toBeInstanceOf(WorkerFailure);
  return reason as WorkerFailure;
}

describe('a supervised worker', () => {
  it('answers one call after the other and knows the product version', async () => {
    const worker = start();
    expect(await worker.call((service) => service.double(4), patient)).toBe(8);
    expect(await worker.call((service) => service.version(), patient)).toBe('1.2.3');
  });

  it('rejects the pending call when the worker exits by itself', async () => {
    const worker = start();
    const failure = await failureOf(worker.call((service) => service.exit(5), patient));
    expect(failure).toMatchObject({ code: 'worker-lost', message: 'The analysis stopped unexpectedly (exit code 5).' });
    expect(failure.remedy).not.toBe('');
    expect(worker.isAlive).toBe(false);
  });

  it('rejects every later call of a lost worker', async () => {
    const worker = start();
    await failureOf(worker.call((service) => service.exit(5), patient));
    expect((await failureOf(worker.call((service) => service.double(1), patient))).code).toBe('worker-lost');
  });

  it('rejects the pending call when something beside it throws', async () => {
    const worker = start();
    const failure = await failureOf(worker.call((service) => service.crash(), patient));
    expect(failure.code).toBe('worker-lost');
    expect(failure.message).toContain('crashed beside the call');
  });

  it('reports a thrown exception as a bug and keeps the worker', async () => {
    const worker = start();
    const failure = await failureOf(worker.call((service) => service.fail(), patient));
    expect(failure).toMatchObject({ code: 'worker-bug', message: 'An error inside the program: in no state' });
    expect(await worker.call((service) => service.double(1), patient)).toBe(2);
  });

  it('rejects the first call when the script is not there', async () => {
    const worker = start(new URL('../fixtures/workers/not-there.mjs', import.meta.url));
    expect((await failureOf(worker.call((service) => service.double(1), patient))).code).toBe('worker-lost');
  });

  it('ends a worker that shows no sign of life in time', async () => {
    const worker = start();
    const failure = await failureOf(worker.call((service) => service.spin(), { silenceMs: 150 }));
    expect(failure.code).toBe('worker-silent');
    expect(worker.isAlive).toBe(false);
  });

  it('counts silence from the last sign of life, not from the call', async () => {
    const worker = start();
    await worker.call((service) => service.double(1), patient); // started by now
    const seen: number[] = [];
    const options = { silenceMs: 600, onMessage: (message: WorkerMessage) => message.kind === 'bytes-read' && seen.push(message.bytesDone) };
    expect(await worker.call((service) => service.tick(100, 9), options)).toBe(9);
    expect(seen).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  it('rejects with the signal’s reason on abort, even when the worker is busy, and ends it', async () => {
    const worker = start();
    const abort = new AbortController();
    const call = worker.call((service) => service.spin(), { ...patient, signal: abort.signal });
    abort.abort(new Error('no longer wanted'));
    await expect(call).rejects.toThrow('no longer wanted');
    expect(worker.isAlive).toBe(false);
  });

  it('does not begin when aborted before', async () => {
    const worker = start();
    await expect(worker.call((service) => service.double(1), { ...patient, signal: AbortSignal.abort(new Error('never')) })).rejects.toThrow('never');
    expect(await worker.call((service) => service.double(1), patient)).toBe(2);
  });

  it('rejects the pending call when ended', async () => {
    const worker = start();
    const failure = failureOf(worker.call((service) => service.hang(), patient));
    await worker.end();
    expect((await failure).code).toBe('closed');
  });
});
