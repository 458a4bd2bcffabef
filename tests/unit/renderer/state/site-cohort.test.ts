import { describe, expect, it } from 'vitest';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import type { SiteCohort } from '../../../../core/model/site-cohort.ts';
import { createSiteCohort, isOf } from '../../../../renderer/state/site-cohort.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { EMPTY_COHORT } from '../../../builders/site-comparison.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

function start(over: Parameters<typeof buildHostConnection>[0] = {}) {
  const cancelled: string[] = [];
  let jobs = 0;
  const host = buildHostConnection({
    cancelComparison: ({ jobId }) => {
      cancelled.push(jobId);
      return Promise.resolve({ cancelled: true });
    },
    ...over,
  });
  return { host, cancelled, store: createSiteCohort(host, () => `job-${(jobs += 1)}`) };
}

describe('the comparison of sites over cases', () => {
  it('tells how far it is, of its own work only, and ends with the figures', async () => {
    const answer = deferred<SiteCohort>();
    const { host, store } = start({ compareSites: () => answer.promise });
    const comparing = store.compare(['a', 'b']);
    expect(store.get()).toEqual({ kind: 'working', caseKeys: ['a', 'b'], done: 0 });
    host.send({ kind: 'comparison-progress', jobId: 'another', done: 2, total: 2 });
    host.send({ kind: 'comparison-progress', jobId: 'job-1', done: 1, total: 2 });
    expect(store.get()).toMatchObject({ kind: 'working', done: 1 });
    answer.resolve(EMPTY_COHORT);
    await comparing;
    expect(store.get()).toEqual({ kind: 'ready', caseKeys: ['a', 'b'], cohort: EMPTY_COHORT });
    expect(isOf(store.get(), ['a', 'b'])).toBe(true);
    expect(isOf(store.get(), ['b', 'a'])).toBe(false);
  });

  it('is overtaken by a newer one, whatever comes back of the older', async () => {
    const first = deferred<SiteCohort>();
    const { store, cancelled } = start({ compareSites: ({ jobId }) => (jobId === 'job-1' ? first.promise : Promise.resolve({ ...EMPTY_COHORT, cases: 2 })) });
    const older = store.compare(['a']);
    await store.compare(['a', 'b']);
    first.resolve(EMPTY_COHORT);
    await older;
    expect(cancelled).toEqual(['job-1']);
    expect(store.get()).toMatchObject({ kind: 'ready', cohort: { cases: 2 } });
  });

  it('can be cancelled, forgotten and failed', async () => {
    const never = new Promise<SiteCohort>(() => undefined);
    const { store, cancelled } = start({ compareSites: ({ caseKeys }) => (caseKeys.length === 1 ? never : Promise.reject(new FailureError({ code: 'x', message: 'The disk is away.', remedy: 'Plug it in.' }))) });
    void store.compare(['a']);
    store.cancel();
    expect(store.get()).toEqual({ kind: 'cancelled', caseKeys: ['a'] });
    void store.compare(['a']);
    store.forget();
    expect(store.get()).toEqual({ kind: 'none' });
    expect(cancelled).toEqual(['job-1', 'job-2']);
    await store.compare(['a', 'b']);
    expect(store.get()).toMatchObject({ kind: 'failed', problem: { message: 'The disk is away.', remedy: 'Plug it in.' } });
  });
});
