import { describe, expect, it } from 'vitest';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import type { CohortResults } from '../../../../core/model/cohort-results.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createCohortRun, isOfRequest } from '../../../../renderer/state/cohort-run.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const RESULTS = { productVersion: 'first' } as CohortResults; // the store hands results on and looks at none of them
const REQUEST = { caseKeys: null, options: DEFAULT_COHORT_OPTIONS };

function start(over: Parameters<typeof buildHostConnection>[0] = {}) {
  const cancelled: string[] = [];
  let jobs = 0;
  const host = buildHostConnection({
    cancelCohort: ({ jobId }) => {
      cancelled.push(jobId);
      return Promise.resolve({ cancelled: true });
    },
    ...over,
  });
  return { host, cancelled, run: createCohortRun(host, () => `job-${(jobs += 1)}`) };
}

describe('the questions to many cases', () => {
  it('tell how far they are, of their own work only, and end with the answers', async () => {
    const answer = deferred<CohortResults>();
    const { host, run } = start({ cohort: () => answer.promise });
    const asking = run.ask(REQUEST);
    host.send({ kind: 'cohort-progress', jobId: 'another', stage: 'reading', done: 2, total: 2 });
    expect(run.get()).toMatchObject({ kind: 'working', done: 0, results: null });
    host.send({ kind: 'cohort-progress', jobId: 'job-1', stage: 'working out', done: 3, total: 9 });
    expect(run.get()).toMatchObject({ kind: 'working', stage: 'working out', done: 3, total: 9 });
    answer.resolve(RESULTS);
    await asking;
    expect(run.get()).toEqual({ kind: 'ready', request: REQUEST, results: RESULTS });
    expect(isOfRequest(run.get(), REQUEST)).toBe(true);
    expect(isOfRequest(run.get(), { ...REQUEST, caseKeys: ['a'] })).toBe(false);
    expect(isOfRequest(run.get(), { ...REQUEST, options: { ...DEFAULT_COHORT_OPTIONS } })).toBe(false);
  });

  it('keep the answers before in sight while new ones are worked out, cancelled or failed', async () => {
    const second = deferred<CohortResults>();
    const answers = [Promise.resolve(RESULTS), second.promise, Promise.reject(new FailureError({ code: 'x', message: 'The library is gone.' }))];
    const { run, cancelled } = start({ cohort: () => answers.shift() ?? Promise.resolve(RESULTS) });
    await run.ask(REQUEST);
    const again = run.ask({ ...REQUEST, caseKeys: ['a'] });
    expect(run.get()).toMatchObject({ kind: 'working', results: RESULTS });
    run.cancel();
    expect(run.get()).toMatchObject({ kind: 'cancelled', results: RESULTS });
    expect(cancelled).toEqual(['job-2']);
    second.resolve({ ...RESULTS, productVersion: 'late' });
    await again;
    expect(run.get()).toMatchObject({ kind: 'cancelled', results: RESULTS });
    await run.ask({ ...REQUEST, caseKeys: ['b'] });
    expect(run.get()).toMatchObject({ kind: 'failed', problem: { message: 'The library is gone.' }, results: RESULTS });
    run.forget();
    expect(run.get()).toEqual({ kind: 'none', results: null });
  });
});
