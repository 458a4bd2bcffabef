import { expect, it } from 'vitest';
import type { HostEvent } from '../../../../core/protocol/host-api.ts';
import type { ReceivedSummary } from '../../../../core/model/reviews-file.ts';
import { createReviewExchangeStore } from '../../../../renderer/state/review-exchange.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

const SUMMARY: ReceivedSummary = {
  sender: { fingerprint: 'ab'.repeat(32), label: 'east', confirmedAt: '2031-03-04T08:00:00Z', isOwn: false }, fileDigest: 'cd'.repeat(32), writtenAt: '2031-03-04T08:00:00Z', notes: 'included',
  entries: 2, verdicts: 2, readers: ['Ada'], cases: 1, fresh: 2, known: 0, matched: 0, waiting: 1,
};

it('what was said of a received file goes once cases come, for it may not be so any more; a file that is only checked stays', async () => {
  const listeners = new Set<(event: HostEvent) => void>();
  const exchange = createReviewExchangeStore(
    buildHostConnection({
      onEvent: (listener) => (listeners.add(listener), () => listeners.delete(listener)),
      beginImport: async () => ({ importId: 'ef'.repeat(8) }), endImport: async () => ({ ended: true as const }), stageFile: async () => ({ byteLength: 2 }),
      inspectReviews: async () => SUMMARY, receiveReviews: async () => SUMMARY, reviewExchange: async () => ({ ownFingerprint: null, senders: [], files: 1, waiting: [], conflicts: [] }),
    }),
    () => 'ab'.repeat(16), () => undefined,
  );
  const tell = (): void => {
    for (const listener of listeners) listener({ kind: 'library-changed' });
  };
  await exchange.open(new File(['{}'], 'reviews.json'));
  tell();
  expect(exchange.receiving.get().kind).toBe('checked');
  await exchange.take(null, '', 'Ben');
  expect(exchange.receiving.get().kind).toBe('received');
  tell();
  expect(exchange.receiving.get().kind).toBe('idle');
  exchange.dispose();
  expect(listeners.size).toBe(0);
});
