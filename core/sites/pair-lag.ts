import type { LagFigure } from '../model/site-comparison.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { crossCorrelation } from '../stats/cross-correlation.ts';
import type { CommonGrid } from './common-grid.ts';
import type { Swing } from './swings.ts';
import { findSwings } from './swings.ts';

/** Lags between two sensors, or why there are none. */
export interface PairLag {
  readonly lag: LagFigure | null;
  readonly atFalls: LagFigure | null;
  readonly atRises: LagFigure | null;
  readonly noLagReason: string | null;
}

/** What is left unexplained at each lag, −maxLag … maxLag: a number from 0 to 1 for each swing, weighted by its samples. */
interface Profile {
  readonly unexplained: Float64Array;
  readonly samples: number;
}

/** A lag wants at least this many pairs, and half of those there are. */
const LEAST_PAIRS = 30;
const LEAST_PAIRS_OF_SWING = 8;
/** Neighbouring values of an oximeter are means over about this long, so they are not independent. */
const INDEPENDENT_MS = 10_000;
/** 95 % of chi-square with one degree of freedom. */
const CHI_SQUARE_95 = 3.841;
/** Below this correlation a lag is noise. */
const LEAST_PEAK = 0.5;

/**
 * Returns how far the second sensor comes after the first, over all swings, at falls and at rises.
 * Shape   swings of the first sensor of at least `lagSwingPoints`; around each, as much again as is searched. The lag is
 *         where the correlation of first(t) and second(t + lag) is highest (over several swings: where the squared
 *         correlation leaves least unexplained), between samples by a parabola. The uncertainty holds the lags that leave
 *         less than 1 + 3.84/ν of that unexplained, ν the number of 10-s values, widened by half a step on either side.
 * Units   ms.
 * Missing no swing, fewer than 30 pairs or half of them, a correlation below 0.5, or a best lag at the edge of the search
 *         (`lagMaxS`): no lag, with the reason.
 * Source  statistics e; analysis-spec 9; docs/metrics/site-lag.md.
 */
export function pairLag(grid: CommonGrid, parameters: AnalysisParameters): PairLag {
  const { stepMs, first, second } = grid;
  const swings = findSwings(first, parameters.lagSwingPoints);
  if (swings.length === 0) return none(`SpO2 of the first sensor never changed by ${parameters.lagSwingPoints} points.`);
  const maxLag = Math.max(1, Math.floor((parameters.lagMaxS * 1000) / stepMs));
  const around = masked(first, swings, maxLag);
  const present = around.filter((v) => !Number.isNaN(v)).length;
  const r = crossCorrelation(around, second, maxLag, Math.max(LEAST_PAIRS, present / 2));
  if (r.every((v) => v === null)) return none('Too few pairs of values lie around the falls and rises.');
  const whole: Profile = { unexplained: Float64Array.from(r, (v) => unexplainedBy(v)), samples: present };
  const lag = figureOf(whole, maxLag, stepMs, swings.length);
  if (lag === null) return none(`No lag within ${parameters.lagMaxS} s fits well.`);
  const of = (direction: Swing['direction']) => {
    const own = swings.filter((swing) => swing.direction === direction);
    return own.length === 0 ? null : figureOf(pooled(own, grid, maxLag), maxLag, stepMs, own.length);
  };
  return { lag, atFalls: of('fall'), atRises: of('rise'), noLagReason: null };
}

/** A fall or rise of the first sensor, and how long after it the second follows. */
export interface SwingLag {
  readonly direction: Swing['direction'];
  /** Turning points at the first sensor. */
  readonly fromMs: number;
  readonly toMs: number;
  readonly fromPct: number;
  readonly toPct: number;
  /** When the first sensor was half way. */
  readonly halfMs: number;
  /** null: this one swing by itself tells no lag. */
  readonly lag: LagFigure | null;
}

/**
 * Returns every fall and rise of the first sensor with a lag of its own, in time order.
 * Shape   as `pairLag`, each swing by itself (at least 8 pairs).
 * Units   ms, per cent.
 * Source  docs/metrics/site-lag.md.
 */
