import { MOVING_RANGE_TO_SIGMA } from './individuals.ts';
import { type ChartOptions, type RatioChart, type RatioKind, isInBaseline, ratioCentre, ratioChart, ratioSigma } from './shewhart.ts';

/**
 * Returns how much wider (above 1) or narrower than chance the points spread from one to the next: the mean moving range of their
 * standardised distances from the centre, over 1.128.
 * Missing fewer than two points that count, or a centre around which no spread is expected: null.
 * Source  Laney, Qual Eng 2002;14:531. The moving range, not the standard deviation of the distances.
 */
export function sigmaZOf(kind: RatioKind, x: readonly number[], n: readonly number[], centre: number, options: ChartOptions): number | null {
  const z: number[] = [];
  n.forEach((d, i) => {
    const sigma = ratioSigma(kind, centre, d);
    if (sigma !== null && isInBaseline(i, options)) z.push(((x[i] ?? NaN) / d - centre) / sigma);
  });
  if (z.length < 2 || !z.every(Number.isFinite)) return null;
  let sum = 0;
  for (let i = 1; i < z.length; i++) sum += Math.abs((z[i] ?? NaN) - (z[i - 1] ?? NaN));
  return sum / (z.length - 1) / MOVING_RANGE_TO_SIGMA;
}

/** Returns a p′ chart: a p chart whose limits are sigmaZ times as wide. Missing as for `pChart`; without sigmaZ the limits stay those of chance, with the reason. */
export function pPrimeChart(x: readonly number[], n: readonly number[], options: ChartOptions): RatioChart {
  return primeChart('share', x, n, options);
}

/** Returns a u′ chart: a u chart whose limits are sigmaZ times as wide. Missing as for `uChart`; without sigmaZ the limits stay those of chance, with the reason. */
export function uPrimeChart(x: readonly number[], n: readonly number[], options: ChartOptions): RatioChart {
  return primeChart('rate', x, n, options);
}

function primeChart(kind: RatioKind, x: readonly number[], n: readonly number[], options: ChartOptions): RatioChart {
  const centre = ratioCentre(x, n, options);
  const sigmaZ = centre === null ? null : sigmaZOf(kind, x, n, centre, options);
  const chart = ratioChart(kind, x, n, { centre, sigmaZ }, options.sigmas);
  if (centre === null || sigmaZ !== null) return chart;
  return { ...chart, reason: ratioSigma(kind, centre, 1) === 0 ? 'no-spread-expected' : 'too-few-points' };
}
