import type { ChartBaseline, ChartMeasure, ChartPhase, FrozenLimits, PointFigures } from '../model/quality-chart.ts';
import { individualsBaseline, individualsLimits } from '../stats/individuals.ts';
import { sigmaZOf } from '../stats/laney.ts';
import { median } from '../stats/quantile.ts';
import { TIME_POWER, casesBaseline, casesLimits, timesBaseline, timesLimits } from '../stats/rare-events.ts';
import { type RatioKind, ratioCentre, ratioChart, ratioSigma } from '../stats/shewhart.ts';

/** Limits at one point. */
export interface LimitsAt {
  readonly centre: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly chance: { readonly lower: number; readonly upper: number } | null;
  /** Distance of the value from the centre in standard deviations; null without value or limits, and for g charts, which have none. */
  readonly z: number | null;
}

/** Below this the limits of chance alone are drawn too. Source: statistics g, a choice. */
const UNDERDISPERSED = 0.8;
const NO_LIMITS: FrozenLimits = { centre: null, sigmaZ: null, meanMovingRange: null, mean: null };

/**
 * Returns what the limits of a phase follow from, worked out once from its baseline.
 * Missing a kind without limits, or a baseline without values: null.
 */
export function frozenLimits(kind: ChartPhase['kind'], points: readonly PointFigures[], { firstPoint, lastPoint, excluded }: Omit<ChartBaseline, 'isProvisional'>, sigmas: number): FrozenLimits {
  const counted = points.slice(firstPoint, lastPoint + 1);
  const options = { sigmas, excludeFromLimits: excluded.map((i) => i - firstPoint) };
  const values = counted.map(({ value }) => value);
  const present = values.filter((v, i) => v !== null && !options.excludeFromLimits.includes(i)).map((v) => v ?? NaN);
  const x = counted.map(({ numerator }) => numerator);
  const n = counted.map(({ denominator }) => denominator ?? 0);
  switch (kind) {
    case 'line':
      return NO_LIMITS;
    case 'run':
      return { ...NO_LIMITS, centre: median(present) };
    case 'p':
    case 'u':
      return { ...NO_LIMITS, centre: ratioCentre(x, n, options) };
    case 'p prime':
    case 'u prime': {
      const centre = ratioCentre(x, n, options);
      return { ...NO_LIMITS, centre, sigmaZ: centre === null ? null : sigmaZOf(ratioKindOf(kind), x, n, centre, options) };
    }
    case 'xmr':
      return { ...NO_LIMITS, ...individualsBaseline(values, options) };
    case 'g': {
      const { mean, centre } = casesBaseline(present, { sigmas });
      return { ...NO_LIMITS, mean, centre };
    }
    case 't': {
      const { centre: mean, meanMovingRange } = timesBaseline(present, { sigmas });
      return { ...NO_LIMITS, mean, meanMovingRange, centre: timesLimits([], { centre: mean, meanMovingRange }, sigmas).centre };
    }
  }
}

function ratioKindOf(kind: 'p' | 'p prime' | 'u' | 'u prime'): RatioKind {
  return kind === 'p' || kind === 'p prime' ? 'share' : 'rate';
}

/** Returns the limits of a phase at each point; nothing but the point's own denominator moves them. */
export function limitsAt({ kind, limits, sigmas }: Pick<ChartPhase, 'kind' | 'limits' | 'sigmas'>, measure: ChartMeasure, points: readonly PointFigures[]): LimitsAt[] {
  const { centre, sigmaZ, meanMovingRange, mean } = limits;
  const same = (lower: number | null, upper: number | null, z: (value: number) => number | null): LimitsAt[] =>
    points.map(({ value }) => ({ centre, lower, upper, chance: null, z: value === null ? null : z(value) }));
  switch (kind) {
    case 'line':
    case 'run':
      return same(null, null, () => null);
    case 'xmr': {
      const { lcl, ucl, sigma } = individualsLimits([], { centre, meanMovingRange }, sigmas);
      const isShare = measure === 'cases with a long loss' || measure === 'share of time lost';
      return same(lcl === null ? null : Math.max(0, lcl), ucl === null ? null : isShare ? Math.min(1, ucl) : ucl, (value) => (centre === null || sigma === null || sigma === 0 ? null : (value - centre) / sigma));
    }
    case 'g': {
      const { lcl, ucl } = casesLimits([], { mean, centre }, sigmas);
      return same(lcl, ucl, () => null);
    }
    case 't': {
      const { lcl, ucl } = timesLimits([], { centre: mean, meanMovingRange }, sigmas);
      const { sigma } = individualsLimits([], { centre: mean, meanMovingRange }, sigmas);
      return same(lcl, ucl, (value) => (mean === null || sigma === null || sigma === 0 ? null : (value ** TIME_POWER - mean) / sigma));
    }
    default: {
      const ratio = ratioKindOf(kind);
      const x = points.map(({ numerator }) => numerator);
      const n = points.map(({ denominator }) => denominator ?? 0);
      const drawn = ratioChart(ratio, x, n, { centre, sigmaZ }, sigmas);
      const plain = sigmaZ !== null && sigmaZ < UNDERDISPERSED ? ratioChart(ratio, x, n, { centre, sigmaZ: null }, sigmas) : null;
      return points.map(({ value }, i) => {
        const sigma = centre === null ? null : ratioSigma(ratio, centre, n[i] ?? 0);
        const spread = sigma === null ? 0 : sigma * (sigmaZ ?? 1);
        const [low, high] = [plain?.lcl[i] ?? null, plain?.ucl[i] ?? null];
        return {
          centre,
          lower: drawn.lcl[i] ?? null,
          upper: drawn.ucl[i] ?? null,
          chance: low === null || high === null ? null : { lower: low, upper: high },
          z: value === null || centre === null || spread === 0 ? null : (value - centre) / spread,
        };
      });
    }
  }
}
