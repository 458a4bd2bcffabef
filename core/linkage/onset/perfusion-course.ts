import { lowerBound, upperBound } from '../../base/search.ts';
import type { CaseEvent } from '../../model/event.ts';
import type { PerfusionEvidence } from '../../model/onset-evidence.ts';
import type { AnalysisParameters } from '../../model/parameters.ts';
import type { SiteTrack } from '../../quality/site-track.ts';
import { intervalsAt } from '../../signal/interval.ts';

/** A level is the median of this long: longer than a breath, far shorter than a fade. */
const LEVEL_MS = 10_000;
/** `abrupt` is not claimed on less history than this. */
const LEAST_HISTORY_MS = 60_000;
const COURSE_BIN_MS = 10_000;

/**
 * Returns how the perfusion index ran before a loss, or null where none is recorded in the last part before it.
 * Shape   only plausible values at or before `lastGoodMs` count, and none before the sensor was last touched: a sensor
 *         that was moved has a new baseline. Finite numbers throughout.
 * Units   per cent; ms.
 * Missing values are not held or filled in. The last value may be `onsetLastS` old, or two of its intervals.
 * Source  analysis-spec 6, handbook 2 (`pi-finger-change`: the index differs between fingers); docs/methods/onset-patterns.md.
 */
export function perfusionCourse(site: SiteTrack, lastGoodMs: number, events: readonly CaseEvent[], parameters: AnalysisParameters): PerfusionEvidence | null {
  if (site.perfusion === null) return null;
  const resetAtMs = lastTouched(events, site.site, lastGoodMs);
  const windowMs = Math.max(parameters.fadeWindowS, parameters.steadyWindowS) * 1000;
  const fromMs = Math.max(lastGoodMs - windowMs, resetAtMs ?? -Infinity);
  const { times, values } = plausibleValues(site.perfusion.channel.tMs, site.perfusion.channel.value, fromMs, lastGoodMs, parameters.perfusionPlausible);
  const lastAtMs = times[times.length - 1];
  const lastPartMs = parameters.onsetLastS * 1000;
  const interval = intervalsAt(Float64Array.of(lastGoodMs), site.perfusion.segments)[0] ?? NaN;
  const oldest = lastGoodMs - Math.max(lastPartMs, Number.isNaN(interval) ? 0 : 2 * interval);
  if (lastAtMs === undefined || lastAtMs < oldest) return null;

  const levels = times.map((t, i) => medianOf(values.slice(upperBound(times, t - LEVEL_MS), i + 1)));
  const last = levels[levels.length - 1] ?? NaN;
  let highest = last;
  let highestAtMs = lastAtMs;
  let lowestOfLastPart = last;
  times.forEach((t, i) => {
    const level = levels[i] ?? NaN;
    if (t >= lastGoodMs - parameters.fadeWindowS * 1000 && level > highest) [highest, highestAtMs] = [level, t];
    if (t >= lastGoodMs - lastPartMs) lowestOfLastPart = Math.min(lowestOfLastPart, level);
  });
  const lastPart = values.filter((_, i) => (times[i] ?? NaN) >= lastGoodMs - lastPartMs);
  const medianOfLastPart = lastPart.length === 0 ? last : medianOf(lastPart);
  const medianBefore = medianOf(values.filter((_, i) => (times[i] ?? NaN) >= lastGoodMs - parameters.steadyWindowS * 1000));
  return {
    last,
    lastAtMs,
    highest,
    highestAtMs,
    fadeRatio: last / highest,
    lowestOfLastPart,
    medianOfLastPart,
    medianBefore,
    steadyRatio: medianOfLastPart / medianBefore,
    resetAtMs: resetAtMs !== null && resetAtMs >= lastGoodMs - windowMs ? resetAtMs : null,
    courseBinMs: COURSE_BIN_MS,
    course: courseOf(times, values, lastGoodMs, parameters.steadyWindowS * 1000),
  };
}

/** Returns whether the perfusion index faded: fell by `fadeFallPct` or more, or was weak in the last part. */
export function isFading(course: PerfusionEvidence | null, parameters: AnalysisParameters): boolean {
  if (course === null) return false;
  return course.fadeRatio <= 1 - parameters.fadeFallPct / 100 || course.lowestOfLastPart < parameters.weakPerfusionIndex;
}

/** Returns whether the loss came out of a strong and steady signal, seen for at least a minute. */
export function isAbrupt(course: PerfusionEvidence | null, parameters: AnalysisParameters): boolean {
  if (course === null) return false;
  const first = course.course.findIndex((level) => level !== null);
  const historyMs = (course.course.length - first) * course.courseBinMs;
  const isSeen = first >= 0 && historyMs >= LEAST_HISTORY_MS;
  return isSeen && course.steadyRatio >= parameters.abruptKeepPct / 100 && course.medianOfLastPart >= parameters.desirablePerfusionIndex;
}

/** When an event last says that this sensor was put on, moved or taken off; null when none does. */
function lastTouched(events: readonly CaseEvent[], site: string, untilMs: number): number | null {
  let last: number | null = null;
  for (const { kind, atMs, site: named } of events) {
    if (atMs > untilMs || (named !== null && named !== site)) continue;
    if (kind === 'sensor on' || kind === 'sensor moved' || kind === 'sensor off') last = Math.max(last ?? -Infinity, atMs);
  }
  return last;
}

function plausibleValues(tMs: Float64Array, value: Float64Array, fromMs: number, toMs: number, [low, high]: readonly [number, number]): { times: number[]; values: number[] } {
  const times: number[] = [];
  const values: number[] = [];
  const end = upperBound(tMs, toMs);
  for (let i = lowerBound(tMs, fromMs); i < end; i++) {
    const v = value[i] ?? NaN;
    if (!(v >= low && v <= high)) continue;
    times.push(tMs[i] ?? NaN);
    values.push(v);
  }
  return { times, values };
}

function courseOf(times: readonly number[], values: readonly number[], endMs: number, windowMs: number): (number | null)[] {
  const bins: number[][] = Array.from({ length: Math.max(1, Math.round(windowMs / COURSE_BIN_MS)) }, () => []);
  times.forEach((t, i) => bins[bins.length - 1 - Math.floor((endMs - t) / COURSE_BIN_MS)]?.push(values[i] ?? NaN));
  return bins.map((bin) => (bin.length === 0 ? null : medianOf(bin)));
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = (sorted.length - 1) / 2;
  return ((sorted[Math.floor(middle)] ?? NaN) + (sorted[Math.ceil(middle)] ?? NaN)) / 2;
}
