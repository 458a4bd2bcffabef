import type { Interval } from '../base/interval.ts';
import type { BoundedShare, FalseLowSigns, Hypoxaemia } from '../model/hypoxaemia.ts';
import { LOW_RUN_RULES } from '../model/hypoxaemia.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { desaturations } from './desaturations.ts';
import { lowRuns } from './low-runs.ts';
import type { HeldBelow, ValueSeries } from './value-series.ts';
import { belowHeld, timeWeightedMean } from './value-series.ts';

/** Source: handbook 6.1. */
const T90_PCT = 90;

/**
 * Returns what is known of low SpO2 at one sensor while there was information.
 * Shape   `series` is the information within `span`, the monitored span (null: never monitored, everything empty).
 *         `monitoredMs` is the denominator of the sensor: it reaches on with a loss not restored, and leaves record gaps out
 *         unless they are kept. `signsOf` says what between two instants can make the sensor read falsely low.
 * Units   ms, per cent, shares from 0 to 1.
 * Source  analysis-spec 8; docs/metrics/hypoxaemia.md.
 */
export function hypoxaemia(series: ValueSeries, span: Interval | null, monitoredMs: number, signsOf: (startMs: number, endMs: number) => FalseLowSigns, parameters: AnalysisParameters): Hypoxaemia {
  if (span === null) return { observedMs: 0, meanPct: null, lowest: null, t90: { observed: null, low: null, high: null }, lowRuns: [], desaturations: [] };
  const { observed, mean } = timeWeightedMean(series);
  const held = belowHeld(series, T90_PCT);
  const lowest = lowestOf(series);
  return {
    observedMs: observed,
    meanPct: mean,
    lowest: lowest === null ? null : { ...lowest, ...signsOf(lowest.atMs, lowest.atMs) },
    t90: boundedShare(held, monitoredMs),
    lowRuns: LOW_RUN_RULES.flatMap((rule) => lowRuns(series, rule)).map((run) => ({ ...run, ...signsOf(run.startMs, run.endMs) })),
    desaturations: desaturations(series, parameters).map((fall) => ({ ...fall, ...signsOf(fall.startMs, fall.endMs) })),
  };
}

/** A value beside a record gap may stand a little into it, so what was observed can reach past the denominator. */
function boundedShare({ share, below, observed }: HeldBelow, monitoredMs: number): BoundedShare {
  const totalMs = Math.max(monitoredMs, observed);
  if (totalMs === 0) return { observed: share, low: null, high: null };
  return { observed: share, low: below / totalMs, high: (below + totalMs - observed) / totalMs };
}

function lowestOf({ t, value }: ValueSeries): { readonly pct: number; readonly atMs: number } | null {
  let lowest: { pct: number; atMs: number } | null = null;
  for (let i = 0; i < t.length; i++) {
    const pct = value[i] ?? NaN;
    if (Number.isNaN(pct)) continue;
    if (lowest === null || pct < lowest.pct) lowest = { pct, atMs: t[i] ?? NaN };
  }
  return lowest;
}
