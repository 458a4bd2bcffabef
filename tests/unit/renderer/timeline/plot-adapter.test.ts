import { describe, expect, it } from 'vitest';
import { ColumnSource, bucketFor, buildTrace, groupByGrid, levelColumns, rawColumns } from '../../../../renderer/timeline/plot-adapter.ts';
import { channelAt, regularChannel, repeat } from '../../../builders/channel.ts';

const SPO2 = { quantity: 'spo2', site: 'finger' } as const;
const LIMITS = [1, 100] as const;

function breaks(trace: { readonly tMs: Float64Array; readonly breakBefore: Uint8Array }): number[] {
  return [...trace.tMs].filter((_, i) => trace.breakBefore[i] === 1).map((ms) => ms / 1000);
}

describe('buildTrace', () => {
  it('leaves out empty, filler, flagged and implausible samples, and breaks the line there', () => {
    const channel = regularChannel(SPO2, [97, 98, 97, null, 96, '---', 95, { flagged: 94 }, 93, 120, 92, 91, 90, 91]);
    const trace = buildTrace(channel, LIMITS);
    expect([...trace.value]).toEqual([97, 98, 97, 96, 95, 93, 92, 91, 90, 91]);
    expect(breaks(trace)).toEqual([4, 6, 8, 10]);
    expect(trace.intervalMs).toBe(1000);
  });
  it('breaks where rows are missing altogether', () => {
    const points = Array.from({ length: 60 }, (_, i) => [i < 30 ? i * 10 : i * 10 + 600, 97] as const);
    expect(breaks(buildTrace(channelAt(SPO2, points), LIMITS))).toEqual([900]);
  });
  it('does not break a channel recorded on every 12th row of a table', () => {
    const cells = Array.from({ length: 600 }, (_, i) => (i % 12 === 0 ? 36 + (i % 5) / 10 : null));
    const trace = buildTrace(regularChannel({ quantity: 'temp-core' }, cells, 5), [25, 45]);
    expect(trace.tMs).toHaveLength(50);
    expect(breaks(trace)).toEqual([]);
    expect(trace.intervalMs).toBe(60_000);
  });
  it('follows an interval that changes during the case', () => {
    const points = [...Array.from({ length: 30 }, (_, i) => [i * 60, 97] as const), ...Array.from({ length: 120 }, (_, i) => [1800 + i * 15, 97] as const)];
    expect(breaks(buildTrace(channelAt(SPO2, points), LIMITS))).toEqual([]);
  });
  it('makes an irregular channel single marks', () => {
    const at = [0, 130, 700, 760, 1900, 2000, 3300, 5000, 5100, 7777];
    const trace = buildTrace(channelAt({ quantity: 'nibp-sys' }, at.map((second) => [second, 120] as const)), [20, 300]);
    expect(trace.intervalMs).toBeNull();
    expect(breaks(trace)).toEqual(at.slice(1));
  });
  it('has nothing to draw of a channel without a value', () => {
    expect(buildTrace(regularChannel(SPO2, repeat(null, 20)), LIMITS).tMs).toHaveLength(0);
  });
});

describe('rawColumns', () => {
  it('puts a null in every break: on the row without a value, or between two rows where none is', () => {
    const empty = buildTrace(regularChannel(SPO2, [97, 98, 97, 98, null, 97, 98, 97]), LIMITS);
    expect(rawColumns([empty])).toEqual({ xSec: [0, 1, 2, 3, 4, 5, 6, 7], columns: [[97, 98, 97, 98, null, 97, 98, 97]] });
    const points = [0, 1, 2, 3, 4, 20, 21, 22, 23, 24].map((second) => [second, 97] as const);
    expect(rawColumns([buildTrace(channelAt(SPO2, points), LIMITS)])).toEqual({
      xSec: [0, 1, 2, 3, 4, 12, 20, 21, 22, 23, 24],
      columns: [[97, 97, 97, 97, 97, null, 97, 97, 97, 97, 97]],
    });
  });
  it('never puts NaN, and uses undefined where a line goes on over rows without a value', () => {
    const fast = regularChannel(SPO2, Array.from({ length: 60 }, () => 97));
    const slow = { ...regularChannel({ quantity: 'temp-core' }, Array.from({ length: 60 }, (_, i) => (i % 10 === 0 ? 36 : null))), tMs: fast.tMs };
    const { columns } = rawColumns([buildTrace(fast, LIMITS), buildTrace(slow, [25, 45])]);
    expect(columns[1]?.slice(0, 12)).toEqual([36, ...Array<undefined>(9).fill(undefined), 36, undefined]);
    expect(columns.flat().some((cell) => Number.isNaN(cell))).toBe(false);
  });
});

