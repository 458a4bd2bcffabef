import { expect, it } from 'vitest';
import type { ConfirmedFigures } from '../../../../core/model/confirmed.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { createConfirmedSums } from '../../../../renderer/state/confirmed-sums.ts';
import { changeReading, createPreferences } from '../../../../renderer/state/preferences.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';

const NOTHING = { count: 0, lostMs: { low: 0, mid: 0, high: 0 }, longestMidMs: 0, shareMid: null };
const LOSSES = { sites: [], blindMs: [], blindTotals: NOTHING };
const FIGURES: ConfirmedFigures = { counts: [], all: { dropouts: 2, confirmed: 1, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: 1, corrected: 0, tooShort: 0 }, without: 0, isExcluded: false, confirmed: LOSSES, notRefuted: LOSSES };
const CASE = { caseKey: 'a', parameters: DEFAULT_PARAMETERS };

function start(answer: (args: { readonly caseKey: string }) => Promise<ConfirmedFigures | null>) {
  const asked: unknown[] = [];
  const preferences = createPreferences(null);
  const sums = createConfirmedSums({
    confirmedFigures: ({ caseKey, by, blinded, parameters }) => {
      asked.push([caseKey, by, blinded, parameters.minDurationS]);
      return answer({ caseKey });
    },
  }, preferences);
  return { asked, preferences, sums };
}

it('asks as the present reader, once for what happens together, and shows nothing where nobody said who reads', async () => {
  const { asked, preferences, sums } = start(() => Promise.resolve(FIGURES));
  sums.follow(CASE);
  await sums.reload();
  expect([sums.get(), asked]).toEqual([{ kind: 'none' }, []]);
  preferences.change({ reader: 'Ada' });
  void sums.reload();
  await sums.reload();
  expect(sums.get()).toEqual({ kind: 'ready', ...CASE, figures: FIGURES });
  expect(asked).toEqual([['a', 'Ada', true, 30]]);
  sums.follow({ caseKey: 'a', parameters: { ...DEFAULT_PARAMETERS, minDurationS: 60 } });
  await sums.reload();
  expect(asked).toEqual([['a', 'Ada', true, 30], ['a', 'Ada', true, 60]]);
  sums.follow(null);
  expect(sums.get()).toEqual({ kind: 'none' });
});

it('drops what another reader, or the same one with nothing hidden, was shown before the answer is there', async () => {
  const { preferences, sums } = start(() => Promise.resolve(FIGURES));
  preferences.change({ reader: 'Ada' });
  preferences.change(changeReading(preferences.get(), { isBlinded: false }));
  sums.follow(CASE);
  await sums.reload();
  expect(sums.get().kind).toBe('ready');
  preferences.change(changeReading(preferences.get(), { isBlinded: true }));
  expect(sums.get().kind).toBe('none');
  await sums.reload();
  expect(sums.get().kind).toBe('ready');
  preferences.change({ reader: 'Ben' });
  expect(sums.get().kind).toBe('none');
});

it('says nothing of a case that was left meanwhile, and why figures could not be worked out', async () => {
  const slow = deferred<ConfirmedFigures | null>();
  const { preferences, sums } = start(({ caseKey }) => (caseKey === 'a' ? slow.promise : Promise.reject(new FailureError({ code: 'case-missing', message: 'Gone.' }))));
  preferences.change({ reader: 'Ada' });
  sums.follow(CASE);
  sums.follow({ ...CASE, caseKey: 'b' });
  await sums.reload();
  slow.resolve(FIGURES);
  await slow.promise;
  expect(sums.get()).toMatchObject({ kind: 'failed', caseKey: 'b', problem: { message: 'Gone.' } });
});
