import { describe, expect, it } from 'vitest';
import { createNewest, delay } from '../../../../renderer/state/newest.ts';

function deferred<T>(): { promise: Promise<T>; resolve: (value: T) => void; reject: (error: Error) => void } {
  let resolve!: (value: T) => void;
  let reject!: (error: Error) => void;
  const promise = new Promise<T>((yes, no) => {
    resolve = yes;
    reject = no;
  });
  return { promise, resolve, reject };
}

describe('createNewest', () => {
  it('drops the answer of overtaken work, whichever order the answers come in', async () => {
    const newest = createNewest();
    const first = deferred<string>();
    const second = deferred<string>();
    const a = newest.run(() => first.promise);
    const b = newest.run(() => second.promise);
    second.resolve('new');
    first.resolve('old');
    expect([await a, await b]).toEqual([null, { value: 'new' }]);
  });
  it('drops the error of overtaken work and passes on that of the latest', async () => {
    const newest = createNewest();
    const first = deferred<string>();
    const a = newest.run(() => first.promise);
    const b = newest.run(() => Promise.reject(new Error('broken')));
    first.reject(new Error('old trouble'));
    expect(await a).toBeNull();
    await expect(b).rejects.toThrow('broken');
  });
  it('tells overtaken work to stop', async () => {
    const newest = createNewest();
    let wasAborted = false;
    const a = newest.run((signal) => new Promise<void>((resolve) => signal.addEventListener('abort', () => {
      wasAborted = true;
      resolve();
    })));
    await newest.run(() => Promise.resolve());
    await a;
    expect(wasAborted).toBe(true);
  });
  it('answers nothing after a cancel', async () => {
    const newest = createNewest();
    const first = deferred<number>();
    const a = newest.run(() => first.promise);
    newest.cancel();
    first.resolve(1);
    expect(await a).toBeNull();
  });
});

describe('delay', () => {
  it('ends at once when aborted, also when it already was', async () => {
    const controller = new AbortController();
    const waiting = delay(60_000, controller.signal);
    controller.abort();
    await waiting;
    await delay(60_000, controller.signal);
    expect(controller.signal.aborted).toBe(true);
  });
});
