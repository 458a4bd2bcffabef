import type { ChartChoice, ChartMeasure, PointFigures } from '../model/quality-chart.ts';
import { RUN_POINTS, BASELINE_POINTS } from '../model/quality-chart.ts';
import { sigmaZOf } from '../stats/laney.ts';
import { ratioCentre } from '../stats/shewhart.ts';

/** Points scatter more than chance from here on, and Laney's limits are drawn. Source: statistics g, a choice. */
const SIGMA_Z_LIMIT = 1.2;
/** From so many cases, or hours, in a point chance explains less than anything else does. Source: statistics g, a choice. */
const VERY_MANY = 1000;

/**
 * Returns the chart that the table of methods names for these points, with the figures that decided.
 * Shape   points that are complete. Seconds are no trials of chance, so time is drawn as single values whatever its denominator.
 * Source  statistics g: fewer than 10 points are only drawn, 10 to 19 are a run chart; p′ and u′ when sigmaZ > 1.2, or above about
 *         1000 cases or monitored hours a point; fewer than one event to expect in a point: g or t.
 */
export function chartChoice(measure: ChartMeasure, points: readonly PointFigures[]): ChartChoice {
  const withValue = points.filter(({ value }) => value !== null);
  const x = points.map(({ numerator }) => numerator);
  const n = points.map(({ denominator }) => denominator ?? 0);
  const withDenominator = n.filter((d) => d > 0);
  const isRatio = measure === 'cases with a long loss' || measure === 'losses per hour';
  const centre = isRatio ? ratioCentre(x, n, { sigmas: 3 }) : null;
  const sigmaZ = centre === null ? null : sigmaZOf(measure === 'losses per hour' ? 'rate' : 'share', x, n, centre, { sigmas: 3 });
  const meanDenominator = isRatio && withDenominator.length > 0 ? withDenominator.reduce((sum, d) => sum + d, 0) / withDenominator.length : null;
  const expectedPerPoint = centre === null || meanDenominator === null ? null : centre * meanDenominator;
  const figures = { points: withValue.length, sigmaZ, meanDenominator, expectedPerPoint, isRare: expectedPerPoint !== null && expectedPerPoint < 1 };
  if (withValue.length < RUN_POINTS) return { ...figures, kind: 'line', reason: 'fewer than 10 points' };
  if (withValue.length < BASELINE_POINTS) return { ...figures, kind: 'run', reason: '10 to 19 points' };
  switch (measure) {
    case 'cases with a long loss':
      if (sigmaZ !== null && sigmaZ > SIGMA_Z_LIMIT) return { ...figures, kind: 'p prime', reason: 'shares that scatter more than chance' };
      if (meanDenominator !== null && meanDenominator > VERY_MANY) return { ...figures, kind: 'p prime', reason: 'shares of very many cases' };
      return { ...figures, kind: 'p', reason: 'shares of cases' };
    case 'losses per hour':
      if (sigmaZ !== null && sigmaZ > SIGMA_Z_LIMIT) return { ...figures, kind: 'u prime', reason: 'counts that scatter more than chance' };
      if (meanDenominator !== null && meanDenominator > VERY_MANY) return { ...figures, kind: 'u prime', reason: 'counts in very many hours' };
      return { ...figures, kind: 'u', reason: 'counts in time' };
    case 'cases between long losses':
      return { ...figures, kind: 'g', reason: 'rare events' };
    case 'days between long losses':
      return { ...figures, kind: 't', reason: 'rare events' };
    default:
      return { ...figures, kind: 'xmr', reason: 'time is not counted in cases' };
  }
}
