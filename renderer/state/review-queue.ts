import type { QueuedDropout, QueueOrder } from '../../core/model/review.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { createOneJob } from './one-job.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

/** What a queue was asked for. */
export interface QueueRequest {
  readonly order: QueueOrder;
  /** null: the whole library. */
  readonly caseKeys: readonly string[] | null;
  readonly reader: string;
}

export interface LeftOutCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly reason: string;
}

export type QueueState =
  | { readonly kind: 'none' }
  | { readonly kind: 'working'; readonly request: QueueRequest }
  | { readonly kind: 'ready'; readonly request: QueueRequest; readonly queue: readonly QueuedDropout[]; readonly leftOut: readonly LeftOutCase[] }
  | { readonly kind: 'cancelled'; readonly request: QueueRequest }
  | { readonly kind: 'failed'; readonly request: QueueRequest; readonly problem: Problem };

/** The part of the host that this store asks. */
export type QueueHost = Pick<ReviewApi, 'reviewQueue' | 'cancelReviewWork'>;

/** The order in which dropouts are read. It stays as it was drawn while it is read; only what is read in it changes. */
export interface ReviewQueueStore extends ReadableStore<QueueState> {
  /** Asks for a queue; an older request that is still running is cancelled. */
  draw(request: QueueRequest): Promise<void>;
  cancel(): void;
  /** Notes that the reader of the queue has, or no longer has, a verdict on a dropout. */
  mark(reader: string, caseKey: string, dropoutId: string, isRead: boolean): void;
  /** Says that cases or definitions changed: dropouts may be others, so the queue is drawn anew with the same request. */
  refresh(): Promise<void>;
  dispose(): void;
}

/** Returns a store without a queue. `newJobId` makes a name that no other work has. */
export function createReviewQueue(host: QueueHost, newJobId: () => string): ReviewQueueStore {
  const store = createStore<QueueState>({ kind: 'none' });
  const job = createOneJob(newJobId, (jobId) => host.cancelReviewWork({ jobId }));
  /** `begun` says what is shown meanwhile. */
  const ask = (request: QueueRequest, begun: () => void): Promise<void> =>
    job.run((jobId) => host.reviewQueue({ jobId, caseKeys: request.caseKeys, order: request.order, by: request.reader }), begun, {
      done: ({ queue, leftOut }) => store.set({ kind: 'ready', request, queue, leftOut }),
      failed: (error) => store.set({ kind: 'failed', request, problem: describeProblem(error, 'Drawing the queue') }),
    });
  return {
    get: store.get,
    subscribe: store.subscribe,
    draw: (request) => ask(request, () => store.set({ kind: 'working', request })),
    cancel() {
      const state = store.get();
      if (job.stop() && state.kind !== 'none') store.set({ kind: 'cancelled', request: state.request });
    },
    mark(reader, caseKey, dropoutId, isRead) {
      const state = store.get();
      if (state.kind !== 'ready' || state.request.reader !== reader) return;
      const at = state.queue.findIndex((queued) => queued.caseKey === caseKey && queued.dropoutId === dropoutId);
      const queued = state.queue[at];
      if (queued === undefined || queued.isRead === isRead) return;
      store.set({ ...state, queue: state.queue.with(at, { ...queued, isRead }) });
    },
    async refresh() {
      const state = store.get();
      if (state.kind === 'ready' || state.kind === 'failed') await ask(state.request, () => undefined); // what is read stays in sight
    },
    dispose() {
      job.stop();
    },
  };
}

/** Returns the place in the queue of a dropout, or −1. */
export function placeInQueue(queue: readonly QueuedDropout[], caseKey: string | null, dropoutId: string | null): number {
  return queue.findIndex((queued) => queued.caseKey === caseKey && queued.dropoutId === dropoutId);
}

/**
 * Returns the next dropout of the queue that is not read: after the place `from`, then from the beginning, never the one at `from`
 * itself; null where every other one is read.
 */
export function nextUnread(queue: readonly QueuedDropout[], from: number): QueuedDropout | null {
  const later = queue.slice(from + 1);
  const earlier = queue.slice(0, Math.max(0, from));
  return [...later, ...earlier].find((queued) => !queued.isRead) ?? null;
}

/** Returns how many of the queue are read. */
export function readCount(queue: readonly QueuedDropout[]): number {
  return queue.reduce((count, queued) => (queued.isRead ? count + 1 : count), 0);
}
