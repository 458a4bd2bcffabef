import type { Range3 } from '../base/interval.ts';
import type { BlindInterval, FourInstants, RecordGap } from '../model/analysis.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { MonitoredSite } from './blind.ts';
import { findBlind } from './blind.ts';
import type { LossGroup } from './bridge.ts';
import { bridgeRuns } from './bridge.ts';
import type { BareDropout, SiteLosses } from './dropouts.ts';
import { lostTime } from './lost-time.ts';

/**
 * What becomes of a dropout: it counts, with the bounds that a reader read or (null) the computed ones; or it does not, because a
 * reader said that nothing was lost (`refuted`), or because it is not known (`open`).
 */
export type Counting = { readonly counts: true; readonly bounds: FourInstants | null } | { readonly counts: false; readonly because: 'refuted' | 'open' };

/** A dropout that counts. */
export interface CountedLoss extends FourInstants {
  readonly dropoutId: string;
  readonly censoredAtMs: number | null;
  readonly lostMs: Range3;
}

/** The losses of a case as far as they count. */
export interface CaseCounted {
  /** One list per sensor, in the order given; each in time order. */
  readonly sites: readonly (readonly CountedLoss[])[];
  readonly blind: readonly BlindInterval[];
}

/**
 * Returns the dropouts of a case that count, and the times without information at any sensor that follow from them.
 * Shape   lists of the sensors in the order given. All counted with their computed bounds: exactly the computed result.
 * Units   ms.
 * Missing a dropout that does not count is time with information at its sensor; only one that never ended and was refuted is time in
 *         which the sensor was not worn. Losses too short for a dropout stay as computed: they bear no verdict. Of corrected bounds,
 *         information inside the dropout as computed is still taken off; where they reach into another dropout that counts, the
 *         time that both share is counted once, with the earlier. One that is shorter than the definition asks for once corrected is no dropout. An end that a reader took away reaches to where the sensor was
 *         last watched.
 * Source  docs/metrics/confirmed.md.
 */
export function countedLosses(sites: readonly MonitoredSite[], countingOf: (dropout: BareDropout) => Counting, gaps: readonly RecordGap[], parameters: AnalysisParameters): CaseCounted {
  const counted = sites.map(({ losses }) => countedAt(losses, countingOf, gaps, parameters));
  const silent = sites.map(({ site }, i): MonitoredSite => ({ site, losses: counted[i]?.silent ?? NEVER }));
  return { sites: counted.map(({ dropouts }) => dropouts), blind: findBlind(silent, gaps, parameters) };
}

const NEVER: SiteLosses = { monitored: null, runs: [], censoring: null, silentUntilMs: Infinity, silentFromMs: -Infinity, dropouts: [] };

interface CountedAt {
  readonly dropouts: readonly CountedLoss[];
  /** The losses of the sensor as far as they count, as the search for blind intervals takes them. */
  readonly silent: SiteLosses;
}

/** A dropout that counts, with its stretches without information. */
interface CountedGroup {
  readonly loss: CountedLoss;
  readonly runs: readonly LossRun[];
}

/** What the sensor does after its last information when the loss there does not count, or ended. */
type Tail = 'as computed' | 'not worn' | 'informs';

function countedAt(losses: SiteLosses, countingOf: (dropout: BareDropout) => Counting, gaps: readonly RecordGap[], parameters: AnalysisParameters): CountedAt {
  const { monitored, censoring } = losses;
  if (monitored === null) return { dropouts: [], silent: losses };
  const byOnset = new Map(losses.dropouts.map((dropout) => [dropout.lastGoodMs, dropout]));
  const watchedUntilMs = Math.max(monitored.endMs, censoring?.atMs ?? -Infinity);
  const groups: CountedGroup[] = [];
  const short: LossRun[] = [];
  let isCorrected = false;
  let tail: Tail = 'as computed';
  for (const group of bridgeRuns(losses.runs, parameters.bridgeS * 1000)) {
    const dropout = byOnset.get(group.runs[0]?.lastGoodMs ?? NaN);
    if (dropout === undefined) {
      short.push(...group.runs);
      continue;
    }
    const wasOpen = group.runs.some((run) => run.isOpen);
    const counting = countingOf(dropout);
    if (!counting.counts) {
      if (wasOpen) tail = counting.because === 'refuted' ? 'not worn' : 'informs';
      continue;
    }
    const { dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs } = dropout;
    if (counting.bounds === null) {
      groups.push({ loss: { dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs }, runs: group.runs });
      continue;
    }
    isCorrected = true;
    const runs = correctedRuns(group, counting.bounds, watchedUntilMs);
    if (wasOpen && !runs.some((run) => run.isOpen)) tail = 'informs';
    const corrected = lostOf(runs, gaps, parameters);
    if (corrected.mid < parameters.minDurationS * 1000) short.push(...runs);
    else groups.push({ loss: { dropoutId, ...counting.bounds, censoredAtMs: counting.bounds.firstGoodMs === null ? watchedUntilMs : null, lostMs: corrected }, runs });
  }
  const apart = isCorrected ? sharedOnce(groups, gaps, parameters) : groups;
  const runs = apart.flatMap((group) => group.runs);
  // What a person wrote over a short loss stands in its place.
  const kept = short.filter((run) => !isCorrected || !runs.some((own) => own.lastGoodMs < run.firstGoodMs && own.firstGoodMs > run.lastGoodMs));
  return { dropouts: apart.map(({ loss }) => loss), silent: silentOf(losses, [...runs, ...kept].sort((a, b) => a.lastGoodMs - b.lastGoodMs), tail, watchedUntilMs) };
}

