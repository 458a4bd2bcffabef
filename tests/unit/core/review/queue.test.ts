import { expect, test } from 'vitest';
import { queuedDropoutSchema } from '../../../../core/model/review-schema.ts';
import type { QueuedCase } from '../../../../core/review/queue.ts';
import { reviewQueue } from '../../../../core/review/queue.ts';
import { basisOf, dropoutOf } from '../../../builders/review-trail.ts';

const NONE: ReadonlySet<string> = new Set();
const caseOf = (caseId: string, dropouts: Parameters<typeof basisOf>[0], read = NONE): QueuedCase => ({ basis: basisOf(dropouts, { caseKey: `key of ${caseId}`, caseId }), read });
const CASES = [
  caseOf('b', [dropoutOf(500, 560), dropoutOf(900, 1000)], new Set(['finger@900000'])),
  caseOf('a', [dropoutOf(100, 160), dropoutOf(50, 300, { siteKey: 'ear lobe' }), dropoutOf(400, 430)]),
  caseOf('c', []),
];
const names = (cases: readonly QueuedCase[], order: Parameters<typeof reviewQueue>[1]) => reviewQueue(cases, order).map(({ caseId, dropoutId }) => `${caseId} ${dropoutId}`);

test('worst first is by the mid of the time lost, then its high; ties by case and time', () => {
  expect(names(CASES, { kind: 'worst first' })).toEqual(['a ear lobe@50000', 'b finger@900000', 'a finger@100000', 'b finger@500000', 'a finger@400000']);
  const wide = caseOf('d', [dropoutOf(100, 160, { lostMs: { low: 0, mid: 60_000, high: 120_000 } })]);
  expect(names([...CASES, wide], { kind: 'worst first' })[2]).toBe('d finger@100000');
  expect(names([...CASES].reverse(), { kind: 'worst first' })).toEqual(names(CASES, { kind: 'worst first' }));
});

test('case by case keeps the order of the cases and goes through each in time, whatever the sensor', () => {
  expect(names(CASES, { kind: 'case by case' })).toEqual(['b finger@500000', 'b finger@900000', 'a ear lobe@50000', 'a finger@100000', 'a finger@400000']);
});

test('a random sample hangs on the seed alone, not on the order of the cases; a smaller one is the beginning of a larger', () => {
  const many = Array.from({ length: 40 }, (_, i) => caseOf(`case ${String(i).padStart(2, '0')}`, [dropoutOf(100, 160), dropoutOf(200, 260)]));
  const drawn = names(many, { kind: 'random sample', seed: 20_310_304, size: 80 });
  expect([...drawn].sort()).toEqual(names(many, { kind: 'case by case' }).sort());
  expect(drawn).not.toEqual(names(many, { kind: 'case by case' }));
  expect(names([...many].reverse(), { kind: 'random sample', seed: 20_310_304, size: 80 })).toEqual(drawn);
  expect(names(many, { kind: 'random sample', seed: 20_310_304, size: 7 })).toEqual(drawn.slice(0, 7));
  expect(names(many, { kind: 'random sample', seed: 20_310_304, size: 1000 })).toEqual(drawn);
  expect(names(many, { kind: 'random sample', seed: 20_310_305, size: 80 })).not.toEqual(drawn);
});

test('the draw is that of the published generator', () => {
  // Source: MT19937 with seed 5489 begins 3499211612, 581869302, 3890346734 (Matsumoto & Nishimura's mt19937ar with its own default seed; also the default of C++11 std::mt19937).
  // By hand, Knuth's algorithm P over 0 1 2 3: j = floor(u·4/2³²) = 3 → 0 1 2 3; j = floor(u·3/2³²) = 0 → 2 1 0 3; j = floor(u·2/2³²) = 1 → 2 1 0 3.
  const four = caseOf('x', [100, 200, 300, 400].map((s) => dropoutOf(s, s + 60)));
  expect(names([four], { kind: 'random sample', seed: 5489, size: 4 })).toEqual(['x finger@300000', 'x finger@200000', 'x finger@100000', 'x finger@400000']);
});

test('each place tells whether this reader has read it, and every field passes its schema', () => {
  const queue = reviewQueue(CASES, { kind: 'case by case' });
  expect(queue.map(({ isRead }) => isRead)).toEqual([false, true, false, false, false]);
  for (const one of queue) expect(queuedDropoutSchema.parse(one)).toEqual(one);
});

test('an empty library has an empty queue', () => {
  for (const kind of ['worst first', 'case by case'] as const) expect(reviewQueue([], { kind })).toEqual([]);
  expect(reviewQueue([], { kind: 'random sample', seed: 1, size: 5 })).toEqual([]);
});

test('every draw is as likely as another: over 6000 seeds each of six dropouts comes first about a thousand times', () => {
  const six = caseOf('x', [100, 200, 300, 400, 500, 600].map((s) => dropoutOf(s, s + 60)));
  const counts = new Map<string, number>();
  for (let seed = 0; seed < 6000; seed++) {
    const first = names([six], { kind: 'random sample', seed, size: 1 })[0] ?? '';
    counts.set(first, (counts.get(first) ?? 0) + 1);
  }
  // Chi-square with 5 degrees of freedom; 20.5 is its 99.9 % quantile (tables).
  const chi = [...counts.values()].reduce((sum, n) => sum + (n - 1000) ** 2 / 1000, 0);
  expect(counts.size).toBe(6);
  expect(chi).toBeLessThan(20.5);
});
