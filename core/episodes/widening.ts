import { lowerBound, upperBound } from '../base/search.ts';
import { STATUS } from '../model/analysis.ts';
import type { LossRun, RunWidening } from '../model/loss-run.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';

/**
 * Returns by how much the bounds of a run are widened because of what a mapping states about the making of its values; null
 * where it states nothing, or that each is an instantaneous value without hold.
 * Shape   `lowMs` ≤ `highMs`; both 0 but for means and medians. `holdMs` null: the parameter of the analysis holds.
 * Units   ms.
 * Source  docs/methods/value-making.md, with the derivation; handbook 3.3, 3.4 and 10.
 */
export function wideningOf(site: SiteTrack, run: Pick<LossRun, 'lastGoodMs' | 'firstGoodMs' | 'isOpen'>, rule: InformationRule): RunWidening | null {
  const { valueMaking, deviceHoldS } = site.channel;
  const statedHoldMs = deviceHoldS === undefined ? null : deviceHoldS * 1000;
  if (valueMaking === 'hold') return { lowMs: 0, highMs: 0, holdMs: Math.min(unchangedMs(site, run.lastGoodMs, rule), statedHoldMs ?? Infinity) };
  if (valueMaking !== 'mean' && valueMaking !== 'median') return statedHoldMs === null ? null : { lowMs: 0, highMs: 0, holdMs: statedHoldMs };
  const intervals = [run.lastGoodMs, run.firstGoodMs].map((ms) => site.intervalMs[lowerBound(site.track.tMs, ms)] ?? NaN).filter((ms) => !Number.isNaN(ms));
  const isBlank = !run.isOpen && isAllAbsent(site, run);
  return { lowMs: isBlank ? Math.min(...intervals) : 0, highMs: Math.max(...intervals, 0), holdMs: statedHoldMs };
}

/** Whether every sample of a run is absent: only a blank says that its whole interval held no value. */
function isAllAbsent({ track }: SiteTrack, run: Pick<LossRun, 'lastGoodMs' | 'firstGoodMs'>): boolean {
  for (let i = upperBound(track.tMs, run.lastGoodMs); i < track.tMs.length && (track.tMs[i] ?? Infinity) < run.firstGoodMs; i++) {
    if (track.status[i] !== STATUS.absent) return false;
  }
  return true;
}

/** Returns how long before an instant a recorder that carries values on can have had its last new one: to the sample before the last change. */
function unchangedMs({ track }: SiteTrack, atMs: number, rule: InformationRule): number {
  const { tMs, value, status } = track;
  const lowest = informationFrom(rule);
  const at = upperBound(tMs, atMs) - 1;
  let first = at;
  for (let i = at - 1; i >= 0; i--) {
    if ((status[i] ?? 0) < lowest) break;
    first = i;
    if (value[i] !== value[at]) break;
  }
  return at < 0 ? 0 : atMs - (tMs[first] ?? atMs);
}
