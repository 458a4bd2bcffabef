import { describe, expect, it } from 'vitest';
import { STATUS_NAMES } from '../../../../core/model/analysis.ts';
import type { Channel } from '../../../../core/model/channel.ts';
import { channelIntervals } from '../../../../core/quality/channel-intervals.ts';
import { countStatuses, siteTracks } from '../../../../core/quality/site-track.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const spo2 = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'spo2', site: 'finger' }, cells, intervalS);
const perfusion = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'perfusion-index', site: 'finger' }, cells, intervalS);
const pulse = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'pulse-rate', site: 'finger' }, cells, intervalS);
const heart = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'heart-rate' }, cells, intervalS);

function statuses(...channels: Channel[]): string[] {
  const [track] = siteTracks(channelIntervals(channels), parametersWith({}));
  return Array.from(track!.track.status, (code) => STATUS_NAMES[code - 1]!);
}
const counts = (...channels: Channel[]) => {
  const [track] = siteTracks(channelIntervals(channels), parametersWith({}));
  return Object.fromEntries(Object.entries(countStatuses(track!.track.status)).filter(([, n]) => n > 0));
};

describe('status of a sample', () => {
  it('follows the order absent, implausible, flagged', () => {
    expect(statuses(spo2([97, '---', null, 0, 101, { flagged: 97 }, { flagged: 120 }, 1, 100, 97, 97]))).toEqual([
      'good', 'absent', 'absent', 'implausible', 'implausible', 'flagged', 'implausible', 'good', 'good', 'good', 'good',
    ]);
  });

  it('is weak below a perfusion index of 0.3, not at it, and not without one', () => {
    expect(statuses(spo2(repeat(97, 5)), perfusion([0.29, 0.3, 5, '---', 0.1]))).toEqual(['weak', 'good', 'good', 'good', 'weak']);
  });

  it('is not lost because the perfusion index is on another scale', () => {
    expect(counts(spo2(repeat(97, 20)), perfusion(repeat(130, 20)))).toEqual({ good: 20 });
  });

  it('takes the companions of the same site and sensor only', () => {
    const toe = regularChannel({ quantity: 'perfusion-index', site: 'toe' }, repeat(0.1, 5));
    expect(counts(spo2(repeat(97, 5)), toe)).toEqual({ good: 5 });
  });

  it('is weak between two values of a perfusion index that is recorded less often', () => {
    const every5 = perfusion(Array.from({ length: 30 }, (_, i) => (i % 5 === 0 ? (i < 15 ? 2 : 0.2) : null)));
    const list = statuses(spo2(repeat(97, 30)), every5);
    expect(list.slice(0, 15)).toEqual(Array(15).fill('good'));
    expect(list.slice(15)).toEqual(Array(15).fill('weak'));
  });
});

describe('companions where the interval changes', () => {
  it('hold for the interval in force, so a weak signal is seen in the slow stretch too', () => {
    // Most of the record at 10 s, the first stretch at 60 s; the perfusion index is written 20 s before SpO2.
    const at = [...Array.from({ length: 12 }, (_, i) => i * 60), ...Array.from({ length: 200 }, (_, i) => 670 + i * 10)];
    const spo2At = channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, at.map((s) => [s, 97] as const));
    const early = channelAt({ quantity: 'perfusion-index', site: 'finger', layout: 'long' }, at.map((s) => [s < 660 ? s - 20 : s, 0.1] as const));
    expect(statuses(spo2At, early).slice(0, 11)).toEqual(Array(11).fill('weak'));
  });
});

