import { expect, it, vi } from 'vitest';
import type { CaseEntry } from '../../../../core/model/review.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { isKeptBack } from '../../../../renderer/panels/review/trail-words.ts';
import { changeReading, createPreferences } from '../../../../renderer/state/preferences.ts';
import { createReviewStates } from '../../../../renderer/state/review-states.ts';
import { createReviewTrail } from '../../../../renderer/state/review-trail.ts';
import { buildReviewBasis, buildReviewHost } from '../../../builders/review-host.ts';

async function filled(entries: number) {
  const host = buildReviewHost([buildReviewBasis('a', [['finger', 100, 150]])]);
  for (let i = 0; i < entries; i++) await host.flagCase({ caseKey: 'a', by: 'Ada', flags: [], note: `note ${i}`, blinded: true });
  return host;
}

it('the trail comes newest first, in pages, and is fetched again when something was added', async () => {
  const host = await filled(130);
  const trail = createReviewTrail(host);
  await trail.refresh();
  expect(trail.get()).toEqual({ kind: 'closed' });
  await trail.show();
  const first = trail.get();
  if (first.kind !== 'ready') throw new Error(first.kind);
  expect([first.total, first.entries.length, first.entries[0]?.entry.place, first.entries.at(-1)?.entry.place]).toEqual([130, 100, 130, 31]);
  await trail.more();
  const all = trail.get();
  expect(all.kind === 'ready' && all.entries.map(({ entry }) => entry.place)).toEqual(Array.from({ length: 130 }, (_, i) => 130 - i));
  await host.markCaseRead({ caseKey: 'a', by: 'Ada', blinded: true });
  await trail.refresh();
  const after = trail.get();
  expect(after.kind === 'ready' && after.entries[0]?.entry.kind).toBe('case read');
});

it('a check counts for what it saw: an entry that is added afterwards makes it void', async () => {
  const host = await filled(2);
  const trail = createReviewTrail(host);
  await trail.verify(null);
  expect(trail.check.get()).toMatchObject({ kind: 'checked', head: null, check: { entries: 2, problems: [] } });
  await trail.verify('00'.repeat(32));
  expect(trail.check.get()).toMatchObject({ kind: 'checked', check: { problems: [{ kind: 'head not found' }] } });
  await trail.refresh();
  expect(trail.check.get()).toEqual({ kind: 'none' });
});

it('what cannot be read says so', async () => {
  const refuse = () => Promise.reject(new FailureError({ code: 'reviews-damaged', message: 'Entry 3 cannot be read.', remedy: 'Take a backup.' }));
  const trail = createReviewTrail({ listTrail: refuse, checkTrail: refuse });
  await trail.show();
  await trail.verify(null);
  expect([trail.get(), trail.check.get()]).toMatchObject([{ kind: 'failed', problem: { message: 'Entry 3 cannot be read.' } }, { kind: 'failed', problem: { remedy: 'Take a backup.' } }]);
  const states = createReviewStates({ listReviewStates: refuse }, createPreferences(null));
  await states.reload();
  expect(states.get()).toMatchObject({ kind: 'failed', problem: { message: 'Entry 3 cannot be read.' } });
});

it('states of review are kept by case', async () => {
  const states = createReviewStates(await filled(1), createPreferences(null));
  await states.reload();
  const state = states.get();
  expect(state.kind === 'ready' && state.byCase.get('a')).toMatchObject({ dropouts: 1, notReviewed: 1, readers: 1 });
});

it('states are asked for as the present reader may see them, and anew when another reads', async () => {
  const asked: unknown[] = [];
  const preferences = createPreferences(null);
  preferences.change({ reader: 'Ada' });
  const states = createReviewStates({ listReviewStates: (view) => Promise.resolve((asked.push(view), [])) }, preferences);
  await states.reload();
  preferences.change({ theme: 'dark' });
  preferences.change(changeReading(preferences.get(), { isBlinded: false }));
  expect(states.get()).toEqual({ kind: 'loading' });
  await vi.waitFor(() => expect(states.get().kind).toBe('ready'), { timeout: 10_000 });
  preferences.change({ reader: 'Bo' });
  // Several reasons at once are one question.
  for (let i = 0; i < 3; i++) void states.reload();
  await vi.waitFor(() => expect(states.get().kind).toBe('ready'), { timeout: 10_000 });
  states.dispose();
  preferences.change({ reader: 'Cy' });
  expect(asked).toEqual([{ by: 'Ada', blinded: true }, { by: 'Ada', blinded: false }, { by: 'Bo', blinded: true }]);
});

it('the trail keeps from a blinded reader what others said, and not that, when or by whom', () => {
  const head = { place: 1, previous: '', entryId: 'a'.repeat(32), at: '2031-03-04T08:00:00Z', by: 'Ada', productVersion: '1' } as const;
  const ofCase = { caseKey: 'a', caseId: 'A' } as const;
  const flags = { ...head, ...ofCase, kind: 'flags', flags: [], note: 'n', seen: { parametersDigest: '', parametersName: '', productVersion: '', inputDigests: [] } } as const;
  const entries: readonly CaseEntry[] = [flags, { ...head, ...ofCase, kind: 'taken back', supersedes: 'b'.repeat(32) }];
  for (const entry of entries) expect([isKeptBack(entry, 'Ada'), isKeptBack(entry, 'Bo')]).toEqual([false, true]);
  expect(isKeptBack({ ...head, ...ofCase, kind: 'received', entry: flags, hash: '', signedBy: 'c'.repeat(64) }, 'Ada')).toBe(true);
  expect(isKeptBack({ ...head, ...ofCase, kind: 'case read', unread: 0 }, 'Bo')).toBe(false);
  expect(isKeptBack({ ...head, kind: 'act', act: 'clock set', caseKey: 'a', detail: '' }, 'Bo')).toBe(false);
});
