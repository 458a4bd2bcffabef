import { expect, test } from 'vitest';
import type { FourInstants } from '../../../../core/model/analysis.ts';
import { checkBounds } from '../../../../core/review/corrected-bounds.ts';
import { dropoutOf } from '../../../builders/review-trail.ts';

const ONE = dropoutOf(100, 200);
const NEXT = dropoutOf(300, 400, { number: 2 });
const OPEN = dropoutOf(500, 600, { number: 3, lastLostMs: null, firstGoodMs: null, censoredAtMs: 600_000 });
const BOUNDS = { startMs: 10_000, endMs: 700_000 };
const GOOD: FourInstants = { lastGoodMs: 90_000, firstLostMs: 91_000, lastLostMs: 209_000, firstGoodMs: 210_000 };
const check = (over: Partial<FourInstants>, dropout = ONE) => {
  const result = checkBounds({ ...GOOD, ...over }, dropout, [ONE, NEXT, OPEN], BOUNDS);
  return result.ok ? 'ok' : result.failure.message;
};

test('bounds in order that touch the dropout stand', () => {
  expect(checkBounds(GOOD, ONE, [ONE, NEXT], BOUNDS)).toEqual({ ok: true, value: GOOD });
  expect(check({ lastGoodMs: ONE.lastGoodMs, firstLostMs: ONE.firstLostMs, lastLostMs: ONE.lastLostMs, firstGoodMs: ONE.firstGoodMs })).toBe('ok');
  expect(check({ lastLostMs: 91_000 })).toBe('ok'); // one lost value
});

test.each<[string, Partial<FourInstants>, RegExp]>([
  ['a bound that is no number', { firstLostMs: Number.NaN }, /no time/],
  ['an infinite bound', { firstGoodMs: Infinity }, /no time/],
  ['the first good instant alone', { lastLostMs: null }, /belong together/],
  ['the last lost instant alone', { firstGoodMs: null }, /belong together/],
  ['last good at first lost', { lastGoodMs: 91_000 }, /last good instant does not lie before/],
  ['last lost before first lost', { lastLostMs: 90_999 }, /last lost instant lies before/],
  ['last lost at first good', { lastLostMs: 210_000 }, /last lost instant does not lie before/],
  ['a beginning before the case', { lastGoodMs: 9_999 }, /beyond the case/],
  ['an end after the case', { firstGoodMs: 700_001, lastLostMs: 209_000 }, /beyond the case/],
  ['no end where information came back', { lastLostMs: null, firstGoodMs: null }, /came back/],
  ['an end that is over before the dropout begins', { lastGoodMs: 20_000, firstLostMs: 21_000, lastLostMs: 98_000, firstGoodMs: 99_000 }, /do not touch/],
  ['a beginning at its end', { lastGoodMs: 200_000, firstLostMs: 201_000 }, /do not touch/],
  ['the next dropout of the sensor', { lastLostMs: 300_000, firstGoodMs: 301_000 }, /into dropout 2 .* twice/],
])('refused with its reason: %s', (_what, over, message) => {
  expect(check(over)).toMatch(message);
});

test('every refusal has the same code and a remedy', () => {
  const result = checkBounds({ ...GOOD, lastGoodMs: 95_000 }, ONE, [], BOUNDS);
  expect(result).toMatchObject({ ok: false, failure: { code: 'bounds-out-of-order' } });
  expect(result.ok ? '' : result.failure.remedy).toMatch(/^[A-Z].*\.$/);
});

test('bounds may reach up to the neighbour and not into it, on both sides', () => {
  expect(check({ lastLostMs: 299_000, firstGoodMs: 300_000 })).toBe('ok');
  expect(check({ lastGoodMs: 199_000, firstLostMs: 200_000, lastLostMs: 399_000, firstGoodMs: 400_000 }, NEXT)).toBe('ok');
  expect(check({ lastGoodMs: 198_000, firstLostMs: 199_000, lastLostMs: 399_000, firstGoodMs: 400_000 }, NEXT)).toMatch(/into dropout 1/);
});

test('a dropout that was never restored keeps the end of the count, or gets an end from the reader', () => {
  const none = { lastLostMs: null, firstGoodMs: null };
  expect(check({ lastGoodMs: 480_000, firstLostMs: 490_000, ...none }, OPEN)).toBe('ok');
  expect(check({ lastGoodMs: 480_000, firstLostMs: 600_001, ...none }, OPEN)).toMatch(/after the end/);
  expect(check({ lastGoodMs: 480_000, firstLostMs: 490_000, lastLostMs: 550_000, firstGoodMs: 551_000 }, OPEN)).toBe('ok');
});
