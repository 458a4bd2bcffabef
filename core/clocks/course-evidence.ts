import type { ClockCurvePoint, ClockEvidence } from '../model/clock-comparison.ts';
import { MOST_CURVE_POINTS } from '../model/clock-comparison.ts';
import type { Course } from './course.ts';
import { coursePair, GRID_MS, type CoursePair } from './course-pair.ts';
import { fitCourse, type CourseFit } from './fit-course.ts';

/** Offsets are looked for this far either way: an hour of daylight saving and a quarter more. */
export const SEARCH_MS = 75 * 60_000;
/** A course with values further apart shows too little of a heart's changes. */
const COARSEST_MS = 120_000;
const LEAST_PEAK = 0.5;
const LEAST_Z = 6;
/** A part of the record is searched over fewer offsets, so that less is enough. */
const LEAST_Z_OF_PART = 4.5;
/** Network time sets a clock by seconds to minutes (handbook 10). */
const STEP_SEARCH_MS = 15 * 60_000;
/** The peak must stand out by this much over any other. */
const LEAST_LEAD = 0.15;
const LEAST_SHARE = 0.95;
/** Two displays that average over 2 and 16 s lag each other by half the difference, 7 s (handbook 3.2): no clock is known better from rates. */
const DISPLAY_MS = 7000;
/** SpO2 of two sensors comes late by other times; only one and the same series tells clocks apart. */
const LEAST_SAME = 0.9;

/** What a course says, and where it stops to be the same throughout. */
export interface CourseEvidence extends ClockEvidence {
  /** Offsets of an early and a late part of the record, where both are clear and differ by more than they are uncertain. */
  readonly parts: readonly [earlyMs: number, lateMs: number] | null;
}

/**
 * Returns what two courses say about the clock of the first source: the offset at which they agree best, and whether that can
 * be trusted.
 * Shape   `presentMs` is the offset that is already in the times of `own`; offsets come out whole.
 * Units   ms. The limits hold what 200 draws of blocks give, half an interval of the coarser course (nobody knows how its values
 *         were made), and 7 s for what two displays may differ in averaging.
 * Source  analysis-spec 2; docs/methods/clock-offset.md.
 */
export function courseEvidence(own: Course, against: Course, presentMs: number): CourseEvidence {
  const about = { method: 'course', ownName: own.name, againstName: against.name, nOf: null } as const;
  const none = (reason: string): CourseEvidence => ({ ...about, n: 0, offsetMs: null, lowMs: null, highMs: null, peak: null, atPresent: null, next: null, reason, curve: [], parts: null });
  const coarsestMs = Math.max(own.stepMs, against.stepMs);
  if (coarsestMs > COARSEST_MS) return none(`values every ${Math.round(coarsestMs / 60_000)} min show too little of the course`);
  const isOwnCoarser = own.stepMs >= against.stepMs;
  const pair = coursePair(isOwnCoarser ? own : against, isOwnCoarser ? against : own);
  if (pair === null) return none('the record is too long to be searched');
  const sign = isOwnCoarser ? 1 : -1;
  const maxShift = SEARCH_MS / GRID_MS;
  const fit = fitCourse(pair, maxShift, 0, pair.value.length);
  if (fit === null) return none('the two share too little time, whatever the offset');
  const toMs = (shift: number): number => presentMs + sign * shift * GRID_MS;
  const widthMs = DISPLAY_MS + coarsestMs / 2;
  const [low, high] = [toMs(fit.low), toMs(fit.high)].sort((a, b) => a - b) as [number, number]; // two in, two out
  const offsetMs = toMs(fit.shift);
  const parts = partsApart(pair, fit.shift, toMs, widthMs);
  return {
    ...about,
    n: fit.n,
    offsetMs,
    lowMs: Math.floor(Math.min(low, offsetMs) - widthMs),
    highMs: Math.ceil(Math.max(high, offsetMs) + widthMs),
    peak: fit.peak,
    atPresent: fit.r[maxShift] ?? null,
    next: fit.next,
    reason: parts === null ? (doubtOf(fit) ?? sameSeriesDoubt(own, against, offsetMs - presentMs)) : 'the offset is not the same throughout',
    curve: curveOf(fit, toMs),
    parts,
  };
}

