import type { Interval } from '../base/interval.ts';
import { difference, intersection, subtract, union } from '../base/interval.ts';
import { STATUS } from '../model/analysis.ts';
import type { SensorCoverage, SensorState, StateSpan } from '../model/site-detail.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import type { ComparedSite, PairContext } from './pair-spans.ts';
import { lostSpans, meantOf } from './pair-spans.ts';

/**
 * Returns what a sensor gave at every time of a case.
 * Shape   from start to end of `bounds` without a hole, neighbours differ. A record gap goes before all else (unless the
 *         parameters keep gaps as losses), then times at which the sensor was not on, then losses from the middle of
 *         their onset to the middle of their end, however short, then doubtful samples for as long as they stand.
 * Source  analysis-spec 9; docs/metrics/site-pairs.md.
 */
export function sensorCoverage(sensor: ComparedSite, bounds: Interval, { recordGaps, parameters }: PairContext): SensorCoverage {
  const within = (spans: readonly Interval[]) => intersection(union(spans), [bounds]);
  const gaps = within(parameters.keepRecordGaps ? [] : recordGaps);
  const on = within(meantOf(sensor.losses));
  return {
    siteKey: sensor.site.siteKey,
    spans: layered<SensorState>(bounds, 'information', [
      ['record gap', gaps],
      ['not on', subtract(bounds, on)],
      ['lost', within(lostSpans(sensor.losses.runs))],
      ['doubtful', within(doubtfulSpans(sensor.site))],
    ]),
  };
}

/** Returns `bounds` parted into states: where several layers hold, the first of them; where none does, `ground`. */
export function layered<State>(bounds: Interval, ground: State, layers: readonly (readonly [State, readonly Interval[]])[]): StateSpan<State>[] {
  const spans: StateSpan<State>[] = [];
  let free: Interval[] = [bounds];
  for (const [state, layer] of layers) {
    const holes = union(layer);
    for (const taken of intersection(free, holes)) spans.push({ ...taken, state });
    free = difference(free, holes);
  }
  for (const rest of free) spans.push({ ...rest, state: ground });
  spans.sort((a, b) => a.startMs - b.startMs);
  const joined: StateSpan<State>[] = [];
  for (const span of spans) {
    const last = joined[joined.length - 1];
    if (last !== undefined && last.state === span.state && last.endMs === span.startMs) joined[joined.length - 1] = { ...last, endMs: span.endMs };
    else joined.push(span);
  }
  return joined;
}

/** Weak and disputed samples, each for as long as it stands: until the next, at most one interval. */
function doubtfulSpans({ track: { tMs, status }, intervalMs }: SiteTrack): Interval[] {
  const spans: Interval[] = [];
  for (let i = 0; i < tMs.length; i++) {
    if (status[i] !== STATUS.weak && status[i] !== STATUS.disputed) continue;
    const startMs = tMs[i] ?? NaN;
    const interval = intervalMs[i] ?? NaN;
    if (!Number.isNaN(interval)) spans.push({ startMs, endMs: Math.min(startMs + interval, tMs[i + 1] ?? Infinity) });
  }
  return spans;
}
