import { upperBound, lowerBound } from '../../core/base/search.ts';
import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';
import type { Channel } from '../../core/model/channel.ts';
import { MARK } from '../../core/model/channel.ts';
import { numberText } from '../format/number-text.ts';
import { durationText } from '../format/time-text.ts';
import { boundAt, boundText } from './bound-shape.ts';
import type { Lane, ReadoutEntry } from './lanes.ts';
import { drawnLimits } from './lanes.ts';
import type { Trace } from './plot-adapter.ts';
import { runAt } from './status-runs.ts';

/** What stands at the cursor for one line of the readout. */
export interface CursorValue {
  /** The value alone: "97", "118/62 (81)"; null where there is none. */
  readonly value: string | null;
  /** How long before the cursor the value was recorded; 0 at the cursor or within one interval of it. */
  readonly ageMs: number;
  /** What has to be known about it: "lost, no. 3, held", "weak", "record stopped". */
  readonly status: string | null;
}

/** An irregular reading says something for longer than a sample of a regular channel, but not for ever. */
const IRREGULAR_REACH_MS = 30 * 60_000;

/** Returns the dropout of a site that holds `atMs` between last good and first good, or null. */
export function dropoutAt(dropouts: readonly Dropout[], atMs: number, caseEndMs: number): Dropout | null {
  return dropouts.find((dropout) => atMs > dropout.lastGoodMs && atMs < (dropout.firstGoodMs ?? (dropout.censoredAtMs ?? caseEndMs) + 1)) ?? null;
}

/**
 * Returns the index of the sample that stands for `atMs`: the last one at or before it. Before a break, and at the end, a sample stands
 * for one interval (it ends where the next was due); an irregular one for half an hour. −1 where none stands for `atMs`.
 */
export function sampleAt(trace: Trace, atMs: number): number {
  const i = upperBound(trace.tMs, atMs) - 1;
  if (i < 0) return -1;
  const ageMs = atMs - (trace.tMs[i] ?? NaN);
  if (ageMs === 0) return i;
  if (trace.intervalMs === null) return ageMs <= IRREGULAR_REACH_MS ? i : -1;
  if (i + 1 < trace.tMs.length && trace.breakBefore[i + 1] === 0) return i;
  return ageMs < trace.intervalMs ? i : -1;
}

/** Returns the value, its age and its status for one line of the readout at `atMs`; inside a dropout with what cannot be excluded, where that was asked for. */
export function cursorValue(entry: ReadoutEntry, traces: ReadonlyMap<string, Trace>, analysis: CaseAnalysis, atMs: number, isBoundShown: boolean): CursorValue {
  if (analysis.recordGaps.some((gap) => atMs > gap.lastRowMs && atMs < gap.firstRowMs)) return { value: null, ageMs: 0, status: 'record stopped' };
  if (entry.kind !== 'value') return pressureValue(entry, traces, atMs);
  const channel = entry.channels[0];
  const trace = channel ? traces.get(channel.channelId) : undefined;
  if (!channel || trace === undefined) return { value: null, ageMs: 0, status: null };
  const status = channel.quantity === 'spo2' ? spo2Status(entry, analysis, atMs, isBoundShown) : null;
  const i = sampleAt(trace, atMs);
  if (i < 0) {
    const refused = refusedValue(channel, atMs, analysis, trace.intervalMs);
    const isNamed = channel.quantity === 'spo2' && status !== null && /flagged|implausible/.test(status);
    return { value: refused === null ? null : numberText(refused.value, entry.decimals), ageMs: 0, status: [status, isNamed ? null : refused?.why].filter((word) => word).join(', ') || null };
  }
  const ageMs = atMs - (trace.tMs[i] ?? NaN);
  return { value: numberText(trace.value[i] ?? null, entry.decimals), ageMs: trace.intervalMs !== null && ageMs < trace.intervalMs ? 0 : ageMs, status };
}

