import { expect, test } from 'vitest';
import { caseFingerprint } from '../../../../core/review/case-fingerprint.ts';
import { sha256 } from '../../../builders/sent-reviews.ts';
import type { Channel } from '../../../../core/model/channel.ts';

const channel = (over: Partial<Channel> = {}): Channel => ({
  channelId: 'spo2@finger', quantity: 'spo2', label: 'SpO2', unit: '%', site: 'finger', sensor: '', sourceIndex: 0, layout: 'wide',
  tMs: Float64Array.of(0, 2000, 4000), value: Float64Array.of(97, NaN, 96), mark: Uint8Array.of(0, 1, 0), line: Uint32Array.of(2, 3, 4), ...over,
});
const of = (...channels: readonly Channel[]): string | null => caseFingerprint({ channels }, sha256);

test('names, files, lines, other channels and the origin of times take no part', () => {
  const heart = channel({ channelId: 'heart-rate', quantity: 'heart-rate', site: null });
  expect(of(heart, channel({ label: 'Sat', sourceIndex: 3, line: Uint32Array.of(9, 9, 9), tMs: Float64Array.of(60_000, 62_000, 64_000) }))).toBe(of(channel()));
});

test('a value, a time, an empty cell or a sensor more makes another case', () => {
  const others = [of(channel({ value: Float64Array.of(97, NaN, 95) })), of(channel({ tMs: Float64Array.of(0, 2000, 5000) })), of(channel({ value: Float64Array.of(97, 97, 96) })), of(channel(), channel({ channelId: 'spo2@toe' }))];
  expect(new Set([of(channel()), ...others]).size).toBe(5);
});

test('without SpO2 there is nothing to know a case again by', () => {
  expect(of()).toBeNull();
  expect(of(channel({ tMs: new Float64Array(), value: new Float64Array() }))).toBeNull();
});
