import type { FalseLowSigns, LowRun, LowRunRule } from '../model/hypoxaemia.ts';
import type { ValueSeries } from './value-series.ts';
import { standingTime } from './value-series.ts';

/**
 * Returns every run of low values that stood for long enough under a rule.
 * Shape   in time order. A run ends with a value that is not low, with a record without value, and where a record is missing.
 * Units   ms and per cent. Each value stands until the next record, at most one interval: n values at 60 s last n minutes.
 * Source  handbook 1.3, `hypox-ehrenfeld-definition`; docs/metrics/hypoxaemia.md.
 */
export function lowRuns(series: ValueSeries, rule: LowRunRule): Omit<LowRun, keyof FalseLowSigns>[] {
  const { t, value } = series;
  const isLow = (v: number) => v < rule.limitPct || (rule.atLimit && v === rule.limitPct);
  const out: Omit<LowRun, keyof FalseLowSigns>[] = [];
  let i = 0;
  while (i < t.length) {
    if (!isLow(value[i] ?? NaN)) {
      i++;
      continue;
    }
    const startMs = t[i] ?? NaN;
    let endMs = startMs;
    let lastedMs = 0;
    let lowestPct = Infinity;
    let isBroken = false;
    while (i < t.length && !isBroken && isLow(value[i] ?? NaN)) {
      endMs = t[i] ?? NaN;
      lowestPct = Math.min(lowestPct, value[i] ?? Infinity);
      const stands = standingTime(series, i);
      lastedMs += stands.time;
      isBroken = stands.isBroken;
      i++;
    }
    if (lastedMs >= rule.minS * 1000) out.push({ rule: rule.name, startMs, endMs, lastedMs, lowestPct });
  }
  return out;
}
