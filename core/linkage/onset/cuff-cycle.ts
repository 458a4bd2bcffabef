import { lowerBound, upperBound } from '../../base/search.ts';
import type { FourInstants } from '../../model/analysis.ts';
import type { Channel } from '../../model/channel.ts';
import type { CuffEvidence } from '../../model/onset-evidence.ts';
import type { AnalysisParameters } from '../../model/parameters.ts';
import { QUANTITY_FACTS } from '../../model/quantity.ts';

/** Values of one measurement may be written a few rows apart. */
const ONE_MEASUREMENT_MS = 10_000;
/** No cuff measures more often: values closer than this are one value written again and again. */
const SHORTEST_CYCLE_MS = 45_000;
/** A step counts as a whole number of cycles when it is off by no more than this share of one. */
const CYCLE_TOLERANCE = 0.25;

/** What is needed of a dropout to judge it against the cuff. */
export interface CuffCandidate extends FourInstants {
  readonly lostMs: { readonly mid: number };
}

/**
 * Returns when a cuff pressure was measured, in time order.
 * Missing an export that repeats the last pressure on every row shows a measurement only where a value changes: two
 *         equal measurements in a row then look like one.
 * Source  handbook 4 (the stamp is usually the end of a measurement); docs/methods/onset-patterns.md.
 */
export function cuffInstants(channels: readonly Channel[]): number[] {
  const cuffs = channels.filter((channel) => channel.quantity.startsWith('nibp-'));
  const measured = grouped(cuffs.flatMap((channel) => instantsOf(channel, () => true)));
  if (medianStep(measured) >= SHORTEST_CYCLE_MS || measured.length < 3) return measured;
  return grouped(cuffs.flatMap((channel) => instantsOf(channel, (v, before) => v !== before)));
}

/**
 * Returns what speaks for a cuff at each dropout of a sensor: null where the loss is too long or no cuff was measured beside it.
 * Shape   one entry per dropout, in their order.
 * Units   ms.
 * Source  analysis-spec 6, handbook 4 (20 to 60 s a cycle); docs/methods/onset-patterns.md.
 */
export function cuffEvidence(dropouts: readonly CuffCandidate[], instants: readonly number[], parameters: AnalysisParameters): (CuffEvidence | null)[] {
  const marginMs = parameters.cuffMarginS * 1000;
  const beside = dropouts.map((dropout) => {
    const { lastGoodMs, lastLostMs, firstGoodMs, lostMs } = dropout;
    if (lastLostMs === null || firstGoodMs === null || lostMs.mid > parameters.cuffMaxS * 1000) return [];
    return instants.slice(lowerBound(instants, lastGoodMs - marginMs), upperBound(instants, firstGoodMs + marginMs));
  });
  const onsets = dropouts.filter((_, i) => (beside[i] ?? []).length > 0).map((d) => (d.lastGoodMs + d.firstLostMs) / 2);
  const cycleMs = instants.length < 3 ? null : medianStep(instants);
  const steps = onsets.slice(1).map((at, i) => at - (onsets[i] ?? NaN));
  const stepsAtCycle = cycleMs === null ? 0 : steps.filter((step) => isWholeNumberOf(step, cycleMs)).length;
  const isRegular = steps.length >= 2 && stepsAtCycle * 4 >= steps.length * 3;
  return beside.map((atMs) => (atMs.length === 0 ? null : { atMs, alike: onsets.length, cycleMs, stepsAtCycle, steps: steps.length, isRegular }));
}

function isWholeNumberOf(step: number, cycleMs: number): boolean {
  const cycles = step / cycleMs;
  return Math.round(cycles) >= 1 && Math.abs(cycles - Math.round(cycles)) <= CYCLE_TOLERANCE;
}

function instantsOf(channel: Channel, isMeasured: (value: number, before: number) => boolean): number[] {
  const [low, high] = QUANTITY_FACTS[channel.quantity].plausible ?? [-Infinity, Infinity];
  const out: number[] = [];
  let before = NaN;
  for (let i = 0; i < channel.tMs.length; i++) {
    const v = channel.value[i] ?? NaN;
    if (!(v >= low && v <= high)) continue;
    if (isMeasured(v, before)) out.push(channel.tMs[i] ?? NaN);
    before = v;
  }
  return out;
}

function grouped(times: readonly number[]): number[] {
  const out: number[] = [];
  for (const t of [...times].sort((a, b) => a - b)) {
    const last = out[out.length - 1];
    if (last === undefined || t - last > ONE_MEASUREMENT_MS) out.push(t);
  }
  return out;
}

function medianStep(times: readonly number[]): number {
  const steps = times.slice(1).map((t, i) => t - (times[i] ?? NaN)).sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)] ?? Infinity;
}
