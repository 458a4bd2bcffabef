import { lowerBound } from '../base/search.ts';
import type { Desaturation, FalseLowSigns } from '../model/hypoxaemia.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { quantileOfSorted } from '../stats/quantile.ts';
import type { ValueSeries } from './value-series.ts';
import { standingTime } from './value-series.ts';

/** A baseline wants this share of its window seen. */
const LEAST_SEEN = 0.5;

/**
 * Returns the falls of SpO2 from a running baseline.
 * Shape   in time order, disjoint, without what may make them read falsely low. The baseline is the median of the values of the
 *         `desaturationBaselineS` before; it stands still during a fall. A fall begins with a value `desaturationFallPoints`
 *         or more below it, and ends with the first one within `desaturationReturnPoints` of it.
 * Units   ms and per cent.
 * Missing a fall that a loss cuts short ends with its last value (`endedBy` says so); no baseline reaches across a loss, and
 *         none is taken from less than half of its window. Falls shorter than `desaturationMinS` are left out.
 * Source  handbook 6.1 (from sleep medicine, from memory); docs/metrics/hypoxaemia.md.
 */
export function desaturations(series: ValueSeries, parameters: AnalysisParameters): Omit<Desaturation, keyof FalseLowSigns>[] {
  const { t, value } = series;
  const windowMs = parameters.desaturationBaselineS * 1000;
  const out: Omit<Desaturation, keyof FalseLowSigns>[] = [];
  const sorted: number[] = [];
  let from = 0;
  let seenMs = 0;
  let fall: { startMs: number; baselinePct: number; lowestPct: number; lowestAtMs: number } | null = null;
  const close = (endMs: number, endedBy: Desaturation['endedBy'], lastedMs: number) => {
    if (fall !== null && lastedMs >= parameters.desaturationMinS * 1000) out.push({ ...fall, endMs, endedBy });
    fall = null;
  };
  for (let i = 0; i < t.length; i++) {
    const at = t[i] ?? NaN;
    const v = value[i] ?? NaN;
    if (Number.isNaN(v)) {
      sorted.length = 0;
      from = i + 1;
      seenMs = 0;
      continue;
    }
    while (from < i && (t[from] ?? NaN) < at - windowMs) {
      remove(sorted, value[from] ?? NaN);
      seenMs -= standingTime(series, from).time;
      from++;
    }
    if (fall === null && seenMs >= LEAST_SEEN * windowMs) {
      const baselinePct = quantileOfSorted(sorted, 0.5) ?? NaN;
      if (v <= baselinePct - parameters.desaturationFallPoints) fall = { startMs: at, baselinePct, lowestPct: v, lowestAtMs: at };
    }
    if (fall !== null) {
      if (v < fall.lowestPct) [fall.lowestPct, fall.lowestAtMs] = [v, at];
      if (v >= fall.baselinePct - parameters.desaturationReturnPoints) close(at, 'return', at - fall.startMs);
    }
    const { time, isBroken } = standingTime(series, i);
    sorted.splice(lowerBound(sorted, v), 0, v);
    seenMs += time;
    const isLast = i === t.length - 1;
    const isCut = isBroken || Number.isNaN(value[i + 1] ?? NaN);
    if (fall !== null && isCut) close(at, isLast ? 'end of monitoring' : 'loss', at - fall.startMs + time);
    if (isBroken) {
      sorted.length = 0;
      from = i + 1;
      seenMs = 0;
    }
  }
  return out;
}

function remove(sorted: number[], v: number): void {
  const i = lowerBound(sorted, v);
  if (sorted[i] === v) sorted.splice(i, 1);
}
