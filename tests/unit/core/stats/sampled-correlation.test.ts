import { describe, expect, it } from 'vitest';
import { crossCorrelation } from '../../../../core/stats/cross-correlation.ts';
import { addSums, correlationOf, noPairs, sampledSums } from '../../../../core/stats/sampled-correlation.ts';
import { seededRandom } from '../../../simulator/random.ts';

describe('the correlation of samples with a grid', () => {
  const random = seededRandom(1);
  const x = Float64Array.from({ length: 200 }, () => (random.chance(0.1) ? NaN : random.normal()));
  const y = Float64Array.from({ length: 200 }, () => (random.chance(0.1) ? NaN : random.normal()));
  const at = Int32Array.from(x, (_, i) => i);

  it('is that of two series on one grid at every lag (held against crossCorrelation, itself held against the reference cases)', () => {
    const known = crossCorrelation(x, y, 50, 30);
    known.forEach((r, i) => {
      const own = correlationOf(sampledSums(x, at, y, i - 50, 0, x.length), 30);
      if (r === null) expect(own).toBeNull();
      else expect(own).toBeCloseTo(r, 12);
    });
  });

  it('of blocks added up is that of the whole', () => {
    const total = noPairs();
    for (const [from, to] of [[0, 70], [70, 71], [71, 200]] as const) addSums(total, sampledSums(x, at, y, 3, from, to));
    expect(correlationOf(total, 2)).toBeCloseTo(correlationOf(sampledSums(x, at, y, 3, 0, 200), 2) ?? NaN, 12);
  });

  it('is none for a constant part or too few pairs', () => {
    const flat = new Float64Array(200).fill(70);
    expect(correlationOf(sampledSums(flat, at, y, 0, 0, 200), 2)).toBeNull();
    expect(correlationOf(sampledSums(x, at, flat, 0, 0, 200), 2)).toBeNull();
    expect(correlationOf(sampledSums(x, at, y, 190, 0, 200), 30)).toBeNull();
  });
});
