import type { Interval } from '../base/interval.ts';
import { lowerBound } from '../base/search.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

/** Two sensors at the same instants. NaN: no information there. */
export interface CommonGrid {
  readonly startMs: number;
  readonly stepMs: number;
  readonly first: Float64Array;
  readonly second: Float64Array;
}

/** More points than this are no case. */
const MOST_POINTS = 2_000_000;

/**
 * Returns the SpO2 of two sensors at common instants, or null where one is recorded irregularly or they share no time.
 * Shape   a step of the coarser interval, from the first sample of that sensor in the shared time. At each instant the
 *         sample nearest to it, no further than half a step; nothing is interpolated.
 * Units   ms, per cent.
 * Missing NaN outside `shared` and where there was no information under the rule.
 * Source  docs/metrics/site-pairs.md.
 */
export function commonGrid(first: SiteTrack, second: SiteTrack, shared: readonly Interval[], rule: InformationRule): CommonGrid | null {
  const span = shared.length === 0 ? null : { startMs: shared[0]?.startMs ?? NaN, endMs: shared[shared.length - 1]?.endMs ?? NaN };
  if (span === null || first.mainMs === null || second.mainMs === null) return null;
  const coarser = second.mainMs > first.mainMs ? second : first;
  const stepMs = Math.max(first.mainMs, second.mainMs);
  const startMs = coarser.track.tMs[lowerBound(coarser.track.tMs, span.startMs)] ?? span.startMs;
  const count = Math.floor((span.endMs - startMs) / stepMs) + 1;
  if (!(count > 1) || count > MOST_POINTS) return null;
  const inShared = maskOf(shared, startMs, stepMs, count);
  return { startMs, stepMs, first: onGrid(first, startMs, stepMs, inShared, rule), second: onGrid(second, startMs, stepMs, inShared, rule) };
}

function maskOf(shared: readonly Interval[], startMs: number, stepMs: number, count: number): Uint8Array {
  const mask = new Uint8Array(count);
  for (const part of shared) {
    const from = Math.max(0, Math.ceil((part.startMs - startMs) / stepMs));
    const to = Math.min(count - 1, Math.floor((part.endMs - startMs) / stepMs));
    if (to >= from) mask.fill(1, from, to + 1);
  }
  return mask;
}

function onGrid({ track: { tMs, value, status } }: SiteTrack, startMs: number, stepMs: number, mask: Uint8Array, rule: InformationRule): Float64Array {
  const out = new Float64Array(mask.length).fill(NaN);
  const off = new Float64Array(mask.length).fill(Infinity);
  const lowest = informationFrom(rule);
  for (let i = lowerBound(tMs, startMs - stepMs / 2); i < tMs.length; i++) {
    const at = tMs[i] ?? NaN;
    const k = Math.round((at - startMs) / stepMs);
    if (k >= mask.length) break;
    const distance = Math.abs(at - startMs - k * stepMs);
    if (k < 0 || mask[k] === 0 || distance >= (off[k] ?? 0)) continue;
    off[k] = distance;
    out[k] = (status[i] ?? 0) >= lowest ? (value[i] ?? NaN) : NaN;
  }
  return out;
}
