import { describe, expect, it } from 'vitest';
import { dropoutTotals } from '../../../../core/metrics/dropout-totals.ts';
import { doubtfulMs } from '../../../../core/metrics/doubtful-time.ts';
import { timeBelow } from '../../../../core/metrics/time-below.ts';
import { informationSeries } from '../../../../core/metrics/value-series.ts';
import { channelIntervals } from '../../../../core/quality/channel-intervals.ts';
import { siteTracks } from '../../../../core/quality/site-track.ts';
import { regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const ALL = { startMs: 0, endMs: 1e9 };
const track = (spo2: readonly Cell[], perfusion: readonly Cell[] = []) =>
  siteTracks(
    channelIntervals([regularChannel({ quantity: 'spo2', site: 'finger' }, spo2, 10), regularChannel({ quantity: 'perfusion-index', site: 'finger' }, perfusion, 10)]),
    parametersWith({}),
  )[0]!;
const below90 = (cells: readonly Cell[], lostMidMs = 0) => timeBelow(informationSeries(track(cells), ALL, 'any'), lostMidMs, 60)[0]!;

describe('dropoutTotals', () => {
  it('adds limit by limit and names the longest', () => {
    const lost = [{ low: 1, mid: 2, high: 3 }, { low: 10, mid: 20, high: 30 }];
    expect(dropoutTotals(lost, 44)).toEqual({ count: 2, lostMs: { low: 11, mid: 22, high: 33 }, longestMidMs: 20, shareMid: 0.5 });
  });

  it('has no share without monitored time, and a share of 0 without loss', () => {
    expect(dropoutTotals([], 0).shareMid).toBeNull();
    expect(dropoutTotals([], 10).shareMid).toBe(0);
  });
});

describe('timeBelow', () => {
  it('cuts where the line crosses the threshold', () => {
    // 92 → 88 crosses 90 half way: 5 s; 88 → 92 the same.
    expect(below90([96, 92, 88, 92, 96]).observedMs).toBe(10_000);
  });

  it('is strict: a value at the threshold is not below', () => {
    expect(below90(repeat(90, 6)).observedMs).toBe(0);
  });

  it('counts nothing across a loss, and nothing for a sample alone', () => {
    expect(below90([95, 95, 95, 80, '---', '---', 80, '---', 95, 95, 95]).observedMs).toBeCloseTo(10_000 * (10 / 15), 6);
  });

  it('adds the lost time to the high estimate only', () => {
    expect(below90([96, 92, 88, 92, 96], 7000)).toEqual({ thresholdPct: 90, observedMs: 10_000, lowMs: 10_000, highMs: 17_000, areaPctS: 10, areaLowPctS: 10, areaHighPctS: 10 + 7 * 30 });
  });
});

describe('doubtfulMs', () => {
  it('gives each doubtful sample its interval, within the span', () => {
    const site = track(repeat(97, 20), [...repeat(2, 5), ...repeat(0.1, 4), ...repeat(2, 11)]);
    expect(doubtfulMs(site, ALL)).toBe(40_000);
    expect(doubtfulMs(site, { startMs: 0, endMs: 60_000 })).toBe(20_000);
  });
});
