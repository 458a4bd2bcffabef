import { lowerBound } from '../base/search.ts';
import type { LowestPossible } from '../model/hypoxaemia.ts';
import type { FourInstants } from '../model/analysis.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { wideningOf } from '../episodes/widening.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

interface Point {
  readonly atMs: number;
  readonly pct: number;
}

/**
 * Returns how low a value can have gone between two values under the greatest rates of fall and rise.
 * Shape   the lower edge: two straight lines that meet between the two points, cut at 0; from one point to the other.
 * Units   per cent per second.
 * Missing where the second value is further away than the rates allow, the edge is the line between them.
 * Source  handbook 7.1, `blind-lowest-possible`: (r S0 + f S1 − f r T) / (f + r), cut to 0…min(S0, S1). Own derivation.
 * Example 98 → 94 % over 60 s, fall 0.5, rise 2 %/s → 73.2 %.
 */
export function lowestBetween(before: Point, after: Point, fallPctPerS: number, risePctPerS: number): Point[] {
  const lastedS = (after.atMs - before.atMs) / 1000;
  const meets = (risePctPerS * before.pct + fallPctPerS * after.pct - fallPctPerS * risePctPerS * lastedS) / (fallPctPerS + risePctPerS);
  if (meets >= Math.min(before.pct, after.pct)) return [before, after];
  if (meets < 0) {
    return [before, { atMs: before.atMs + (before.pct / fallPctPerS) * 1000, pct: 0 }, { atMs: after.atMs - (after.pct / risePctPerS) * 1000, pct: 0 }, after];
  }
  return [before, { atMs: before.atMs + ((before.pct - meets) / fallPctPerS) * 1000, pct: meets }, after];
}

/**
 * Returns how low SpO2 can have been inside a dropout. A bound that cannot be excluded, not an estimate.
 * Shape   information inside a joined dropout bounds it from both sides. `deviceHoldS` lets the first fall begin that much
 *         before the last good sample, since the display may have repeated an old value; so do a hold, and the interval of means and
 *         medians, that a mapping states. The edge then goes straight down at the last good sample: it stays inside the dropout.
 * Missing a loss that was not restored has no value after it: SpO2 can have fallen until `endMs`.
 * Source  handbook 7.1; docs/metrics/cannot-be-excluded.md.
 */
export function lowestPossible(dropout: FourInstants, endMs: number, site: SiteTrack, rule: InformationRule, parameters: AnalysisParameters): LowestPossible {
  const { tMs, value, status } = site.track;
  const { fallPctPerS, risePctPerS } = parameters;
  const lowest = informationFrom(rule);
  const untilMs = dropout.firstGoodMs ?? endMs;
  const points: Point[] = [];
  for (let i = lowerBound(tMs, dropout.lastGoodMs); i < tMs.length && (tMs[i] ?? Infinity) <= untilMs; i++) {
    if ((status[i] ?? 0) >= lowest) points.push({ atMs: tMs[i] ?? NaN, pct: value[i] ?? NaN });
  }
  const widening = wideningOf(site, { lastGoodMs: dropout.lastGoodMs, firstGoodMs: untilMs, isOpen: dropout.firstGoodMs === null }, rule);
  const earlierMs = (widening?.holdMs ?? parameters.deviceHoldS * 1000) + (widening?.highMs ?? 0);
  const edge: Point[] = [];
  points.forEach((point, i) => {
    const before = points[i - 1];
    if (before === undefined) edge.push(point);
    else if (i > 1 || earlierMs === 0) edge.push(...lowestBetween(before, point, fallPctPerS, risePctPerS).slice(1));
    else edge.push(...from(lowestBetween({ ...before, atMs: before.atMs - earlierMs }, point, fallPctPerS, risePctPerS), before.atMs));
  });
  const last = points[points.length - 1];
  if (dropout.firstGoodMs === null && last !== undefined && endMs > last.atMs) {
    const heldMs = points.length === 1 ? earlierMs : 0;
    const fallenTo = (atMs: number) => Math.max(0, last.pct - (fallPctPerS * (atMs + heldMs - last.atMs)) / 1000);
    const zeroMs = last.atMs - heldMs + (last.pct / fallPctPerS) * 1000;
    if (heldMs > 0) edge.push({ atMs: last.atMs, pct: fallenTo(last.atMs) });
    if (zeroMs > last.atMs && zeroMs < endMs) edge.push({ atMs: zeroMs, pct: 0 });
    edge.push({ atMs: endMs, pct: fallenTo(endMs) });
  }
  const deepest = edge.reduce<Point | null>((least, point) => (least === null || point.pct < least.pct ? point : least), null);
  return { pct: deepest?.pct ?? 0, atMs: deepest?.atMs ?? dropout.lastGoodMs, edge };
}

/** The part of a line of points that lies at or after an instant, beginning at that instant. */
function from(line: readonly Point[], atMs: number): Point[] {
  const next = line.findIndex((point) => point.atMs > atMs);
  const before = line[next - 1];
  const after = line[next];
  if (before === undefined || after === undefined) return [...line];
  const share = (atMs - before.atMs) / (after.atMs - before.atMs);
  return [{ atMs, pct: before.pct + share * (after.pct - before.pct) }, ...line.slice(next)];
}
