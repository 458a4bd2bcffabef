import { describe, expect, test } from 'vitest';
import { createNamedJobs } from '../../../../electron/host/named-jobs.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const start = () => {
  const closing = new AbortController();
  return { closing, jobs: createNamedJobs({ closing: closing.signal, running: { code: 'wash-running', message: 'Running.' }, cancelled: 'The wash was cancelled.' }) };
};
const untilAborted = (signal: AbortSignal) => new Promise<never>((_, reject) => signal.addEventListener('abort', () => reject(new Error('from within'))));

describe('jobs by name', () => {
  test('give what the work gives, one of a name at a time and others beside it', async () => {
    const { jobs } = start();
    const gate = deferred<number>();
    const first = jobs.run('a', () => gate.promise);
    await expect(jobs.run('a', async () => 2)).rejects.toMatchObject({ code: 'wash-running', message: 'Running.' });
    expect(await jobs.run('b', async () => 3)).toBe(3);
    gate.resolve(1);
    expect(await first).toBe(1);
    expect(await jobs.run('a', async () => 4)).toBe(4);
  });

  test('are cancelled by their name only, and can be started again', async () => {
    const { jobs } = start();
    const gate = deferred<number>();
    const [cancelled, other] = [jobs.run('a', untilAborted), jobs.run('b', () => gate.promise)];
    const told = expect(cancelled).rejects.toMatchObject({ code: 'cancelled', message: 'The wash was cancelled.' });
    expect(jobs.cancel('a')).toBe(true);
    await told;
    gate.resolve(5);
    expect(await other).toBe(5);
    expect([jobs.cancel('a'), jobs.cancel('b')]).toEqual([false, false]);
    expect(await jobs.run('a', async () => 6)).toBe(6);
  });

  test('fail with the error of the work, and as cancelled when the program closes', async () => {
    const { jobs, closing } = start();
    await expect(jobs.run('a', () => Promise.reject(new Error('no water')))).rejects.toThrow('no water');
    const told = expect(jobs.run('a', untilAborted)).rejects.toMatchObject({ code: 'cancelled' });
    closing.abort();
    await told;
  });
});
