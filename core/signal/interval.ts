import type { IntervalSegment } from '../model/analysis.ts';

/** Steps within some 20 % of their middle are alike: the longest is less than 1.2 / 0.8 of the shortest, so that 10 s and 15 s stay apart. */
const CLUSTER_SPREAD = 1.45;
/** Fewest equal steps that show an interval of their own. */
const MIN_STEPS = 3;
/** Fewest equal steps that show a change to the double, which a loss of every second value could imitate. */
const MIN_STEPS_DOUBLE = 8;
/** Fewest equal steps that show a change to a higher multiple. */
const MIN_STEPS_COARSER = 5;
/** Less apart than 10 s and 15 s: neighbouring runs are one interval with jitter. */
const ALIKE_FACTOR = 1.4;
/** Runs shorter than MIN_STEPS_DOUBLE and less than this factor off the commonest interval are its jitter. */
const JITTER_FACTOR = 1.9;
/** A step is at a whole multiple of the interval when it is off by no more than this share of the interval. */
const MULTIPLE_TOLERANCE = 0.2;
/** A row is missing when more than this many intervals pass. */
export const DUE_FACTOR = 1.5;
/** A longer interval is that of a person who charts, whose pauses are no losses. Five minutes is the coarsest that record keepers store (handbook 10), with jitter. */
const LONGEST_INTERVAL_MS = 330_000;
/** Steps looked at for a median where no single step has the majority. */
const MEDIAN_SAMPLE = 8192;

/** A run of samples i0…i1 whose steps are alike. */
interface Core {
  i0: number;
  i1: number;
  intervalMs: number;
}

/**
 * Returns the stretches of a channel with the recording interval of each, in time order.
 * Shape   `tMs` strictly increasing, one entry per recorded row; it is not modified. Neighbouring stretches may share
 *         the row at which the interval changes. No rows: no stretches.
 * Units   ms. The interval is the mode of the steps, taken as the median of those within 20 % of each other.
 * Missing rows that are not there show as steps of a whole multiple and do not change the interval. `intervalMs` is
 *         null where fewer than half of the steps are at the mode or a whole multiple of it, for fewer than 3 rows, and where
 *         the steps are longer than a recorder's.
 * Source  analysis-spec 2; docs/methods/interval.md.
 * Example rows at 0, 60, 120, 180, 195, 210, 225 s → 60 s until 180 s, then 15 s.
 */
export function segmentIntervals(tMs: Float64Array): IntervalSegment[] {
  return withoutCharting(steppedSegments(tMs));
}

/**
 * Takes away the intervals of stretches that a person charted; where these and irregular ones make up half of the time or more
 * the whole channel is irregular.
 */
function withoutCharting(segments: readonly IntervalSegment[]): IntervalSegment[] {
  const isCharted = ({ intervalMs }: IntervalSegment): boolean => intervalMs !== null && intervalMs > LONGEST_INTERVAL_MS;
  const [first] = segments;
  const last = segments.at(-1);
  if (first === undefined || last === undefined || !segments.some(isCharted)) return [...segments];
  const timeOf = (which: readonly IntervalSegment[]): number => which.reduce((sum, { startMs, endMs }) => sum + endMs - startMs, 0);
  const without = segments.filter((segment) => segment.intervalMs === null || isCharted(segment));
  if (timeOf(without) * 2 >= last.endMs - first.startMs) return [{ startMs: first.startMs, endMs: last.endMs, intervalMs: null }];
  return segments.map((segment) => (isCharted(segment) ? { ...segment, intervalMs: null } : segment));
}

function steppedSegments(tMs: Float64Array): IntervalSegment[] {
  const n = tMs.length;
  if (n === 0) return [];
  if (n < 3) return [segment(tMs, 0, n - 1, null)];
  const cores = dropImitations(tMs, dropJitter(findCores(tMs)));
  const first = cores[0];
  if (first === undefined) return [segment(tMs, 0, n - 1, modeOfSteps(tMs))];

  const out: IntervalSegment[] = [];
  let start = 0;
  if (isIrregular(tMs, 0, first.i0, first.intervalMs, first.intervalMs)) {
    out.push(segment(tMs, 0, first.i0, null));
    start = first.i0;
  }
  let current = first;
  let members: Core[] = [first];
  for (const next of cores.slice(1)) {
    const irregular = isIrregular(tMs, current.i1, next.i0, current.intervalMs, next.intervalMs);
    if (!irregular && alike(current.intervalMs, next.intervalMs)) {
      members.push(next);
      current = next;
      continue;
    }
    if (irregular) {
      out.push(segment(tMs, start, current.i1, medianStep(tMs, members)), segment(tMs, current.i1, next.i0, null));
      start = next.i0;
    } else {
      const split = largestStep(tMs, current.i1, next.i0);
      out.push(segment(tMs, start, split, medianStep(tMs, members)));
      start = split === next.i0 ? split : split + 1;
    }
    members = [next];
    current = next;
  }
  const tailIrregular = isIrregular(tMs, current.i1, n - 1, current.intervalMs, current.intervalMs);
  out.push(segment(tMs, start, tailIrregular ? current.i1 : n - 1, medianStep(tMs, members)));
  if (tailIrregular) out.push(segment(tMs, current.i1, n - 1, null));
  return out;
}

