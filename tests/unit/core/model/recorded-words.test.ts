import { expect, test } from 'vitest';
import { recordedWords } from '../../../../core/model/recorded-words.ts';

test('how often a site was recorded, with every change of the interval', () => {
  const segment = (intervalMs: number | null): { readonly startMs: number; readonly endMs: number; readonly intervalMs: number | null } => ({ startMs: 0, endMs: 1, intervalMs });
  expect(recordedWords({ intervalMs: 1000, segments: [] })).toBe('every 1 s');
  expect(recordedWords({ intervalMs: 15_000, segments: [segment(60_000), segment(15_000)] })).toBe('every 1 min, then every 15 s');
  expect(recordedWords({ intervalMs: 1000, segments: [1000, 2000, 1000, 2000, 1000].map(segment) })).toBe('mostly every 1 s, changing 4 times');
  expect(recordedWords({ intervalMs: null, segments: [] })).toBe('irregular');
});
