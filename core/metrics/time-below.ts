import type { BelowThreshold } from '../model/analysis.ts';
import type { ValueSeries } from './value-series.ts';
import { belowLine } from './value-series.ts';

/** Source: analysis-spec 8. */
export const THRESHOLDS_PCT = [90, 85, 80] as const;

/**
 * Returns the time that SpO2 stood below each threshold while there was information and the area between, and what they could have been.
 * Shape   one entry per threshold, from the highest.
 * Units   ms and %·s; thresholds in per cent, strict (below, not at).
 * Missing linear between neighbouring samples with information, clipped where the line crosses the threshold; nothing
 *         is counted across a loss, so a sample that stands alone counts for no time. `low…` is as observed (all that was
 *         lost was above), `high…` adds `lostMidMs` (all below; for the area, all at `floorPct`).
 * Source  analysis-spec 8; handbook 6.1; docs/metrics/time-below.md. Series 96, 92, 88, 84, 88, 92, 96 at 60 s, threshold
 *         90 → 180 s and 540 %·s.
 */
export function timeBelow(series: ValueSeries, lostMidMs: number, floorPct: number): BelowThreshold[] {
  return THRESHOLDS_PCT.map((thresholdPct) => {
    const { time, area } = belowLine(series, thresholdPct);
    const areaPctS = area / 1000;
    return {
      thresholdPct,
      observedMs: time,
      lowMs: time,
      highMs: time + lostMidMs,
      areaPctS,
      areaLowPctS: areaPctS,
      areaHighPctS: areaPctS + (lostMidMs / 1000) * Math.max(0, thresholdPct - floorPct),
    };
  });
}
