import { expect, test } from 'vitest';
import { createWorkOverCases } from '../../../../renderer/state/work-over-cases.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

test('work tells how far it is, is cancelled with the host, and what comes late is not shown', async () => {
  const cancelled: string[] = [];
  const host = buildHostConnection({ cancelReportWork: ({ jobId }) => {
    cancelled.push(jobId);
    return Promise.resolve({ cancelled: true });
  } });
  const answers: ((made: string) => void)[] = [];
  let jobs = 0;
  const work = createWorkOverCases({ host, newJobId: () => `job ${(jobs += 1)}`, cancelAtHost: (jobId) => host.cancelReportWork({ jobId }), progress: 'cohort-progress', doing: 'Making it', makeIt: () => new Promise<string>((resolve) => answers.push(resolve)) });
  expect(work.get()).toEqual({ kind: 'none' });
  const first = work.make(null);
  host.send({ kind: 'study-progress', jobId: 'job 1', stage: 'drawing', done: 9, total: 9 });
  host.send({ kind: 'cohort-progress', jobId: 'another', stage: 'reading', done: 9, total: 9 });
  host.send({ kind: 'cohort-progress', jobId: 'job 1', stage: 'working out', done: 2, total: 5 });
  expect(work.get()).toEqual({ kind: 'working', stage: 'working out', done: 2, total: 5 });
  work.cancel();
  answers[0]?.('late');
  await first;
  expect([work.get(), cancelled]).toEqual([{ kind: 'cancelled' }, ['job 1']]);
  const second = work.make(null);
  answers[1]?.('made');
  await second;
  expect(work.get()).toEqual({ kind: 'made', made: 'made' });
  work.forget();
  expect(work.get()).toEqual({ kind: 'none' });
});

test('what fails is said with its reason', async () => {
  const work = createWorkOverCases({ host: buildHostConnection(), newJobId: () => 'job', cancelAtHost: () => Promise.resolve(), progress: 'cohort-progress', doing: 'Making it', makeIt: () => Promise.reject(Object.assign(new Error('No room.'), { code: 'disk-full' })) });
  await work.make(null);
  expect(work.get()).toMatchObject({ kind: 'failed' });
});