/**
 * Returns the interval in force at each instant of `tMs` (NaN where it is irregular or unknown).
 * Shape   `tMs` ascending; one entry per instant, a new array. An instant between two stretches takes the later one's.
 */
export function intervalsAt(tMs: Float64Array, segments: readonly IntervalSegment[]): Float64Array {
  const out = new Float64Array(tMs.length).fill(NaN);
  let k = 0;
  for (let i = 0; i < tMs.length; i++) {
    const t = tMs[i] ?? NaN;
    while (k < segments.length - 1 && t > (segments[k]?.endMs ?? Infinity)) k++;
    const at = segments[k];
    const next = segments[k + 1];
    if (at === undefined) continue;
    out[i] = (next !== undefined && t >= next.startMs ? next.intervalMs : at.intervalMs) ?? NaN;
  }
  return out;
}

/**
 * Returns, per instant, the longest time that may pass before the next value without a value being missed.
 * Shape   a new array as long as `tMs`, for `buildEnvelope` and for finding missing rows.
 * Missing Infinity where the interval is not known: nothing can be missed there.
 */
export function stepLimits(tMs: Float64Array, segments: readonly IntervalSegment[]): Float64Array {
  const limit = intervalsAt(tMs, segments);
  for (let i = 0; i < limit.length; i++) {
    const interval = limit[i] ?? NaN;
    limit[i] = Number.isNaN(interval) ? Infinity : interval * DUE_FACTOR;
  }
  return limit;
}

/** Returns the interval that covers most time, or null when most is irregular. */
export function mainInterval(segments: readonly IntervalSegment[]): number | null {
  const covered = new Map<number | null, number>();
  for (const { startMs, endMs, intervalMs } of segments) covered.set(intervalMs, (covered.get(intervalMs) ?? 0) + endMs - startMs);
  let best: number | null = null;
  let bestMs = -1;
  for (const [intervalMs, ms] of covered) if (ms > bestMs) [best, bestMs] = [intervalMs, ms];
  return best;
}

function segment(tMs: Float64Array, i0: number, i1: number, intervalMs: number | null): IntervalSegment {
  return { startMs: tMs[i0] ?? NaN, endMs: tMs[i1] ?? NaN, intervalMs };
}

function alike(a: number, b: number): boolean {
  return Math.max(a, b) <= ALIKE_FACTOR * Math.min(a, b);
}

function findCores(tMs: Float64Array): Core[] {
  const cores: Core[] = [];
  let start = 0;
  let shortest = Infinity;
  let longest = 0;
  const close = (end: number) => {
    const steps = end - start;
    if (steps < MIN_STEPS) return;
    cores.push({ i0: start, i1: end, intervalMs: ((tMs[end] ?? NaN) - (tMs[start] ?? NaN)) / steps });
  };
  for (let i = 1; i < tMs.length; i++) {
    const step = (tMs[i] ?? NaN) - (tMs[i - 1] ?? NaN);
    const low = step < shortest ? step : shortest;
    const high = step > longest ? step : longest;
    if (high <= CLUSTER_SPREAD * low) {
      shortest = low;
      longest = high;
      continue;
    }
    close(i - 1);
    start = i - 1;
    shortest = step;
    longest = step;
  }
  close(tMs.length - 1);
  return cores;
}

/** Where steps scatter widely, a few like ones in a row come about by chance. */
function dropJitter(cores: readonly Core[]): readonly Core[] {
  let commonest = cores[0];
  for (const core of cores) if (commonest === undefined || core.i1 - core.i0 > commonest.i1 - commonest.i0) commonest = core;
  if (commonest === undefined) return cores;
  const { intervalMs } = commonest;
  return cores.filter((core) => {
    const ratio = Math.max(core.intervalMs / intervalMs, intervalMs / core.intervalMs);
    return ratio <= ALIKE_FACTOR || ratio > JITTER_FACTOR || core.i1 - core.i0 >= MIN_STEPS_DOUBLE;
  });
}

