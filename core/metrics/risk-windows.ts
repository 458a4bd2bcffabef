import { difference, intersection, totalMs, union } from '../base/interval.ts';
import type { Interval } from '../base/interval.ts';

/** Where an exposure is thought to act: [at + from, at + to), and the stretch before it that is kept apart, ms. */
export interface WindowRule {
  readonly fromMs: number;
  readonly toMs: number;
  readonly preMs: number;
}

/** A loss: from when to when nothing can begin anew, and when it began; null when it began before the record could show it. */
export interface WindowLoss extends Interval {
  readonly onsetMs: number | null;
}

/** Exclusive parts of the monitored time, each sorted and disjoint; lost time is still in them. */
export interface WindowParts {
  readonly risk: readonly Interval[];
  readonly pre: readonly Interval[];
  readonly control: readonly Interval[];
}

/** Time in which a loss could begin, and losses that did, by part. */
export interface WindowTally {
  readonly riskMs: number;
  readonly preMs: number;
  readonly controlMs: number;
  readonly riskOnsets: number;
  readonly preOnsets: number;
  readonly controlOnsets: number;
  /** Losses with no onset, or with one outside the monitored spans: counted nowhere else. */
  readonly notPlaced: number;
}

/**
 * Returns the parts of the monitored time: in the window of an exposure, shortly before one, and neither.
 * Shape   windows are half-open and merged, never added, and cut to the monitored spans; exposures before the record count.
 *         Time before an exposure that lies in the window of another belongs to that window.
 * Source  self-controlled design: Farrington, Biometrics 1995;51:228; Whitaker et al., Stat Med 2006;25:1768; statistics d.
 */
export function windowParts(monitored: readonly Interval[], exposures: readonly { readonly atMs: number; readonly rule: WindowRule }[]): WindowParts {
  const spans = inOrder(monitored);
  const windows = union(exposures.map(({ atMs, rule }) => ({ startMs: atMs + rule.fromMs, endMs: atMs + rule.toMs })).filter(isLong));
  const before = union(exposures.map(({ atMs, rule }) => ({ startMs: atMs - rule.preMs, endMs: atMs })).filter(isLong));
  const risk = intersection(spans, windows);
  const pre = difference(intersection(spans, before), risk);
  return { risk, pre, control: difference(difference(spans, risk), pre) };
}

/**
 * Returns the time at risk and the onsets in each part.
 * Units   ms. Time already lost carries no risk of a new onset and counts nowhere; an onset belongs to the part that holds its time.
 * Missing a loss without an onset, or with one outside all parts, is counted apart.
 */
export function riskWindows({ risk, pre, control }: WindowParts, losses: readonly WindowLoss[]): WindowTally {
  const lost = inOrder(losses);
  const open = (part: readonly Interval[]) => totalMs(part) - commonMs(part, lost);
  const onsets: number[] = [];
  for (const { onsetMs } of losses) if (onsetMs !== null) onsets.push(onsetMs);
  onsets.sort((a, b) => a - b);
  const riskOnsets = countInside(onsets, risk);
  const preOnsets = countInside(onsets, pre);
  const controlOnsets = countInside(onsets, control);
  const notPlaced = losses.length - riskOnsets - preOnsets - controlOnsets;
  return { riskMs: open(risk), preMs: open(pre), controlMs: open(control), riskOnsets, preOnsets, controlOnsets, notPlaced };
}

/** The union; what is sorted and disjoint already stays as it is. */
function inOrder(spans: readonly Interval[]): readonly Interval[] {
  let endMs = -Infinity;
  for (const span of spans) {
    if (span.startMs < endMs || span.endMs < span.startMs) return union(spans);
    endMs = span.endMs;
  }
  return spans;
}

/** How much of one list of sorted, disjoint spans lies in another. */
function commonMs(a: readonly Interval[], b: readonly Interval[]): number {
  let common = 0;
  let from = 0;
  for (const { startMs, endMs } of a) {
    for (let other = b[from]; other !== undefined && other.endMs <= startMs; other = b[from]) from++;
    for (let i = from; i < b.length; i++) {
      const other = b[i];
      if (other === undefined || other.startMs >= endMs) break;
      common += Math.max(0, Math.min(endMs, other.endMs) - Math.max(startMs, other.startMs));
    }
  }
  return common;
}

function isLong({ startMs, endMs }: Interval): boolean {
  return endMs > startMs;
}

/** How many ascending times lie in the spans [start, end), which are sorted and disjoint. */
function countInside(times: readonly number[], spans: readonly Interval[]): number {
  let count = 0;
  let at = 0;
  for (const time of times) {
    for (let span = spans[at]; span !== undefined && span.endMs <= time; span = spans[at]) at++;
    if (time >= (spans[at]?.startMs ?? Infinity)) count++;
  }
  return count;
}