describe('levelColumns', () => {
  it('keeps a nadir of one sample in 10 hours', () => {
    const cells = Array.from({ length: 36_000 }, (_, i) => (i === 20_000 ? 71 : 97 + (i % 2)));
    const { columns } = levelColumns([buildTrace(regularChannel(SPO2, cells), LIMITS)], ['both'], 64_000);
    expect(Math.min(...(columns[0] ?? []).filter((cell) => typeof cell === 'number'))).toBe(71);
  });
  it('fills a break with nulls from bucket to bucket, never with undefined', () => {
    // 0–99 s good, 100–199 s lost, then good; buckets of 16 s: 96–112 s holds the last good, 192–208 s the first.
    const cells = [...repeat(97, 100), ...repeat(null, 100), ...repeat(96, 100)].map((cell, i) => (typeof cell === 'number' ? cell + (i % 2) : cell));
    const { xSec, columns } = levelColumns([buildTrace(regularChannel(SPO2, cells), LIMITS)], ['both'], 16_000);
    const inside = xSec.map((x, i) => [x, columns[0]?.[i]] as const).filter(([x]) => x >= 112 && x <= 192);
    expect(inside.length).toBeGreaterThan(10);
    expect(inside.every(([, cell]) => cell === null)).toBe(true);
  });
  it('lets the line of a slow channel run on over buckets without a sample', () => {
    const cells = Array.from({ length: 3000 }, (_, i) => (i % 60 === 0 ? 36 : null));
    const { columns } = levelColumns([buildTrace(regularChannel({ quantity: 'temp-core' }, cells), [25, 45])], ['both'], 16_000);
    expect(columns[0]?.includes(null)).toBe(false);
  });
  it('gives the upper edge of a band its highest values and the lower its lowest', () => {
    const cells = Array.from({ length: 320 }, (_, i) => 100 + (i % 10));
    const trace = buildTrace(regularChannel({ quantity: 'art-sys' }, cells), null);
    const { columns } = levelColumns([trace, trace], ['max', 'min'], 32_000);
    expect(columns.map((column) => new Set(column.filter((cell) => cell !== undefined)))).toEqual([new Set([109]), new Set([100])]);
  });
});

describe('bucketFor and ColumnSource', () => {
  it.each([
    [36_000_000, 1200, 1000, 32_000],
    [36_000_000, 1200, 60_000, null],
    [600_000, 1200, 1000, null],
  ])('%d ms over %d px of a channel every %d ms: bucket %s', (span, width, interval, bucket) => {
    expect(bucketFor(span, width, interval)).toBe(bucket);
  });
  it('makes the columns of a resolution once', () => {
    const source = new ColumnSource([buildTrace(regularChannel(SPO2, Array.from({ length: 9000 }, (_, i) => 96 + (i % 3))), LIMITS)], ['both']);
    const wide = source.columnsFor(9_000_000, 500);
    expect(source.columnsFor(8_900_000, 500)).toBe(wide);
    expect(source.columnsFor(100_000, 500)).not.toBe(wide);
  });
});

describe('groupByGrid', () => {
  it('puts traces of one table together and others apart, by their instants', () => {
    const one = regularChannel(SPO2, repeat(97, 10));
    const same = regularChannel({ quantity: 'pulse-rate', site: 'finger' }, repeat(70, 10));
    const other = regularChannel({ quantity: 'heart-rate' }, repeat(70, 10), 2);
    const traces = [one, same, other].map((channel) => buildTrace(channel, null));
    expect(groupByGrid(traces).map((group) => group.map((trace) => trace.channelId))).toEqual([['spo2@finger', 'pulse-rate@finger'], ['heart-rate']]);
  });
});
