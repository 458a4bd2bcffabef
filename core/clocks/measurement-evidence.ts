import type { ClockCurvePoint, ClockEvidence } from '../model/clock-comparison.ts';
import { MOST_CURVE_POINTS } from '../model/clock-comparison.ts';
import { median } from '../stats/quantile.ts';
import { SEARCH_MS } from './course-evidence.ts';
import type { CuffMeasurements } from './cuff-measurements.ts';

/** Measurements found again within so long of one offset belong to it: a minute of rounding. */
const WINDOW_MS = 60_000;
const LEAST_FOUND = 4;
const LEAST_SHARE = 0.6;
/** Found again at another offset: at most half as many. */
const MOST_ELSEWHERE = 0.5;

interface Match {
  /** Time in the other source less time in the own one. */
  readonly differenceMs: number;
  readonly own: number;
}

/**
 * Returns what cuff measurements that stand in two sources say about the clock of the first: the difference at which most of
 * them are found again with the same systolic and diastolic pressure.
 * Shape   `presentMs` is the offset that is already in the times of `own`; offsets come out whole.
 * Units   ms. The limits hold every offset that the differences allow when stamps were cut or rounded to their step.
 * Source  handbook 10 (cuff values); docs/methods/clock-offset.md.
 */
export function measurementEvidence(own: CuffMeasurements, against: CuffMeasurements, presentMs: number): ClockEvidence {
  const about = { method: 'measurements', ownName: own.name, againstName: against.name } as const;
  const matches = matchesOf(own, against);
  const best = densest(matches, null);
  const found = best === null ? 0 : best.owns.size;
  const could = best === null ? Math.min(own.list.length, against.list.length) : couldMatch(own, against, best.differenceMs);
  const elsewhere = best === null ? 0 : (densest(matches, best.differenceMs)?.owns.size ?? 0);
  const share = could === 0 ? 0 : found / could;
  const base = { ...about, n: found, nOf: could, peak: could === 0 ? null : round(share), next: could === 0 ? null : round(elsewhere / could), atPresent: could === 0 ? null : round(foundNear(matches, 0) / could) };
  if (best === null) return { ...base, offsetMs: null, lowMs: null, highMs: null, reason: 'no cuff measurement of the one stands in the other', curve: [] };
  const stampMs = Math.max(own.stampMs, against.stampMs);
  const least = Math.min(...best.differences);
  const most = Math.max(...best.differences);
  const middle = median(best.differences) ?? best.differenceMs;
  return {
    ...base,
    offsetMs: presentMs + middle,
    lowMs: presentMs + Math.min(least, most - stampMs),
    highMs: presentMs + Math.max(most, least + stampMs),
    reason: doubt(found, could, elsewhere),
    curve: curveOf(matches, could, middle, presentMs),
  };
}

function doubt(found: number, could: number, elsewhere: number): string | null {
  if (found < LEAST_FOUND) return `only ${found} cuff ${found === 1 ? 'measurement is' : 'measurements are'} found in both (${LEAST_FOUND} are asked for)`;
  if (found < LEAST_SHARE * could) return `only ${found} of ${could} cuff measurements are found in both`;
  if (elsewhere > MOST_ELSEWHERE * found) return `another offset finds nearly as many cuff measurements again (${elsewhere} beside ${found})`;
  return null;
}

function round(share: number): number {
  return Math.round(share * 1000) / 1000;
}

function matchesOf(own: CuffMeasurements, against: CuffMeasurements): Match[] {
  const bySize = new Map<string, number[]>();
  for (const { sys, dia, atMs } of against.list) {
    const key = `${sys}/${dia}`;
    const known = bySize.get(key) ?? [];
    known.push(atMs);
    bySize.set(key, known);
  }
  const out = own.list.flatMap(({ sys, dia, atMs }, i) => (bySize.get(`${sys}/${dia}`) ?? []).map((at): Match => ({ differenceMs: at - atMs, own: i })));
  return out.filter(({ differenceMs }) => Math.abs(differenceMs) <= SEARCH_MS).sort((a, b) => a.differenceMs - b.differenceMs);
}

interface Cluster {
  readonly differenceMs: number;
  readonly differences: readonly number[];
  readonly owns: ReadonlySet<number>;
}

/** The minute of differences with the most measurements, those within a minute of `butNotMs` left out. */
function densest(matches: readonly Match[], butNotMs: number | null): Cluster | null {
  const open = butNotMs === null ? matches : matches.filter(({ differenceMs }) => Math.abs(differenceMs - butNotMs) > WINDOW_MS);
  let best: Cluster | null = null;
  for (let from = 0; from < open.length; from++) {
    const start = open[from]?.differenceMs ?? NaN;
    const inside = [];
    for (let to = from; to < open.length && (open[to]?.differenceMs ?? Infinity) <= start + WINDOW_MS; to++) inside.push(open[to]);
    const owns = new Set(inside.map((match) => match?.own ?? -1));
    if (best !== null && owns.size <= best.owns.size) continue;
    const differences = inside.map((match) => match?.differenceMs ?? NaN);
    best = { differences, owns, differenceMs: median(differences) ?? start };
  }
  return best;
}

function foundNear(matches: readonly Match[], differenceMs: number): number {
  return new Set(matches.flatMap((match) => (Math.abs(match.differenceMs - differenceMs) <= WINDOW_MS / 2 ? [match.own] : []))).size;
}

/** How many measurements lie in the time that both sources cover at that difference: the smaller number of the two. */
function couldMatch(own: CuffMeasurements, against: CuffMeasurements, differenceMs: number): number {
  const within = (list: CuffMeasurements['list'], other: CuffMeasurements['list'], shiftMs: number): number => {
    const start = (other[0]?.atMs ?? NaN) - WINDOW_MS;
    const end = (other.at(-1)?.atMs ?? NaN) + WINDOW_MS;
    return list.filter(({ atMs }) => atMs + shiftMs >= start && atMs + shiftMs <= end).length;
  };
  return Math.min(within(own.list, against.list, differenceMs), within(against.list, own.list, -differenceMs));
}

/** Share of the measurements found within half a minute of each offset, around the present one and the best. */
function curveOf(matches: readonly Match[], could: number, middle: number, presentMs: number): ClockCurvePoint[] {
  const from = Math.max(-SEARCH_MS, Math.min(0, middle) - 600_000);
  const to = Math.min(SEARCH_MS, Math.max(0, middle) + 600_000);
  const stepMs = Math.max(WINDOW_MS / 4, Math.ceil((to - from) / (MOST_CURVE_POINTS - 1)));
  const out: ClockCurvePoint[] = [];
  for (let at = from; at <= to; at += stepMs) out.push([presentMs + Math.round(at), could === 0 ? null : round(foundNear(matches, at) / could)]);
  return out;
}