/** Returns why a fit is not clear, or null when it is. */
function doubtOf({ peak, next, z, share, shift, maxShift }: CourseFit): string | null {
  if (Math.abs(shift) >= maxShift) return `the best agreement lies at the edge of the search (${SEARCH_MS / 60_000} min)`;
  if (peak < LEAST_PEAK) return `the two courses agree nowhere (highest correlation ${peak.toFixed(2)})`;
  if (next !== null && peak - next < LEAST_LEAD) return `another offset fits nearly as well (correlation ${next.toFixed(2)} beside ${peak.toFixed(2)})`;
  if (z < LEAST_Z) return `too few independent values carry it (${z.toFixed(1)} standard errors, ${LEAST_Z} are asked for)`;
  if (share < LEAST_SHARE) return `it rests on part of the record (found in ${Math.round(share * 100)} % of the draws)`;
  return null;
}

function sameSeriesDoubt(own: Course, against: Course, differenceMs: number): string | null {
  if (own.quantity !== 'spo2' && against.quantity !== 'spo2') return null;
  const same = sameShare(own, against, differenceMs);
  return same >= LEAST_SAME ? null : `SpO2 of two sensors comes late by different times; only ${Math.round(same * 100)} % of the values are the same`;
}

/** Share of the values that stand in the other course too, at the nearest time after the shift. */
function sameShare(own: Course, against: Course, differenceMs: number): number {
  const reachMs = Math.max(own.stepMs, against.stepMs);
  let n = 0;
  let same = 0;
  let j = 0;
  for (let i = 0; i < own.tMs.length; i++) {
    const at = (own.tMs[i] ?? NaN) + differenceMs;
    while (j < against.tMs.length && (against.tMs[j] ?? Infinity) < at - reachMs) j++;
    let isNear = false;
    let isSame = false;
    for (let k = j; k < against.tMs.length && (against.tMs[k] ?? Infinity) <= at + reachMs; k++) {
      isNear = true;
      if (against.value[k] === own.value[i]) isSame = true;
    }
    if (isNear) n++;
    if (isSame) same++;
  }
  return n === 0 ? 0 : same / n;
}

/**
 * A clock that was set during the case shows as two parts that are each clear and lie apart: the halves, or else the first and
 * the last third, looked at within a quarter of an hour of the best offset of the whole.
 */
function partsApart(pair: CoursePair, centre: number, toMs: (shift: number) => number, widthMs: number): readonly [number, number] | null {
  const around = { ...pair, at: pair.at.map((place) => place + centre) };
  const n = pair.value.length;
  for (const share of [2, 3]) {
    const size = Math.floor(n / share);
    const first = fitCourse(around, STEP_SEARCH_MS / GRID_MS, 0, size);
    const last = first === null || !isClearPart(first) ? null : fitCourse(around, STEP_SEARCH_MS / GRID_MS, n - size, n);
    if (first === null || last === null || !isClearPart(last)) continue;
    const apartMs = Math.abs(first.shift - last.shift) * GRID_MS;
    const unsureMs = ((first.high - first.low + last.high - last.low) / 2) * GRID_MS;
    if (apartMs > widthMs + unsureMs) return [toMs(centre + first.shift), toMs(centre + last.shift)];
  }
  return null;
}

function isClearPart({ peak, next, z, share, shift, maxShift }: CourseFit): boolean {
  return Math.abs(shift) < maxShift && peak >= LEAST_PEAK && (next === null || peak - next >= LEAST_LEAD) && z >= LEAST_Z_OF_PART && share >= LEAST_SHARE;
}

/** The curve around the present offset and the peak, the highest correlation of each stretch. */
function curveOf({ r, maxShift, shift }: CourseFit, toMs: (shift: number) => number): ClockCurvePoint[] {
  const around = 600;
  const from = Math.max(-maxShift, Math.min(0, shift) - around);
  const to = Math.min(maxShift, Math.max(0, shift) + around);
  const width = Math.ceil((to - from + 1) / MOST_CURVE_POINTS);
  const out: ClockCurvePoint[] = [];
  for (let start = from; start <= to; start += width) {
    let best: number | null = null;
    let bestAt = start;
    for (let k = start; k < start + width && k <= to; k++) {
      const own = r[k + maxShift] ?? null;
      if (own !== null && (best === null || own > best)) {
        best = own;
        bestAt = k;
      }
    }
    out.push([toMs(bestAt), best === null ? null : Math.round(best * 1000) / 1000]);
  }
  return out.sort((a, b) => a[0] - b[0]);
}
