import type { Interval } from '../base/interval.ts';
import { lowerBound } from '../base/search.ts';
import type { PerfusionLevel } from '../model/site-comparison.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { intervalsAt } from '../signal/interval.ts';
import { median } from '../stats/quantile.ts';

const COURSE_BIN_MS = 300_000;
const MINUTE_MS = 60_000;

/**
 * Returns level and course of a sensor's perfusion index over a span, or null where it has none.
 * Shape   plausible values only, each weighted by the time it stands (until the next, at most one interval).
 * Units   per cent; ms; shares from 0 to 1.
 * Source  issue of signal strength between sites; handbook 2 (skewed: medians and quantiles, never mean and SD);
 *         docs/metrics/signal-strength.md.
 */
export function perfusionLevel(site: SiteTrack, span: Interval, parameters: AnalysisParameters): PerfusionLevel | null {
  const values = standingValues(site, span, parameters);
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a.value - b.value);
  let seenMs = 0;
  let weakMs = 0;
  let undesirableMs = 0;
  for (const { value, standsMs } of values) {
    seenMs += standsMs;
    if (value < parameters.weakPerfusionIndex) weakMs += standsMs;
    if (value < parameters.desirablePerfusionIndex) undesirableMs += standsMs;
  }
  const bins: number[][] = Array.from({ length: Math.floor((span.endMs - span.startMs) / COURSE_BIN_MS) + 1 }, () => []);
  for (const { atMs, value } of values) bins[Math.floor((atMs - span.startMs) / COURSE_BIN_MS)]?.push(value);
  return {
    seenMs,
    median: weightedQuantile(sorted, seenMs, 0.5),
    low: weightedQuantile(sorted, seenMs, 0.1),
    high: weightedQuantile(sorted, seenMs, 0.9),
    belowWeakShare: weakMs / seenMs,
    belowDesirableShare: undesirableMs / seenMs,
    binMs: COURSE_BIN_MS,
    courseStartMs: span.startMs,
    course: bins.map((bin) => median(bin)),
  };
}

/**
 * Returns the median over minutes of first / second perfusion index, and over how many minutes; null where a minute with both is missing.
 * Shape   of each minute the medians of either sensor.
 */
export function perfusionRatio(first: SiteTrack, second: SiteTrack, shared: readonly Interval[], parameters: AnalysisParameters): { readonly ratio: number | null; readonly minutes: number } {
  const ratios: number[] = [];
  for (const span of shared) {
    const a = byMinute(standingValues(first, span, parameters));
    const b = byMinute(standingValues(second, span, parameters));
    for (const [minute, values] of a) {
      const other = median(b.get(minute) ?? []);
      const own = median(values);
      if (own !== null && other !== null) ratios.push(own / other);
    }
  }
  return { ratio: median(ratios), minutes: ratios.length };
}

interface StandingValue {
  readonly atMs: number;
  readonly value: number;
  readonly standsMs: number;
}

function standingValues({ perfusion }: SiteTrack, span: Interval, parameters: AnalysisParameters): StandingValue[] {
  if (perfusion === null) return [];
  const { tMs, value } = perfusion.channel;
  const [low, high] = parameters.perfusionPlausible;
  const intervals = intervalsAt(tMs, perfusion.segments);
  const out: StandingValue[] = [];
  for (let i = lowerBound(tMs, span.startMs); i < tMs.length; i++) {
    const atMs = tMs[i] ?? NaN;
    if (atMs > span.endMs) break;
    const v = value[i] ?? NaN;
    const interval = intervals[i] ?? NaN;
    if (!(v >= low && v <= high) || Number.isNaN(interval)) continue;
    out.push({ atMs, value: v, standsMs: Math.min(interval, (tMs[i + 1] ?? Infinity) - atMs) });
  }
  return out;
}

function byMinute(values: readonly StandingValue[]): Map<number, number[]> {
  const out = new Map<number, number[]>();
  for (const { atMs, value } of values) {
    const minute = Math.floor(atMs / MINUTE_MS);
    const list = out.get(minute);
    if (list === undefined) out.set(minute, [value]);
    else list.push(value);
  }
  return out;
}

/** The smallest value up to which the wanted share of the time lies. */
function weightedQuantile(sorted: readonly StandingValue[], totalMs: number, p: number): number {
  let upToMs = 0;
  for (const { value, standsMs } of sorted) {
    upToMs += standsMs;
    if (upToMs >= p * totalMs) return value;
  }
  return sorted[sorted.length - 1]?.value ?? NaN;
}
