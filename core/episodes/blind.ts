import type { Interval } from '../base/interval.ts';
import { coveredMs, lengthMs, union } from '../base/interval.ts';
import type { BlindInterval, RecordGap, SiteAnalysis } from '../model/analysis.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { bridgeRuns } from './bridge.ts';
import type { SiteLosses } from './dropouts.ts';
import { intervalAround } from './dropouts.ts';
import type { LossRun, RunWidening } from '../model/loss-run.ts';
import { gapSpans } from './gap-spans.ts';
import { isWhollyInGaps, lostTime } from './lost-time.ts';
import { meantSpan } from './meant-span.ts';

/** The losses of one sensor that was monitored. */
export interface MonitoredSite {
  readonly site: SiteTrack;
  readonly losses: SiteLosses;
}

/** Every time without information at any sensor, however short, and whether all that was due then fell into record gaps. */
export interface BlindRuns {
  readonly runs: readonly LossRun[];
  readonly inGaps: readonly boolean[];
}

/** A time without information at one sensor: certain between first and last lost, possible between the good samples. */
interface Silence {
  readonly possible: Interval;
  /** null: no instant is certain. A single lost sample is certain for no length. */
  readonly certain: Interval | null;
}

/**
 * Returns every stretch in which no sensor of the case gave information, before any definition of a dropout.
 * Shape   in time order, disjoint, inside the union of the monitored spans (a span that ends in a loss not restored
 *         reaches to its censoring).
 * Missing a sensor not yet on, or taken off, gives no information. Where nothing is certain, first and last lost stand
 *         together in the middle of the possible part.
 * Source  analysis-spec 5; docs/methods/blind-interval.md.
 */
export function blindRuns(sites: readonly MonitoredSite[], gaps: readonly RecordGap[], deviceHoldMs: number): BlindRuns {
  const monitored = sites.filter((s) => s.losses.monitored !== null);
  const spans = union(
    monitored.flatMap(({ losses }) => {
      if (losses.monitored === null) return [];
      return [{ startMs: losses.monitored.startMs, endMs: Math.max(losses.monitored.endMs, losses.censoring?.atMs ?? -Infinity) }];
    }),
  );
  let common: Silence[] = spans.map((span) => ({ possible: span, certain: span }));
  for (const site of monitored) common = intersect(common, silencesOf(site));

  const runs = common.map(({ possible, certain }): LossRun => {
    const middle = (possible.startMs + possible.endMs) / 2;
    const isOpen = spans.some((span) => span.endMs === possible.endMs) && !monitored.some((m) => beginsAt(m, possible.endMs));
    const run = { lastGoodMs: possible.startMs, firstLostMs: certain?.startMs ?? middle, lastLostMs: certain?.endMs ?? middle, firstGoodMs: possible.endMs, isOpen };
    const widening = commonWidening(monitored, possible, deviceHoldMs);
    return widening === null ? run : { ...run, widening };
  });
  return { runs, inGaps: runs.map((run) => isWhollyInGaps(run, gaps, coarsestAround(monitored, run))) };
}

/**
 * Returns the episodes in which no sensor of the case gave information.
 * Shape   the runs of `blindRuns`, joined, kept and freed of record gaps like dropouts.
 * Units   ms. low is the length of the certain part (the overlap of all [first lost, last lost]), high that of the
 *         possible part (the overlap of all (last good, first good)), mid their mean.
 * Source  analysis-spec 5; docs/methods/blind-interval.md.
 * Example losses 90/100/160/170 and 120/130/200/210 s → certain 130–160, possible 120–170 s: 30, 40, 50 s.
 */
export function findBlind(sites: readonly MonitoredSite[], gaps: readonly RecordGap[], parameters: AnalysisParameters): BlindInterval[] {
  const monitored = sites.filter((s) => s.losses.monitored !== null);
  const deviceHoldMs = parameters.deviceHoldS * 1000;
  const { runs, inGaps } = blindRuns(sites, gaps, deviceHoldMs);
  const blind: BlindInterval[] = [];
  let at = 0;
  for (const group of bridgeRuns(runs, parameters.bridgeS * 1000)) {
    const from = at;
    at += group.runs.length;
    const first = group.runs[0];
    const last = group.runs[group.runs.length - 1];
    if (first === undefined || last === undefined) continue;
    if (!parameters.keepRecordGaps && inGaps.slice(from, at).every((isInGap) => isInGap)) continue;
    const { lostMs } = lostTime(group, gaps, { deviceHoldMs, keepRecordGaps: parameters.keepRecordGaps });
    if (lostMs.mid < parameters.minDurationS * 1000) continue;
    const gaveBefore = monitored.filter((m) => endsAt(m, first.lastGoodMs));
    const givesAfter = monitored.filter((m) => beginsAt(m, last.firstGoodMs));
    const same = givesAfter.find((m) => gaveBefore.includes(m));
    const restoring = last.isOpen ? undefined : (same ?? givesAfter[0]);
    blind.push({
      number: blind.length + 1,
      lastGoodMs: first.lastGoodMs,
      firstLostMs: first.firstLostMs,
      lastLostMs: last.isOpen ? null : last.lastLostMs,
      firstGoodMs: last.isOpen ? null : last.firstGoodMs,
      lostMs,
      restoredBy: restoring === undefined ? 'not restored' : restoring === same ? 'same site' : 'other site',
      restoredSiteKey: restoring === undefined || restoring === same ? null : restoring.site.siteKey,
    });
  }
  return blind;
}

