import { once } from 'node:events';
import { Worker } from 'node:worker_threads';
import { transfer, wrap } from 'comlink';
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';

/** What we rely on, and what we guard against, in Comlink 4.4.2 over worker_threads. Origin of the list: issues 385, 514, 594, 601, 655, 692 of that library. */
interface Faulty {
  double(x: number): Promise<number>;
  sum(array: Float64Array): Promise<number>;
  give(length: number): Promise<{ first: Float64Array; second: Float64Array }>;
  fail(): Promise<never>;
  hang(): Promise<never>;
  exit(code: number): Promise<never>;
}

let worker: Worker;
let service: Faulty;

beforeEach(() => {
  worker = new Worker(new URL('../fixtures/workers/faulty.worker.mjs', import.meta.url));
  service = wrap(nodeEndpoint(worker)) as unknown as Faulty;
});
afterEach(async () => {
  await worker.terminate();
});

/** Settles to 'pending' when the promise does not settle although the worker has long been gone. */
async function stateAfterTurns(promise: Promise<unknown>): Promise<string> {
  let state = 'pending';
  promise.then(
    () => (state = 'resolved'),
    () => (state = 'rejected'),
  );
  for (let turn = 0; turn < 20; turn += 1) await new Promise((resolve) => setImmediate(resolve));
  return state;
}

describe('Comlink over worker_threads', () => {
  it('answers calls', async () => {
    expect(await service.double(21)).toBe(42);
  });

  it('never settles a call whose worker exits: the supervisor has to', async () => {
    const call = service.exit(3);
    await once(worker, 'exit');
    expect(await stateAfterTurns(call)).toBe('pending');
  });

  it('never settles a call whose worker is terminated: the supervisor has to', async () => {
    await service.double(1);
    const call = service.hang();
    await worker.terminate();
    expect(await stateAfterTurns(call)).toBe('pending');
  });

  it('keeps name and message of an exception, and loses its class, own fields and cause', async () => {
    const error = await service.fail().catch((reason: unknown) => reason as Error & { detail?: unknown });
    expect(error).toBeInstanceOf(Error);
    expect(error).toMatchObject({ name: 'StateError', message: 'in no state' });
    expect((error as Error).constructor).toBe(Error);
    expect((error as Error).cause).toBeUndefined();
    expect((error as { detail?: unknown }).detail).toBeUndefined();
  });

  it('moves a listed buffer and empties the sender', async () => {
    const array = new Float64Array([1, 2, 3]);
    expect(await service.sum(transfer(array, [array.buffer]))).toBe(6);
    expect(array.length).toBe(0);
  });

  it('copies a buffer that is not listed', async () => {
    const array = new Float64Array([1, 2, 3]);
    expect(await service.sum(array)).toBe(6);
    expect(array.length).toBe(3);
  });

  it('refuses a buffer that is listed twice', async () => {
    const array = new Float64Array([1, 2, 3]);
    await expect(service.sum(transfer(array, [array.buffer, array.buffer]))).rejects.toThrow(/duplicate|clone/iu);
  });

  it('keeps two names of one array one array', async () => {
    const { first, second } = await service.give(4);
    expect(first.length).toBe(4);
    expect(second).toBe(first);
  });

  it('leaves plain messages without an id to others', async () => {
    worker.postMessage({ kind: 'nothing of yours' });
    expect(await service.double(2)).toBe(4);
  });
});
