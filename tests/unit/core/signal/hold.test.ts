import { expect, it } from 'vitest';
import { valuesAt } from '../../../../core/signal/hold.ts';

const f = (...x: number[]) => Float64Array.from(x);

it('gives the last plausible value that is not too old', () => {
  expect([...valuesAt(f(0, 10, 20, 30, 40), f(5, 15, 25), f(1, 999, 3), [0, 100], f(12, 12, 12))]).toEqual([NaN, 1, NaN, 3, NaN]);
});

it('gives the value of the very instant even when nothing may be held', () => {
  expect([...valuesAt(f(0, 10), f(10), f(7), [0, 100], f(0))]).toEqual([NaN, 7]);
});

it('gives nothing from an empty channel', () => {
  expect([...valuesAt(f(0), f(), f(), [0, 1], f())]).toEqual([NaN]);
});