describe('held', () => {
  const n = 60;
  const held = (from: number, count: number, still: number, moving: number[]) => moving.map((v, i) => (i >= from && i < from + count ? still : v));
  const movingSpo2 = alternating(96, n);
  const movingPulse = alternating(70, n);
  const movingHeart = alternating(70, n);

  it('is everything after the first sample of a stretch that repeats for longer than 30 s', () => {
    const list = statuses(spo2(held(10, 32, 99, movingSpo2)), pulse(held(10, 32, 75, movingPulse)), heart(movingHeart));
    expect(list.indexOf('held')).toBe(11);
    expect(list.filter((s) => s === 'held')).toHaveLength(31);
  });

  it('is nothing at exactly 30 s', () => {
    expect(counts(spo2(held(10, 31, 99, movingSpo2)), pulse(held(10, 31, 75, movingPulse)), heart(movingHeart))).toEqual({ good: n });
  });

  it('is nothing while SpO2 alone stands still', () => {
    expect(counts(spo2(repeat(97, n)), pulse(movingPulse), heart(movingHeart))).toEqual({ good: n });
    expect(counts(spo2(repeat(97, n)), heart(movingHeart))).toEqual({ good: n });
  });

  it('is nothing while the perfusion index still changes', () => {
    expect(counts(spo2(repeat(97, n)), pulse(repeat(70, n)), perfusion(alternating(2, n)), heart(movingHeart))).toEqual({ good: n });
  });

  it('is nothing while the heart rate stands still too, or where there is none', () => {
    expect(counts(spo2(repeat(97, n)), pulse(repeat(70, n)), heart(repeat(70, n)))).toEqual({ good: n });
    expect(counts(spo2(repeat(97, n)), pulse(repeat(70, n)))).toEqual({ good: n });
  });

  it('is nothing at an interval above 5 s', () => {
    expect(counts(spo2(repeat(97, n), 10), pulse(repeat(70, n), 10), heart(movingHeart, 10))).toEqual({ good: n });
  });
});

describe('disputed', () => {
  const n = 40;
  const rates = (from: number, count: number, off: number) => Array.from({ length: n }, (_, i) => (i >= from && i < from + count ? 70 + off : 70 + (i % 2)));

  it('is a difference of more than 10 /min and 10 % for 10 s', () => {
    expect(counts(spo2(alternating(96, n)), pulse(rates(5, 10, 20)), heart(repeat(70, n)))).toEqual({ good: 30, disputed: 10 });
  });

  it('is nothing for 9 s, for exactly 10 /min, or for less than 10 %', () => {
    expect(counts(spo2(alternating(96, n)), pulse(rates(5, 9, 20)), heart(repeat(70, n)))).toEqual({ good: n });
    expect(counts(spo2(alternating(96, n)), pulse(rates(5, 20, 10)), heart(repeat(70, n)))).toEqual({ good: n });
    expect(counts(spo2(alternating(96, n)), pulse(repeat(161, n)), heart(repeat(150, n)))).toEqual({ good: n });
  });

  it('needs one sample at an interval of 60 s, which stands for a minute', () => {
    expect(counts(spo2(alternating(96, n), 60), pulse(rates(5, 1, 40), 60), heart(repeat(70, n), 60))).toEqual({ good: n - 1, disputed: 1 });
  });

  it('leaves a weak sample weak', () => {
    expect(counts(spo2(alternating(96, n)), pulse(rates(0, n, 40)), perfusion(repeat(0.1, n)), heart(repeat(70, n)))).toEqual({ weak: n });
  });
});

describe('held displays of a device that exports a pulse amplitude in place of an index', () => {
  it('are not suspected while the amplitude changes', () => {
    // Open data, uw-varied-fio2 file 100002, sensor 4: SpO2 and pulse stood still for 31 s, the amplitude did not.
    const amplitude = (cells: readonly Cell[]) => regularChannel({ quantity: 'pulse-amplitude', site: 'finger' }, cells, 1);
    const still = [spo2(repeat(97, 60)), pulse(repeat(60, 60)), heart(alternating(60, 60))];
    expect(counts(...still, amplitude(alternating(40, 60)))).toEqual({ good: 60 });
    expect(counts(...still, amplitude(repeat(40, 60)))).toEqual({ good: 1, held: 59 });
  });
});
