import type { ReceivedSummary, ReviewsFileContent, ReviewsFileOutlook } from '../../core/model/reviews-file.ts';
import type { ReviewExchange } from '../../core/protocol/review-exchange-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createReviewWork, type ReviewWork } from './review-work.ts';
import { createStore, type ReadableStore } from './store.ts';

/** A file on its way out. */
export type SendingState =
  | { readonly kind: 'idle' }
  | { readonly kind: 'looking' }
  /** What it would hold, before it is written. */
  | { readonly kind: 'looked'; readonly outlook: ReviewsFileOutlook }
  | { readonly kind: 'writing' }
  | { readonly kind: 'written'; readonly fileName: string; readonly fingerprint: string }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** A file on its way in. */
export type ReceivingState =
  | { readonly kind: 'idle' }
  | { readonly kind: 'checking'; readonly name: string }
  /** Its signature holds; nothing was taken yet. `problem`: why the last attempt to take it failed. */
  | { readonly kind: 'checked'; readonly name: string; readonly summary: ReceivedSummary; readonly isTaking: boolean; readonly problem: Problem | null }
  | { readonly kind: 'received'; readonly name: string; readonly summary: ReceivedSummary }
  | { readonly kind: 'failed'; readonly name: string; readonly problem: Problem };

/** Reviews from and to other libraries. */
export interface ReviewExchangeStore {
  readonly state: ReviewWork<null, ReviewExchange>;
  readonly sending: ReadableStore<SendingState>;
  readonly receiving: ReadableStore<ReceivingState>;
  /** Why the last conflict could not be settled. */
  readonly settling: ReadableStore<Problem | null>;
  look(): Promise<void>;
  /** Returns the file, or null with the reason in `sending`. */
  write(notes: ReviewsFileContent['notes'], by: string): Promise<{ readonly text: string; readonly fileName: string } | null>;
  /** Checks a chosen file. */
  open(file: File): Promise<void>;
  take(confirmed: string | null, label: string, by: string): Promise<void>;
  /** Puts the chosen file away. */
  drop(): Promise<void>;
  settle(conflictId: string, choice: string, by: string): Promise<void>;
  dispose(): void;
}

/** Returns the exchange of reviews, nothing asked or chosen. `newJobId` makes a name that no other work has; `onChanged` is called when reviews came in. */
export function createReviewExchangeStore(host: HostConnection, newJobId: () => string, onChanged: () => void): ReviewExchangeStore {
  const sending = createStore<SendingState>({ kind: 'idle' });
  const receiving = createStore<ReceivingState>({ kind: 'idle' });
  const settling = createStore<Problem | null>(null);
  const state = createReviewWork<null, ReviewExchange>(host, newJobId, 'Reading what was received', (jobId) => host.reviewExchange({ jobId }));
  // What was said of a file's cases when it came is no longer so once cases come or go.
  const stopListening = host.onEvent((event) => {
    if (event.kind === 'library-changed' && receiving.get().kind === 'received') receiving.set({ kind: 'idle' });
  });
  let staged: { readonly importId: string; readonly file: string } | null = null;

  async function putAway(): Promise<void> {
    const own = staged;
    staged = null;
    // A file that cannot be put away is removed at the next start.
    if (own !== null) await host.endImport({ importId: own.importId }).catch(() => undefined);
  }

  return {
    state,
    sending,
    receiving,
    settling,
    async look() {
      sending.set({ kind: 'looking' });
      try {
        sending.set({ kind: 'looked', outlook: await host.reviewsOutlook({ jobId: newJobId() }) });
      } catch (error) {
        sending.set({ kind: 'failed', problem: describeProblem(error, 'Looking through the reviews') });
      }
    },
    async write(notes, by) {
      sending.set({ kind: 'writing' });
      try {
        const { text, fileName, fingerprint } = await host.writeReviews({ jobId: newJobId(), notes, by });
        sending.set({ kind: 'written', fileName, fingerprint });
        void state.ask(null);
        return { text, fileName };
      } catch (error) {
        sending.set({ kind: 'failed', problem: describeProblem(error, 'Writing the file') });
        return null;
      }
    },
    async open(file) {
      await putAway();
      receiving.set({ kind: 'checking', name: file.name });
      try {
        const { importId } = await host.beginImport();
        staged = { importId, file: file.name };
        await host.stageFile(importId, file.name, file);
        const summary = await host.inspectReviews({ jobId: newJobId(), importId, file: file.name });
        receiving.set({ kind: 'checked', name: file.name, summary, isTaking: false, problem: null });
      } catch (error) {
        await putAway();
        receiving.set({ kind: 'failed', name: file.name, problem: describeProblem(error, 'Checking the file') });
      }
    },
    async take(confirmed, label, by) {
      const before = receiving.get();
      if (staged === null || before.kind !== 'checked' || before.isTaking) return;
      receiving.set({ ...before, isTaking: true, problem: null });
      try {
        const summary = await host.receiveReviews({ jobId: newJobId(), ...staged, confirmed, label, by });
        await putAway();
        receiving.set({ kind: 'received', name: before.name, summary });
        onChanged();
        await state.ask(null);
      } catch (error) {
        receiving.set({ ...before, isTaking: false, problem: describeProblem(error, 'Receiving the reviews') });
      }
    },
    async drop() {
      await putAway();
      receiving.set({ kind: 'idle' });
    },
    async settle(conflictId, choice, by) {
      settling.set(null);
      try {
        await host.settleReviewConflict({ jobId: newJobId(), conflictId, choice, by });
        onChanged();
        // What was said when the file came in (cases that wait) need not hold any more.
        if (receiving.get().kind === 'received') receiving.set({ kind: 'idle' });
        await state.ask(null);
      } catch (error) {
        settling.set(describeProblem(error, 'Settling the conflict'));
      }
    },
    dispose() {
      state.dispose();
      stopListening();
      void putAway();
    },
  };
}
