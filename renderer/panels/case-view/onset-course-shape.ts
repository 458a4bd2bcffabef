import { lowerBound, upperBound } from '../../../core/base/search.ts';
import type { Dropout } from '../../../core/model/analysis.ts';
import type { Channel } from '../../../core/model/channel.ts';
import { MARK } from '../../../core/model/channel.ts';
import { yToPx, type YScale } from '../../timeline/y-scale.ts';

/** How much of the time after the first lost sample is drawn. */
const AFTER_MS = 30_000;
/** A line joins two values no further apart than this many of their usual steps. */
const JOINED_STEPS = 1.5;
/** One scale for every dropout, so that rows can be compared; values beyond it are drawn at its ends. */
const SCALE: YScale = { kind: 'log', min: 0.05, max: 20 };
/** Source: handbook 2, common practice without source. */
export const COURSE_GUIDES = [1, 0.3] as const;

export interface CoursePoint {
  readonly xPx: number;
  readonly yPx: number;
}

/** The perfusion index before a loss, as drawn: lengths in px from the top left. */
export interface CourseShape {
  /** Values joined where none was missed between them; a single value is a line of one point. */
  readonly lines: readonly (readonly CoursePoint[])[];
  readonly guides: readonly { readonly value: number; readonly yPx: number }[];
  /** Whole minutes before the last good sample. */
  readonly ticks: readonly { readonly minutes: number; readonly xPx: number }[];
  readonly lastGoodPx: number;
  readonly firstLostPx: number;
  /** Where the sensor was last touched: what stands before it is not compared. */
  readonly resetPx: number | null;
}

export interface CourseInput {
  readonly dropout: Dropout;
  /** The perfusion index of the sensor. */
  readonly channel: Channel;
  readonly beforeMs: number;
  readonly plausible: readonly [number, number];
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * Returns the course of the perfusion index from `beforeMs` before the last good sample to shortly after the first lost one.
 * Shape   only plausible values that the export does not flag; nothing is filled in or averaged.
 * Missing no value in that time: null. A line breaks where values lie further apart than is usual in this stretch; with fewer
 *         than three values no step is usual, so each stands alone.
 */
export function courseShape({ dropout, channel, beforeMs, plausible, widthPx, heightPx }: CourseInput): CourseShape | null {
  const fromMs = dropout.lastGoodMs - beforeMs;
  const toMs = dropout.firstLostMs + AFTER_MS;
  const times: number[] = [];
  const values: number[] = [];
  const end = upperBound(channel.tMs, toMs);
  for (let i = lowerBound(channel.tMs, fromMs); i < end; i++) {
    const value = channel.value[i] ?? NaN;
    if (!(value >= plausible[0] && value <= plausible[1]) || ((channel.mark[i] ?? 0) & MARK.flagged) !== 0) continue;
    times.push(channel.tMs[i] ?? NaN);
    values.push(value);
  }
  if (times.length === 0) return null;
  const xOf = (ms: number): number => ((ms - fromMs) / (toMs - fromMs)) * widthPx;
  const yOf = (value: number): number => yToPx(SCALE, Math.min(SCALE.max, Math.max(SCALE.min, value)), heightPx);
  const joinedMs = JOINED_STEPS * medianStep(times);
  const lines: CoursePoint[][] = [];
  times.forEach((ms, i) => {
    const point = { xPx: xOf(ms), yPx: yOf(values[i] ?? NaN) };
    const line = lines[lines.length - 1];
    if (line !== undefined && ms - (times[i - 1] ?? -Infinity) <= joinedMs) line.push(point);
    else lines.push([point]);
  });
  const resetAtMs = dropout.evidence.perfusion?.resetAtMs ?? null;
  const minutes = Array.from({ length: Math.floor(beforeMs / 60_000) + 1 }, (_, i) => i);
  return {
    lines,
    guides: COURSE_GUIDES.map((value) => ({ value, yPx: yOf(value) })),
    ticks: minutes.map((minute) => ({ minutes: minute, xPx: xOf(dropout.lastGoodMs - minute * 60_000) })),
    lastGoodPx: xOf(dropout.lastGoodMs),
    firstLostPx: xOf(dropout.firstLostMs),
    resetPx: resetAtMs === null || resetAtMs < fromMs ? null : xOf(resetAtMs),
  };
}

/** The usual step between values; 0 where too few are there to tell. */
function medianStep(times: readonly number[]): number {
  if (times.length < 3) return 0;
  const steps = times.slice(1).map((ms, i) => ms - (times[i] ?? NaN)).sort((a, b) => a - b);
  return steps[Math.floor(steps.length / 2)] ?? 0;
}

/** Returns lines as SVG path text, to a tenth of a px; a line of one point is a short dash. */
export function pathOf(lines: readonly (readonly CoursePoint[])[]): string {
  const at = ({ xPx, yPx }: CoursePoint): string => `${Math.round(xPx * 10) / 10} ${Math.round(yPx * 10) / 10}`;
  return lines.map((line) => (line.length === 1 ? `M${line.map(at).join('')}h1` : `M${line.map(at).join('L')}`)).join('');
}