/** The runs of a dropout with the outer bounds of a reader; information between them stays where it is. */
function correctedRuns(group: LossGroup, bounds: FourInstants, watchedUntilMs: number): LossRun[] {
  const isOpen = bounds.firstGoodMs === null || bounds.lastLostMs === null;
  const endMs = bounds.firstGoodMs ?? watchedUntilMs;
  const lastLostMs = bounds.lastLostMs ?? endMs;
  const inside = group.runs.filter((run) => run.firstGoodMs > bounds.lastGoodMs && run.lastGoodMs < endMs);
  const first = inside[0];
  const last = inside[inside.length - 1];
  if (first === undefined || last === undefined) return [{ lastGoodMs: bounds.lastGoodMs, firstLostMs: bounds.firstLostMs, lastLostMs, firstGoodMs: endMs, isOpen }];
  return inside.map((run): LossRun => {
    const end = run === last ? { lastLostMs, firstGoodMs: endMs, isOpen } : { lastLostMs: run.lastLostMs, firstGoodMs: run.firstGoodMs, isOpen: false };
    const start = run === first ? { lastGoodMs: bounds.lastGoodMs, firstLostMs: Math.min(bounds.firstLostMs, end.firstGoodMs) } : { lastGoodMs: run.lastGoodMs, firstLostMs: run.firstLostMs };
    // A reader may let the loss begin after the last lost value of its first run, or end before the first of its last: nothing of that run is certain then.
    return { ...run, ...start, ...end, lastLostMs: Math.max(start.firstLostMs, end.lastLostMs) };
  });
}

/** The same, in time order, each without the time that one before it has taken. */
function sharedOnce(groups: readonly CountedGroup[], gaps: readonly RecordGap[], parameters: AnalysisParameters): CountedGroup[] {
  let takenUntilMs = -Infinity;
  return [...groups].sort((a, b) => a.loss.lastGoodMs - b.loss.lastGoodMs).map((group): CountedGroup => {
    const { loss } = group;
    const fromMs = takenUntilMs;
    takenUntilMs = Math.max(takenUntilMs, loss.firstGoodMs ?? loss.censoredAtMs ?? -Infinity);
    if (loss.lastGoodMs >= fromMs) return group;
    const runs = group.runs.flatMap((run) => after(run, fromMs));
    return { loss: { ...loss, lostMs: lostOf(runs, gaps, parameters) }, runs };
  });
}

function after(run: LossRun, fromMs: number): LossRun[] {
  if (run.lastGoodMs >= fromMs) return [run];
  if (run.firstGoodMs <= fromMs) return [];
  const firstLostMs = Math.max(run.firstLostMs, fromMs);
  return [{ ...run, lastGoodMs: fromMs, firstLostMs, lastLostMs: Math.max(firstLostMs, run.lastLostMs) }];
}

function lostOf(runs: readonly LossRun[], gaps: readonly RecordGap[], { deviceHoldS, keepRecordGaps }: AnalysisParameters): Range3 {
  return lostTime({ runs, bridgedMs: 0 }, gaps, { deviceHoldMs: deviceHoldS * 1000, keepRecordGaps }).lostMs;
}

function silentOf(losses: SiteLosses, runs: readonly LossRun[], tail: Tail, watchedUntilMs: number): SiteLosses {
  const { monitored, censoring, silentFromMs } = losses;
  if (monitored === null) return losses;
  if (tail === 'not worn') return { ...losses, runs, censoring: null };
  if (tail === 'informs') return { ...losses, runs, censoring: null, monitored: { startMs: monitored.startMs, endMs: watchedUntilMs }, silentFromMs: Math.max(silentFromMs, watchedUntilMs) };
  const open = runs.find((run) => run.isOpen);
  const wasOpen = losses.runs.find((run) => run.isOpen);
  if (open === undefined || (open.lastGoodMs === wasOpen?.lastGoodMs && open.firstLostMs === wasOpen.firstLostMs)) return { ...losses, runs };
  // The silence after the last information begins where the loss that never ended does.
  return { ...losses, runs, monitored: { startMs: monitored.startMs, endMs: open.lastGoodMs }, silentFromMs: open.firstLostMs, censoring: censoring ?? null };
}