/**
 * Returns the denominator of blind time, ms: how long at least one sensor was meant to give information.
 * Shape   `spans` are those of the sensors, each reaching on with a loss not restored that counts (`meantSpan`). Record gaps
 *         are taken out unless they are kept.
 * Source  docs/methods/blind-interval.md.
 */
export function meantByAnyMs(spans: readonly Interval[], gaps: readonly Interval[], keepRecordGaps: boolean): number {
  return union(spans).reduce((sum, span) => sum + lengthMs(span) - (keepRecordGaps ? 0 : coveredMs(span, gaps)), 0);
}

/**
 * Returns the denominator of an analysed case's blind time under either result, ms. As at each sensor it is the time of the
 * primary result, reaching on with a dropout not restored.
 */
export function blindWithinMs(sites: readonly SiteAnalysis[], gaps: readonly RecordGap[], keepRecordGaps: boolean, result: 'dropouts' | 'dropoutsDoubtfulLost'): number {
  const spans = sites.flatMap(({ monitored, ...site }) => (monitored === null ? [] : [meantSpan(monitored, site[result].at(-1)?.censoredAtMs ?? null)]));
  return meantByAnyMs(spans, gapSpans(gaps), keepRecordGaps);
}

/** A sensor's silences over all time: before it was on, its losses, and after its last information. */
function silencesOf({ losses }: MonitoredSite): Silence[] {
  const { monitored, silentUntilMs, silentFromMs } = losses;
  if (monitored === null) return [];
  const inside = losses.runs.filter((run) => !run.isOpen);
  return [
    { possible: { startMs: -Infinity, endMs: monitored.startMs }, certain: { startMs: -Infinity, endMs: silentUntilMs } },
    ...inside.map((run) => ({
      possible: { startMs: run.lastGoodMs, endMs: run.firstGoodMs },
      certain: { startMs: run.firstLostMs, endMs: run.lastLostMs },
    })),
    { possible: { startMs: monitored.endMs, endMs: Infinity }, certain: { startMs: silentFromMs, endMs: Infinity } },
  ];
}

function coarsestAround(sites: readonly MonitoredSite[], run: LossRun): number {
  return sites.reduce((most, { site }) => Math.max(most, intervalAround(site, run)), 0);
}

/**
 * Returns the widening of a time in which every sensor was silent, null where no sensor's losses are widened: as sure as the least
 * sure of the sensors, as long as the longest. Where a sensor is silent because it is not on, nothing more is certain.
 */
function commonWidening(sites: readonly MonitoredSite[], possible: Interval, deviceHoldMs: number): RunWidening | null {
  const own = sites.map(({ losses }) => losses.runs.find((run) => run.lastGoodMs <= possible.startMs && run.firstGoodMs >= possible.endMs));
  if (own.every((run) => run?.widening === undefined)) return null;
  const all = own.map((run): RunWidening => ({ lowMs: run?.widening?.lowMs ?? 0, highMs: run?.widening?.highMs ?? 0, holdMs: run?.widening?.holdMs ?? deviceHoldMs }));
  return { lowMs: Math.min(...all.map(({ lowMs }) => lowMs)), highMs: Math.max(...all.map(({ highMs }) => highMs)), holdMs: Math.max(...all.map(({ holdMs }) => holdMs ?? deviceHoldMs)) };
}

/** Overlaps of two lists of silences, both in time order and disjoint. */
function intersect(a: readonly Silence[], b: readonly Silence[]): Silence[] {
  const out: Silence[] = [];
  let i = 0;
  let j = 0;
  for (;;) {
    const x = a[i];
    const y = b[j];
    if (x === undefined || y === undefined) return out;
    const startMs = Math.max(x.possible.startMs, y.possible.startMs);
    const endMs = Math.min(x.possible.endMs, y.possible.endMs);
    if (endMs > startMs) out.push({ possible: { startMs, endMs }, certain: closedOverlap(x.certain, y.certain) });
    if (x.possible.endMs <= y.possible.endMs) i++;
    else j++;
  }
}

/** Overlap of two closed intervals: it may be a single instant. */
function closedOverlap(a: Interval | null, b: Interval | null): Interval | null {
  if (a === null || b === null) return null;
  const startMs = Math.max(a.startMs, b.startMs);
  const endMs = Math.min(a.endMs, b.endMs);
  return endMs >= startMs ? { startMs, endMs } : null;
}

/** Whether information of the sensor ends at this instant (its last sample before a loss, or its very last). */
function endsAt({ losses }: MonitoredSite, atMs: number): boolean {
  return losses.monitored?.endMs === atMs || losses.runs.some((run) => run.lastGoodMs === atMs);
}

/** Whether information of the sensor begins at this instant. */
function beginsAt({ losses }: MonitoredSite, atMs: number): boolean {
  return losses.monitored?.startMs === atMs || losses.runs.some((run) => !run.isOpen && run.firstGoodMs === atMs);
}
