import type { Interval } from '../base/interval.ts';
import type { Hypoxaemia } from '../model/hypoxaemia.ts';
import { LOW_RUN_RULES } from '../model/hypoxaemia.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { desaturations } from './desaturations.ts';
import type { DyeSpan } from './dyes.ts';
import { lowRuns } from './low-runs.ts';
import type { ValueSeries } from './value-series.ts';
import { belowHeld, timeWeightedMean } from './value-series.ts';

/** Source: handbook 6.1. */
const T90_PCT = 90;

/**
 * Returns what is known of low SpO2 at one sensor while there was information.
 * Shape   `series` is the information within `span`, the monitored span (null: never monitored, everything empty).
 * Units   ms, per cent, shares from 0 to 1.
 * Source  analysis-spec 8; docs/metrics/hypoxaemia.md.
 */
export function hypoxaemia(series: ValueSeries, span: Interval | null, dyes: readonly DyeSpan[], parameters: AnalysisParameters): Hypoxaemia {
  if (span === null) return { observedMs: 0, meanPct: null, lowest: null, t90: { observed: null, low: null, high: null }, lowRuns: [], desaturations: [] };
  const { observed, mean } = timeWeightedMean(series);
  const held = belowHeld(series, T90_PCT);
  return {
    observedMs: observed,
    meanPct: mean,
    lowest: lowestOf(series),
    t90: { observed: held.share, low: held.shareLow, high: held.shareHigh },
    lowRuns: LOW_RUN_RULES.flatMap((rule) => lowRuns(series, rule)),
    desaturations: desaturations(series, parameters).map((fall) => ({
      ...fall,
      dyeIds: dyes.filter((dye) => dye.startMs <= fall.endMs && dye.endMs >= fall.startMs).map((dye) => dye.id),
    })),
  };
}

function lowestOf({ t, value }: ValueSeries): Hypoxaemia['lowest'] {
  let lowest: { pct: number; atMs: number } | null = null;
  for (let i = 0; i < t.length; i++) {
    const pct = value[i] ?? NaN;
    if (Number.isNaN(pct)) continue;
    if (lowest === null || pct < lowest.pct) lowest = { pct, atMs: t[i] ?? NaN };
  }
  return lowest;
}
