import { describe, expect, it } from 'vitest';
import { intervalsAt, mainInterval, segmentIntervals, stepLimits } from '../../../../core/signal/interval.ts';

const every = (stepS: number, count: number, fromS = 0) => Array.from({ length: count }, (_, i) => (fromS + i * stepS) * 1000);
const intervals = (t: readonly number[]) => segmentIntervals(Float64Array.from(t)).map((s) => s.intervalMs);

describe('segmentIntervals', () => {
  it('finds one interval for a regular channel', () => {
    expect(segmentIntervals(Float64Array.from(every(10, 50)))).toEqual([{ startMs: 0, endMs: 490_000, intervalMs: 10_000 }]);
  });

  it('splits at a change from 60 s to 15 s', () => {
    expect(segmentIntervals(Float64Array.from([...every(60, 10), ...every(15, 10, 555)]))).toEqual([
      { startMs: 0, endMs: 540_000, intervalMs: 60_000 },
      { startMs: 540_000, endMs: 690_000, intervalMs: 15_000 },
    ]);
  });

  it('splits at a change from 15 s to 60 s', () => {
    expect(intervals([...every(15, 20), ...every(60, 12, 345)])).toEqual([15_000, 60_000]);
  });

  it('splits at a change from 15 s to 10 s (half as long again is no jitter)', () => {
    // Simulated losses beside such a change began a row late: both intervals had been taken as one.
    expect(intervals([...every(15, 40), ...every(10, 30, 595)])).toEqual([15_000, 10_000]);
    expect(intervals([...every(10, 40), ...every(15, 30, 405)])).toEqual([10_000, 15_000]);
  });

  it('splits at a change that falls into a gap', () => {
    expect(segmentIntervals(Float64Array.from([...every(60, 10), ...every(15, 20, 1200)]))).toEqual([
      { startMs: 0, endMs: 540_000, intervalMs: 60_000 },
      { startMs: 1_200_000, endMs: 1_485_000, intervalMs: 15_000 },
    ]);
  });

  it('is not misled by rows that are missing, even at regular places', () => {
    const t = every(10, 200).filter((ms) => !(ms > 300_000 && ms < 700_000) && !(ms > 1_000_000 && ms < 1_060_000 && ms % 20_000 !== 0));
    expect(intervals(t)).toEqual([10_000]);
  });

  it('takes the median of jittered steps', () => {
    const t = Array.from({ length: 101 }, (_, i) => i * 60_000 + [0, 2000, -3000, 1000, 0][i % 5]!);
    const [only, ...rest] = intervals(t);
    expect(rest).toEqual([]);
    expect(Math.abs(only! - 60_000)).toBeLessThanOrEqual(3000);
  });

  it('finds no interval in cuff readings taken now and then', () => {
    const steps = [300, 290, 65, 130, 700, 222, 410, 95, 540];
    let at = 0;
    expect(intervals([0, ...steps.map((s) => (at += s) * 1000)])).toEqual([null]);
  });

  it('tells a stretch charted by hand from a connected monitor', () => {
    const hand = [0, 410, 1130, 1460, 2570, 3010, 4720].map((s) => s * 1000);
    expect(intervals([...hand, ...every(60, 60, 5000)])).toEqual([null, 60_000]);
  });

  it('finds no interval for one or two rows', () => {
    expect(intervals([])).toEqual([]);
    expect(intervals([5])).toEqual([null]);
    expect(intervals([5, 1005])).toEqual([null]);
  });
});

describe('intervalsAt, stepLimits and mainInterval', () => {
  const t = Float64Array.from([...every(60, 10), ...every(15, 10, 555)]);
  const segments = segmentIntervals(t);

  it('gives the interval in force at each instant', () => {
    expect([...intervalsAt(Float64Array.from([0, 60_000, 540_000, 600_000]), segments)]).toEqual([60_000, 60_000, 15_000, 15_000]);
  });

  it('limits a step to one and a half intervals', () => {
    expect([...stepLimits(Float64Array.from([0, 600_000]), segments)]).toEqual([90_000, 22_500]);
    expect([...stepLimits(Float64Array.from([0]), segmentIntervals(Float64Array.from([0, 1])))]).toEqual([Infinity]);
  });

  it('names the interval that covers most time', () => {
    expect(mainInterval(segments)).toBe(60_000);
    expect(mainInterval([])).toBeNull();
  });
});