export function swingLags(grid: CommonGrid, parameters: AnalysisParameters): SwingLag[] {
  const { startMs, stepMs, first } = grid;
  const maxLag = Math.max(1, Math.floor((parameters.lagMaxS * 1000) / stepMs));
  return findSwings(first, parameters.lagSwingPoints).map((swing) => {
    const { from, to, direction } = swing;
    const fromPct = first[from] ?? NaN;
    const toPct = first[to] ?? NaN;
    const middle = (fromPct + toPct) / 2;
    let half = from;
    while (half < to && !(direction === 'fall' ? (first[half] ?? NaN) <= middle : (first[half] ?? NaN) >= middle)) half++;
    const at = (index: number) => startMs + index * stepMs;
    return { direction, fromMs: at(from), toMs: at(to), fromPct, toPct, halfMs: at(half), lag: figureOf(pooled([swing], grid, maxLag), maxLag, stepMs, 1) };
  });
}

function none(noLagReason: string): PairLag {
  return { lag: null, atFalls: null, atRises: null, noLagReason };
}

/** Falling with rising values explains nothing; no correlation neither. */
function unexplainedBy(r: number | null): number {
  return r === null || r <= 0 ? 1 : 1 - r * r;
}

/** The series around the swings, NaN elsewhere. */
function masked(values: Float64Array, swings: readonly Swing[], pad: number): Float64Array {
  const out = new Float64Array(values.length).fill(NaN);
  for (const { from, to } of swings) {
    const start = Math.max(0, from - pad);
    out.set(values.subarray(start, Math.min(values.length, to + pad + 1)), start);
  }
  return out;
}

function pooled(swings: readonly Swing[], { first, second }: CommonGrid, maxLag: number): Profile {
  const unexplained = new Float64Array(2 * maxLag + 1);
  let samples = 0;
  for (const { from, to } of swings) {
    const start = Math.max(0, from - maxLag);
    const end = Math.min(first.length, to + maxLag + 1);
    // The second series reaches as far again, so that every lag has the same first values.
    const offset = Math.max(0, start - maxLag);
    const x = new Float64Array(Math.min(second.length, end + maxLag) - offset).fill(NaN);
    x.set(first.subarray(start, end), start - offset);
    const y = second.subarray(offset, offset + x.length);
    const present = x.filter((v) => !Number.isNaN(v)).length;
    const r = crossCorrelation(x, y, maxLag, Math.max(LEAST_PAIRS_OF_SWING, present / 2));
    r.forEach((v, k) => (unexplained[k] = (unexplained[k] ?? 0) + present * unexplainedBy(v)));
    samples += present;
  }
  return { unexplained: unexplained.map((u) => (samples === 0 ? 1 : u / samples)), samples };
}

function figureOf({ unexplained, samples }: Profile, maxLag: number, stepMs: number, swings: number): LagFigure | null {
  let best = maxLag;
  unexplained.forEach((u, k) => {
    const least = unexplained[best] ?? 1;
    if (u < least || (u === least && Math.abs(k - maxLag) < Math.abs(best - maxLag))) best = k;
  });
  const least = unexplained[best] ?? 1;
  const peak = Math.sqrt(1 - least);
  if (best === 0 || best === 2 * maxLag || !(peak >= LEAST_PEAK)) return null;
  const before = unexplained[best - 1] ?? 1;
  const after = unexplained[best + 1] ?? 1;
  const bend = before - 2 * least + after;
  const shift = bend > 0 ? (0.5 * (before - after)) / bend : 0;
  const independent = Math.max(4, (samples * stepMs) / Math.max(INDEPENDENT_MS, stepMs));
  // Rounded values never fit better than this, so two identical series still have an uncertainty of half a step.
  const limit = Math.max(least, 1e-9) * (1 + CHI_SQUARE_95 / independent);
  let low = best;
  while (low > 0 && (unexplained[low - 1] ?? 1) <= limit) low--;
  let high = best;
  while (high < 2 * maxLag && (unexplained[high + 1] ?? 1) <= limit) high++;
  return { lagMs: (best - maxLag + shift) * stepMs, lowMs: (low - maxLag - 0.5) * stepMs, highMs: (high - maxLag + 0.5) * stepMs, peak, swings };
}
