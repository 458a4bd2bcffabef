import type { Interval } from '../base/interval.ts';
import { difference, union } from '../base/interval.ts';
import type { WindowLoss, WindowParts, WindowRule, WindowTally } from '../metrics/risk-windows.ts';
import { riskWindows, windowParts } from '../metrics/risk-windows.ts';
import type { RateKind, RateWindows } from '../model/cohort-before-loss.ts';
import type { CohortCase, CohortExposure, CohortLosses } from '../model/cohort-case.ts';
import type { RateStratum } from '../stats/rate-ratio.ts';
import { onsetOf, spansOf } from './loss-within.ts';

/** Where between the last information and the first sample without the onset is assigned. */
export type OnsetAt = 'earliestMs' | 'middleMs' | 'latestMs';

/** A loss as rates count it, ms. */
export interface RateLoss {
  /** The onset lies after the first and not after the last; in the middle it is assigned. */
  readonly earliestMs: number;
  readonly middleMs: number;
  readonly latestMs: number;
  readonly endMs: number;
  readonly pressureBefore: number | null;
}

/** One sensor of a case: when it was watched, and its losses in time order. */
export interface RateSensor {
  readonly siteKey: string;
  readonly spans: readonly Interval[];
  readonly losses: readonly RateLoss[];
  /** The losses with their onset in the middle. */
  readonly onsets: readonly WindowLoss[];
}

/** An exposure with the window in which it is thought to act. */
export interface RateExposure {
  readonly atMs: number;
  readonly rule: WindowRule;
  readonly exposure: CohortExposure;
}

/** What rates need of a case. */
export interface RateView {
  readonly one: CohortCase;
  readonly sensors: readonly RateSensor[];
  readonly exposures: Readonly<Record<RateKind, readonly RateExposure[]>>;
}

/** Returns what rates need of a case; sensors that were never watched are left out. */
export function rateView(one: CohortCase, windows: RateWindows): RateView {
  const exposures = { 'vasopressor bolus': rateExposures(one.exposures, 'vasopressor bolus', windows), 'position': rateExposures(one.exposures, 'position', windows) };
  return { one, sensors: rateSensors(one, ({ any }) => any), exposures };
}

/** Returns the watched sensors of a case under one rule of information. */
export function rateSensors(one: CohortCase, pick: (site: CohortCase['sites'][number]) => CohortLosses): RateSensor[] {
  return one.sites.map((site) => rateSensor(site.siteKey, pick(site))).filter(({ spans }) => spans.length > 0);
}

function rateSensor(siteKey: string, { monitoredSpans, dropouts }: CohortLosses): RateSensor {
  const losses = dropouts.map(({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, pressureBefore }): RateLoss => ({
    earliestMs: lastGoodMs,
    middleMs: onsetOf({ lastGoodMs, firstLostMs }),
    latestMs: firstLostMs,
    endMs: lastLostMs === null || firstGoodMs === null ? (censoredAtMs ?? Infinity) : (lastLostMs + firstGoodMs) / 2,
    pressureBefore,
  }));
  return { siteKey, spans: union(spansOf(monitoredSpans)), losses, onsets: windowLosses(losses, 'middleMs') };
}

/** Returns the exposures of a kind with the windows of the plan; `own` takes each one's look-back of the parameters instead. */
export function rateExposures(exposures: readonly CohortExposure[], kind: RateKind, windows: RateWindows, own = false): RateExposure[] {
  const [from, to] = kind === 'position' ? windows.positionS : windows.bolusS;
  return exposures
    .filter((exposure) => exposure.kind === kind)
    .map((exposure) => ({
      atMs: exposure.atMs,
      rule: { fromMs: from * 1000, toMs: own && exposure.windowMs !== null ? exposure.windowMs : to * 1000, preMs: windows.preS * 1000 },
      exposure,
    }));
}

/**
 * Returns the parts of the watched time for some exposures of a kind: in the windows of the others of that kind, and shortly
 * before them, there is no control time.
 */
export function partsBeside(spans: readonly Interval[], own: readonly RateExposure[], others: readonly RateExposure[]): WindowParts {
  const parts = windowParts(spans, own);
  if (others.length === 0) return parts;
  const taken = windowParts(spans, others);
  return { ...parts, control: difference(difference(parts.control, taken.risk), taken.pre) };
}

/** Returns the losses with their onset where it is assigned. */
export function windowLosses(losses: readonly RateLoss[], at: OnsetAt): WindowLoss[] {
  return losses.map((loss) => ({ startMs: loss[at], endMs: Math.max(loss[at], loss.endMs), onsetMs: loss[at] }));
}

/** Returns the sum of the tallies of several sensors: time is sensor time. */
export function tallyOver(sensors: readonly RateSensor[], partsOf: (sensor: RateSensor) => WindowParts, lossesOf: (sensor: RateSensor) => readonly WindowLoss[]): WindowTally {
  const sum = { riskMs: 0, preMs: 0, controlMs: 0, riskOnsets: 0, preOnsets: 0, controlOnsets: 0, notPlaced: 0 };
  for (const sensor of sensors) {
    const tally = riskWindows(partsOf(sensor), lossesOf(sensor));
    sum.riskMs += tally.riskMs;
    sum.preMs += tally.preMs;
    sum.controlMs += tally.controlMs;
    sum.riskOnsets += tally.riskOnsets;
    sum.preOnsets += tally.preOnsets;
    sum.controlOnsets += tally.controlOnsets;
    sum.notPlaced += tally.notPlaced;
  }
  return sum;
}

/** Returns a tally as the stratum of a case. */
export function stratumOf({ riskMs, riskOnsets, controlMs, controlOnsets }: WindowTally): RateStratum {
  return { riskEvents: riskOnsets, riskTime: riskMs, controlEvents: controlOnsets, controlTime: controlMs };
}
