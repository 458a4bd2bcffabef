import { describe, expect, it } from 'vitest';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createReviewQueue, nextUnread, placeInQueue, readCount, type QueueHost, type QueueRequest } from '../../../../renderer/state/review-queue.ts';
import { buildReviewBasis, buildReviewHost } from '../../../builders/review-host.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const WORST: QueueRequest = { order: { kind: 'worst first' }, caseKeys: null, reader: 'Ada' };
const CASES = [buildReviewBasis('a', [['finger', 100, 150], ['finger', 400, 700]]), buildReviewBasis('b', [['toe', 100, 200]])];

function start(over: Partial<QueueHost> = {}) {
  const host = { ...buildReviewHost(CASES), ...over };
  let jobs = 0;
  return { host, queue: createReviewQueue(host, () => `job-${(jobs += 1)}`) };
}

async function drawn(request = WORST) {
  const { queue } = start();
  await queue.draw(request);
  const state = queue.get();
  if (state.kind !== 'ready') throw new Error(state.kind);
  return { queue, list: state.queue };
}

describe('the queue', () => {
  it('has every dropout once, the longest lost first', async () => {
    const { list } = await drawn();
    expect(list.map(({ caseKey, dropoutId }) => `${caseKey} ${dropoutId}`)).toEqual(['a finger@400000', 'b toe@100000', 'a finger@100000']); // lost 301, 101 and 51 s
    expect((await drawn({ ...WORST, caseKeys: ['b'] })).list).toHaveLength(1);
  });

  it('marks what its reader has read, and nobody else’s', async () => {
    const { queue, list } = await drawn();
    queue.mark('Ben', 'a', 'finger@400000', true);
    queue.mark('Ada', 'b', 'toe@100000', true);
    queue.mark('Ada', 'b', 'toe@999', true);
    const state = queue.get();
    expect(state.kind === 'ready' && state.queue.map(({ isRead }) => isRead)).toEqual([false, true, false]);
    expect(readCount(list)).toBe(0);
    queue.mark('Ada', 'b', 'toe@100000', false);
    const after = queue.get();
    expect(after.kind === 'ready' && readCount(after.queue)).toBe(0);
  });

  it('goes on across cases, past what is read, round from the end, and ends when all others are read', async () => {
    const { list } = await drawn();
    const read = (...places: number[]) => list.map((queued, i) => ({ ...queued, isRead: places.includes(i) }));
    expect(nextUnread(list, -1)?.dropoutId).toBe('finger@400000');
    expect(nextUnread(list, placeInQueue(list, 'a', 'finger@400000'))?.caseKey).toBe('b');
    expect(nextUnread(read(1), 0)?.dropoutId).toBe('finger@100000');
    expect(nextUnread(read(1), 2)?.dropoutId).toBe('finger@400000');
    expect([nextUnread(read(1, 2), 0), nextUnread(read(0, 1, 2), -1), nextUnread([], -1)]).toEqual([null, null, null]);
    expect(placeInQueue(list, 'c', null)).toBe(-1);
  });

  it('stays as drawn while it is read; drawn again after the library changed, with the same request', async () => {
    const { host, queue } = start();
    await queue.draw({ ...WORST, order: { kind: 'random sample', seed: 7, size: 2 } });
    const before = queue.get();
    await host.giveVerdict({ caseKey: 'a', dropoutId: 'finger@400000', by: 'Ada', blinded: true, judgement: { verdict: 'cannot tell', certainty: null, note: '', correctedBounds: null } });
    await queue.refresh();
    const after = queue.get();
    if (before.kind !== 'ready' || after.kind !== 'ready') throw new Error('not drawn');
    expect(after.queue.map(({ dropoutId }) => dropoutId)).toEqual(before.queue.map(({ dropoutId }) => dropoutId));
    expect(after.queue).toHaveLength(2);
  });

  it('can be stopped, is overtaken by a newer one, and says why it failed', async () => {
    const cancelled: string[] = [];
    const slow = deferred<Awaited<ReturnType<QueueHost['reviewQueue']>>>();
    const { queue } = start({
      reviewQueue: ({ order }) => (order.kind === 'worst first' ? slow.promise : Promise.reject(new FailureError({ code: 'x', message: 'The disk is away.', remedy: 'Plug it in.' }))),
      cancelReviewWork: ({ jobId }) => {
        cancelled.push(jobId);
        return Promise.resolve({ cancelled: true });
      },
    });
    void queue.draw(WORST);
    queue.cancel();
    expect(queue.get()).toEqual({ kind: 'cancelled', request: WORST });
    void queue.draw(WORST);
    await queue.draw({ ...WORST, order: { kind: 'case by case' } });
    slow.resolve({ queue: [], leftOut: [] });
    await slow.promise;
    expect(queue.get()).toMatchObject({ kind: 'failed', problem: { message: 'The disk is away.' } });
    expect(cancelled).toEqual(['job-1', 'job-2']);
  });
});
