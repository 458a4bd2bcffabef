import { describe, expect, it } from 'vitest';
import { buildEnvelope, drawingGaps, readEnvelope } from '../../../../core/signal/envelope.ts';
import type { EnvelopeColumns } from '../../../../core/signal/envelope.ts';

const seconds = (n: number, stepMs = 1000) => Float64Array.from({ length: n }, (_, i) => i * stepMs);
const rows = (c: EnvelopeColumns) => Array.from({ length: c.n }, (_, i) => [c.x[i], c.min[i], c.max[i]]);

describe('buildEnvelope and readEnvelope', () => {
  it('keeps every nadir when ten hours at 1 Hz fill a thousand pixels', () => {
    const n = 36000;
    const value = new Float64Array(n).fill(98);
    value[17_777] = 61;
    const c = readEnvelope(buildEnvelope(seconds(n), value, 1500), 0, n * 1000, 1000);
    expect(c.n).toBe(1000);
    expect(Math.min(...c.min.slice(0, c.n))).toBe(61);
    expect(c.min.slice(0, c.n).filter((v) => v === 61)).toHaveLength(1);
  });

  it('lifts the pen across a loss and nowhere else', () => {
    const value = Float64Array.from([97, 97, NaN, NaN, 96, 96]);
    const c = readEnvelope(buildEnvelope(seconds(6), value, 1500), 0, 6000, 600);
    expect(rows(c)).toEqual([
      [0, 97, 97],
      [1000, 97, 97],
      [2500, NaN, NaN],
      [4000, 96, 96],
      [5000, 96, 96],
    ]);
  });

  it('lifts the pen across rows that are not there', () => {
    const c = readEnvelope(buildEnvelope(Float64Array.from([0, 1000, 9000]), Float64Array.from([1, 2, 3]), 1500), 0, 10000, 100);
    expect(rows(c).map((r) => r[1])).toEqual([1, 2, NaN, 3]);
  });

  it('breaks between two columns even when the loss is narrower than a pixel', () => {
    const value = new Float64Array(3600).fill(97);
    value.fill(NaN, 1000, 1030);
    const c = readEnvelope(buildEnvelope(seconds(3600), value, 1500), 0, 3_600_000, 50);
    const breaks = rows(c).filter((r) => Number.isNaN(r[1]));
    expect(breaks.length).toBe(1);
    expect(c.n).toBe(51);
  });

  it('does not break a channel that is recorded on every fifth row', () => {
    const value = Float64Array.from({ length: 50 }, (_, i) => (i % 5 === 0 ? 36 : NaN));
    const t = seconds(50);
    const c = readEnvelope(buildEnvelope(t, value, drawingGaps(t, value)), 0, 50_000, 500);
    expect(rows(c).some((r) => Number.isNaN(r[1]))).toBe(false);
    expect(c.n).toBe(10);
  });

  it('adds the sample beyond either edge so that the line runs to it', () => {
    const c = readEnvelope(buildEnvelope(seconds(10), Float64Array.from(seconds(10), (_, i) => i), 1500), 4500, 5500, 10);
    expect(rows(c).map((r) => r[0])).toEqual([4000, 5000, 6000]);
  });

  it('gives nothing for an empty channel, an empty window or no pixels', () => {
    const env = buildEnvelope(seconds(3), Float64Array.from([NaN, NaN, NaN]), 1500);
    expect(readEnvelope(env, 0, 3000, 100).n).toBe(0);
    const full = buildEnvelope(seconds(3), Float64Array.from([1, 2, 3]), 1500);
    expect(readEnvelope(full, 2000, 2000, 100).n).toBe(0);
    expect(readEnvelope(full, 0, 3000, 0).n).toBe(0);
  });
});
