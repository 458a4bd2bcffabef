import { expect, it, vi } from 'vitest';
import type { ListedEntry } from '../../../../core/model/review.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
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
  const trail = createReviewTrail(host, createPreferences(null));
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
  const trail = createReviewTrail(host, createPreferences(null));
  await trail.verify(null);
  expect(trail.check.get()).toMatchObject({ kind: 'checked', head: null, check: { entries: 2, problems: [] } });
  await trail.verify('00'.repeat(32));
  expect(trail.check.get()).toMatchObject({ kind: 'checked', check: { problems: [{ kind: 'head not found' }] } });
  await trail.refresh();
  expect(trail.check.get()).toEqual({ kind: 'none' });
});

it('what cannot be read says so', async () => {
  const refuse = () => Promise.reject(new FailureError({ code: 'reviews-damaged', message: 'Entry 3 cannot be read.', remedy: 'Take a backup.' }));
  const trail = createReviewTrail({ listTrail: refuse, checkTrail: refuse }, createPreferences(null));
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

it('the trail is asked for as the present reader may see it, as far back as it was looked at, and anew when another reads', async () => {
  const asked: unknown[] = [];
  const entry = (place: number): ListedEntry => ({ entry: { kind: 'kept back', place, at: '2031-03-04T08:00:00Z', by: 'Ada', caseKey: 'a', caseId: 'A' }, hash: String(place) });
  const preferences = createPreferences(null);
  preferences.change({ reader: 'Bo' });
  const trail = createReviewTrail({
    listTrail: (args) => Promise.resolve((asked.push(args), { entries: Array.from({ length: args.limit }, (_, i) => entry((args.before ?? 251) - 1 - i)).filter((one) => one.entry.place > 0), total: 250 })),
    checkTrail: () => Promise.reject(new Error('not asked for')),
  }, preferences);
  await trail.readAnew();
  expect(asked).toEqual([]);
  await trail.show();
  await trail.more();
  await trail.refresh();
  preferences.change(changeReading(preferences.get(), { isBlinded: false }));
  const reading = trail.readAnew();
  expect(trail.get()).toEqual({ kind: 'loading' });
  await reading;
  expect(asked).toEqual([
    { before: null, limit: 100, by: 'Bo', blinded: true }, { before: 151, limit: 100, by: 'Bo', blinded: true },
    { before: null, limit: 200, by: 'Bo', blinded: true }, { before: null, limit: 100, by: 'Bo', blinded: false },
  ]);
});