/** A few like steps at whole multiples of a finer interval beside them are losses, not another interval. */
function dropImitations(tMs: Float64Array, cores: readonly Core[]): Core[] {
  const imitates = (core: Core, finer: Core | undefined) => {
    if (finer === undefined || core.intervalMs <= finer.intervalMs * CLUSTER_SPREAD) return false;
    if (core.i1 - core.i0 >= (core.intervalMs < finer.intervalMs * 2.5 ? MIN_STEPS_DOUBLE : MIN_STEPS_COARSER)) return false;
    return stepsAtMultiples(tMs, core.i0, core.i1, finer.intervalMs, finer.intervalMs) * 2 >= core.i1 - core.i0;
  };
  const forward: Core[] = [];
  for (const core of cores) if (!imitates(core, forward[forward.length - 1])) forward.push(core);
  const kept: Core[] = [];
  for (const core of forward.reverse()) if (!imitates(core, kept[kept.length - 1])) kept.push(core);
  return kept.reverse();
}

function isMultiple(step: number, interval: number): boolean {
  const ratio = step / interval;
  return ratio >= 1 - MULTIPLE_TOLERANCE && Math.abs(ratio - Math.round(ratio)) <= MULTIPLE_TOLERANCE;
}

/** Whether the steps from sample i0 to i1 (at least three) mostly fit neither interval. */
function isIrregular(tMs: Float64Array, i0: number, i1: number, before: number, after: number): boolean {
  const steps = i1 - i0;
  if (steps < MIN_STEPS) return false;
  return stepsAtMultiples(tMs, i0, i1, before, after) * 2 < steps;
}

/** How many steps from sample i0 to i1 are whole multiples of one of two intervals. */
function stepsAtMultiples(tMs: Float64Array, i0: number, i1: number, before: number, after: number): number {
  let fitting = 0;
  for (let i = i0 + 1; i <= i1; i++) {
    const step = (tMs[i] ?? NaN) - (tMs[i - 1] ?? NaN);
    if (isMultiple(step, before) || isMultiple(step, after)) fitting++;
  }
  return fitting;
}

/** Index of the sample before the longest step between two samples; `i1` itself when they are one sample. */
function largestStep(tMs: Float64Array, i0: number, i1: number): number {
  let at = i1;
  let longest = 0;
  for (let i = i0; i < i1; i++) {
    const step = (tMs[i + 1] ?? NaN) - (tMs[i] ?? NaN);
    if (step > longest) [longest, at] = [step, i];
  }
  return at;
}

/** Median of the steps inside the given runs: the majority step where there is one, else over evenly taken steps. */
function medianStep(tMs: Float64Array, cores: readonly Core[]): number {
  let candidate = NaN;
  let votes = 0;
  let total = 0;
  for (const { i0, i1 } of cores) {
    total += i1 - i0;
    for (let i = i0; i < i1; i++) {
      const step = (tMs[i + 1] ?? NaN) - (tMs[i] ?? NaN);
      if (votes === 0) candidate = step;
      votes += step === candidate ? 1 : -1;
    }
  }
  let count = 0;
  for (const { i0, i1 } of cores) for (let i = i0; i < i1; i++) if ((tMs[i + 1] ?? NaN) - (tMs[i] ?? NaN) === candidate) count++;
  if (count * 2 > total) return candidate;

  const stride = Math.max(1, Math.floor(total / MEDIAN_SAMPLE));
  const steps: number[] = [];
  let seen = 0;
  for (const { i0, i1 } of cores) for (let i = i0; i < i1; i++) if (seen++ % stride === 0) steps.push((tMs[i + 1] ?? NaN) - (tMs[i] ?? NaN));
  return median(steps.sort((a, b) => a - b), 0, steps.length);
}

function median(sorted: ArrayLike<number>, from: number, to: number): number {
  const middle = (from + to - 1) / 2;
  return ((sorted[Math.floor(middle)] ?? NaN) + (sorted[Math.ceil(middle)] ?? NaN)) / 2;
}

/** The mode of all steps where no run shows it, or null when fewer than half of them fit it. */
function modeOfSteps(tMs: Float64Array): number | null {
  const steps = new Float64Array(tMs.length - 1);
  for (let i = 0; i < steps.length; i++) steps[i] = (tMs[i + 1] ?? NaN) - (tMs[i] ?? NaN);
  const sorted = Float64Array.from(steps).sort();
  let from = 0;
  let bestFrom = 0;
  let bestTo = 0;
  for (let to = 1; to <= sorted.length; to++) {
    while ((sorted[to - 1] ?? NaN) > CLUSTER_SPREAD * (sorted[from] ?? NaN)) from++;
    if (to - from > bestTo - bestFrom) [bestFrom, bestTo] = [from, to];
  }
  const mode = median(sorted, bestFrom, bestTo);
  let fitting = 0;
  for (const step of steps) if (isMultiple(step, mode)) fitting++;
  return fitting * 2 >= steps.length ? mode : null;
}
