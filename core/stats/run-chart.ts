import { binomialCdf } from './distributions.ts';
import { median } from './quantile.ts';

/** A run chart of that many values on either side of the line is judged; with fewer it is only drawn. */
export const FEWEST_JUDGED = 10;
/** A run of so many points on one side is a shift, and so many rising or falling a trend, by the fixed rules of Perla et al. */
export const SHIFT_POINTS = 6;
export const TREND_POINTS = 5;

/** The runs of a series about a line. */
export interface RunChart {
  readonly centre: number | null;
  readonly observations: number;
  /** Points off the line: only these count. */
  readonly useful: number;
  readonly above: number;
  readonly below: number;
  readonly runs: number;
  readonly longestRun: number;
  /** Times that the series changes side. */
  readonly crossings: number;
  /** A longest run above this is a signal. */
  readonly longestRunLimit: number | null;
  /** Fewer crossings than this are a signal. */
  readonly crossingsLimit: number | null;
  readonly signal: boolean;
  /** A run of six or more: the fixed rule. */
  readonly shift6: boolean;
  /** Enough useful points for the two rules to mean anything. */
  readonly isJudged: boolean;
  /** Points, from 0, of the longest run; of several of that length, the first. */
  readonly longestRunAt: readonly number[];
}

/** Returns the two limits for a number of useful points: nothing to judge below 1. */
export function runLimits(useful: number): { readonly longestRunLimit: number | null; readonly crossingsLimit: number | null } {
  if (useful < 1) return { longestRunLimit: null, crossingsLimit: null };
  let crossings = 0;
  while (binomialCdf(crossings, useful - 1, 0.5) < 0.05) crossings++;
  return { longestRunLimit: Math.round(Math.log2(useful)) + 3, crossingsLimit: crossings };
}

/**
 * Returns the runs of a series about its median, or about a line that was fixed before.
 * Shape   one value per point, in order of time. A point on the line neither breaks nor lengthens a run.
 * Missing null points are left out. No point off the line: no limits and no signal.
 * Source  Anhøj & Olesen, PLoS One 2014;9:e113825 (longest run above round(log₂ n) + 3, or crossings below the 5 % point of
 *         Binomial(n − 1, ½)); Chen 2010; Schilling, Am Stat 2012;66:157. Fixed rule: Perla et al., BMJ Qual Saf 2011;20:46.
 */
export function runChart(y: readonly (number | null)[], fixedCentre: number | null): RunChart {
  const present = y.filter((v) => v !== null);
  const centre = fixedCentre ?? median(present);
  const sides = y.flatMap((v, at) => (v === null || centre === null || v === centre ? [] : [{ at, isAbove: v > centre }]));
  let runs: (typeof sides)[] = [];
  for (const side of sides) {
    const last = runs[runs.length - 1];
    if (last?.[0]?.isAbove === side.isAbove) last.push(side);
    else runs = [...runs, [side]];
  }
  const longest = runs.reduce<typeof sides>((most, run) => (run.length > most.length ? run : most), []);
  const useful = sides.length;
  const above = sides.filter((side) => side.isAbove).length;
  const crossings = Math.max(0, runs.length - 1);
  const { longestRunLimit, crossingsLimit } = runLimits(useful);
  return {
    centre,
    observations: present.length,
    useful,
    above,
    below: useful - above,
    runs: runs.length,
    longestRun: longest.length,
    crossings,
    longestRunLimit,
    crossingsLimit,
    signal: longestRunLimit !== null && crossingsLimit !== null && (longest.length > longestRunLimit || crossings < crossingsLimit),
    shift6: longest.length >= SHIFT_POINTS,
    isJudged: useful >= FEWEST_JUDGED,
    longestRunAt: longest.map((side) => side.at),
  };
}

/**
 * Returns the points, from 0, at which that many values in a row have stood on one side of the line.
 * Shape   a value on the line neither breaks nor lengthens a run; null values are skipped.
 * Source  Perla et al., BMJ Qual Saf 2011;20:46 (six points).
 */
export function shifts(y: readonly (number | null)[], centre: number, points: number): number[] {
  const found: number[] = [];
  let run = 0;
  y.forEach((v, i) => {
    if (v === null || v === centre) return;
    const side = v > centre ? 1 : -1;
    run = Math.sign(run) === side ? run + side : side;
    if (Math.abs(run) >= points) found.push(i);
  });
  return found;
}

/**
 * Returns the points, from 0, at which that many values in a row have risen, or have fallen.
 * Shape   a value equal to the one before it is skipped; null values too.
 * Source  Perla et al., BMJ Qual Saf 2011;20:46 (five points). Hardly finds anything: Anhøj & Olesen 2014.
 */
export function trends(y: readonly (number | null)[], points: number): number[] {
  const found: number[] = [];
  let last: number | null = null;
  let rising = 1;
  let falling = 1;
  y.forEach((v, i) => {
    if (v === null || v === last) return;
    if (last !== null) [rising, falling] = v > last ? [rising + 1, 1] : [1, falling + 1];
    last = v;
    if (rising >= points || falling >= points) found.push(i);
  });
  return found;
}