function pressureValue(entry: ReadoutEntry, traces: ReadonlyMap<string, Trace>, atMs: number): CursorValue {
  const picked = entry.channels.map((channel) => {
    const trace = channel === null ? undefined : traces.get(channel.channelId);
    if (trace === undefined) return null;
    const i = entry.kind === 'cuff' ? upperBound(trace.tMs, atMs) - 1 : sampleAt(trace, atMs);
    const tMs = trace.tMs[i];
    if (i < 0 || tMs === undefined || (entry.kind === 'cuff' && atMs - tMs > IRREGULAR_REACH_MS)) return null;
    return { tMs, value: trace.value[i] ?? NaN, intervalMs: entry.kind === 'cuff' ? null : trace.intervalMs };
  });
  const latest = picked.reduce((best, sample) => (sample !== null && sample.tMs > best ? sample.tMs : best), -Infinity);
  if (latest === -Infinity) return { value: null, ageMs: 0, status: null };
  // Only what was recorded together is written together.
  const [sys, dia, mean] = picked.map((sample) => (sample !== null && (entry.kind !== 'cuff' || sample.tMs === latest) ? numberText(sample.value) : null));
  const pair = sys || dia ? `${sys ?? '–'}/${dia ?? '–'}` : '';
  const value = mean ? (pair ? `${pair} (${mean})` : `mean ${mean}`) : pair;
  const interval = picked.find((sample) => sample !== null)?.intervalMs ?? null;
  const ageMs = atMs - latest;
  return { value, ageMs: interval !== null && ageMs < interval ? 0 : ageMs, status: null };
}

/** A number that stands in the record at this instant but was not drawn, with the reason. */
function refusedValue(channel: Channel, atMs: number, analysis: CaseAnalysis, intervalMs: number | null): { readonly value: number; readonly why: string } | null {
  const i = upperBound(channel.tMs, atMs) - 1;
  const value = channel.value[i];
  if (i < 0 || value === undefined || Number.isNaN(value) || atMs - (channel.tMs[i] ?? NaN) >= (intervalMs ?? 1)) return null;
  if (((channel.mark[i] ?? 0) & MARK.flagged) !== 0) return { value, why: 'flagged by the export' };
  const limits = drawnLimits(channel, analysis);
  return limits !== null && (value < limits[0] || value > limits[1]) ? { value, why: 'implausible' } : null;
}

function spo2Status(entry: ReadoutEntry, analysis: CaseAnalysis, atMs: number, isBoundShown: boolean): string | null {
  const site = analysis.sites.find((candidate) => candidate.siteKey === entry.siteKey);
  if (site === undefined) return null;
  const status = runAt(site.statusRuns, atMs)?.status;
  const dropout = dropoutAt(site.dropouts, atMs, analysis.bounds.endMs);
  if (dropout !== null) {
    const isCertain = atMs >= dropout.firstLostMs && (dropout.lastLostMs === null || atMs <= dropout.lastLostMs);
    const lost = isCertain ? `lost, no. ${dropout.number}` : `may be lost, no. ${dropout.number}`;
    const bound = isBoundShown ? boundAt(dropout, atMs) : null;
    return [lost, status, bound === null ? undefined : boundText(bound)].filter((part) => part !== undefined).join(', ');
  }
  if (status !== undefined) return status;
  // A good value or two between doubtful ones: the second result joins over them.
  return dropoutAt(site.dropoutsDoubtfulLost, atMs, analysis.bounds.endMs) === null ? null : 'among doubtful values';
}

/** Returns the text of a readout line: value with its unit, its age where it is not of now, and its status. */
export function readoutText(entry: ReadoutEntry, at: CursorValue): { readonly value: string; readonly note: string } {
  const unit = entry.unit === '%' ? ' %' : '';
  const age = at.ageMs > 0 ? `${durationText(at.ageMs < 60_000 ? at.ageMs : Math.round(at.ageMs / 60_000) * 60_000)} ago` : '';
  if (at.value === null) return { value: at.status === null ? 'no value' : '', note: at.status ?? '' };
  return { value: `${at.value}${unit}`, note: [at.status ?? '', age].filter((part) => part !== '').join(', ') };
}

/** Returns the recorded SpO2 instants nearest beyond `atMs` in the given direction over all sites, or null at the end of the record. */
export function neighbourSample(lanes: readonly Lane[], atMs: number, direction: 1 | -1): number | null {
  const traces = (lanes[0]?.plots ?? []).flatMap((plot) => plot.series.map((series) => series.trace));
  let best: number | null = null;
  for (const { gridMs } of traces) {
    const next = direction === 1 ? gridMs[upperBound(gridMs, atMs)] : gridMs[lowerBound(gridMs, atMs) - 1];
    if (next === undefined) continue;
    if (best === null || (direction === 1 ? next < best : next > best)) best = next;
  }
  return best;
}
