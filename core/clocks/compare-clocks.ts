import type { ClockComparison, ClockEvidence } from '../model/clock-comparison.ts';
import type { Quantity } from '../model/quantity.ts';
import type { ClockSource } from './clock-source.ts';
import { courseEvidence, type CourseEvidence } from './course-evidence.ts';
import { courseOf, type Course } from './course.ts';
import { cuffMeasurements } from './cuff-measurements.ts';
import { measurementEvidence } from './measurement-evidence.ts';
import { sensorHint } from './sensor-hint.ts';

/** Sources that a source is compared with, best one first, until its clock can be told. */
const MOST_OTHERS = 3;
/** Pairs of courses looked at for two sources. */
const MOST_PAIRS = 4;

/** What two devices may both record: the rate of heart and pulse is one thing, the others must be the same quantity. */
const COURSES: readonly (readonly Quantity[])[] = [['heart-rate', 'pulse-rate'], ['art-mean', 'art-sys'], ['etco2'], ['spo2']];

/**
 * Returns how the clock of each source stands to that of another: the source with the most SpO2 values is the one that the
 * others are held against, and a source that has nothing in common with it is held against the next.
 * Shape   one comparison for each source but the first, in the order of the sources; none where there is only one source.
 * Missing a source without anything that another recorded too: cannot be told, with the reason.
 * Source  analysis-spec 2; handbook 10; docs/methods/clock-offset.md.
 */
export function compareClocks(sources: readonly ClockSource[]): ClockComparison[] {
  const ranked = [...sources].sort((a, b) => values(b, 'spo2') - values(a, 'spo2') || values(b, null) - values(a, null) || a.sourceIndex - b.sourceIndex);
  const ready = new Map(ranked.map((source) => [source, { courses: coursesOf(source), cuff: cuffMeasurements(source) }]));
  const out: ClockComparison[] = [];
  ranked.forEach((own, rank) => {
    if (rank === 0) return;
    const tried: ClockComparison[] = [];
    for (const against of ranked.slice(0, rank)) {
      if (tried.length === MOST_OTHERS) break;
      const evidence = evidenceOf(own, ready.get(own), ready.get(against));
      if (evidence.length === 0) continue;
      tried.push(comparison(own, against, evidence));
      if (tried.at(-1)?.verdict !== 'cannot be told') break;
    }
    const clear = tried.find(({ verdict }) => verdict !== 'cannot be told');
    out.push(clear ?? tried[0] ?? nothingShared(own, ranked[0]));
  });
  return out.sort((a, b) => a.sourceIndex - b.sourceIndex);
}

interface Ready {
  readonly courses: readonly Course[];
  readonly cuff: ReturnType<typeof cuffMeasurements>;
}

function values({ channels }: ClockSource, quantity: Quantity | null): number {
  return channels.reduce((sum, channel) => (quantity === null || channel.quantity === quantity ? sum + channel.value.length : sum), 0);
}

function coursesOf(source: ClockSource): Course[] {
  const wanted = new Set(COURSES.flat());
  return source.channels.flatMap((channel) => {
    const course = wanted.has(channel.quantity) ? courseOf(channel, source) : null;
    return course === null ? [] : [course];
  });
}

/** Returns what the sources have in common, the clear and narrow evidence first. */
function evidenceOf(own: ClockSource, mine: Ready | undefined, theirs: Ready | undefined): (ClockEvidence | CourseEvidence)[] {
  if (mine === undefined || theirs === undefined) return [];
  const presentMs = own.file.clockOffsetMs;
  const out: (ClockEvidence | CourseEvidence)[] = [];
  if (mine.cuff !== null && theirs.cuff !== null) out.push(measurementEvidence(mine.cuff, theirs.cuff, presentMs));
  const pairs: (readonly [Course, Course])[] = [];
  for (const group of COURSES) {
    for (const a of mine.courses) for (const b of theirs.courses) {
      if (!group.includes(a.quantity) || !group.includes(b.quantity)) continue;
      if (group.length > 1 && group[0] !== 'heart-rate' && a.quantity !== b.quantity) continue;
      pairs.push([a, b]);
    }
  }
  for (const [a, b] of pairs.slice(0, MOST_PAIRS)) out.push(courseEvidence(a, b, presentMs));
  const width = ({ lowMs, highMs }: ClockEvidence): number => (lowMs === null || highMs === null ? Infinity : highMs - lowMs);
  return out.sort((a, b) => Number(a.reason !== null) - Number(b.reason !== null) || width(a) - width(b) || (b.peak ?? 0) - (a.peak ?? 0));
}

function comparison(own: ClockSource, against: ClockSource, found: readonly (ClockEvidence | CourseEvidence)[]): ClockComparison {
  const evidence = found.map(bare);
  const base = { sourceIndex: own.sourceIndex, againstIndex: against.sourceIndex, evidence };
  const changing = found.find((one): one is CourseEvidence => 'parts' in one && one.parts !== null);
  if (changing !== undefined && changing.parts !== null) {
    const [early, late] = changing.parts;
    return { ...base, verdict: 'changes', offsetMs: null, words: `Against ${against.file.name} the clock does not keep: ${secondsText(early)} fit the early part of the record, ${secondsText(late)} the late part. One of the clocks was probably set during the case; one offset cannot mend that, and none is proposed.` };
  }
  const clear = found.filter((one) => one.reason === null);
  const [best, ...others] = clear;
  if (best === undefined || best.offsetMs === null || best.lowMs === null || best.highMs === null) {
    return { ...base, verdict: 'cannot be told', offsetMs: null, words: `Against ${against.file.name} the clock cannot be told: ${reasonsText(found)}.` };
  }
  const against_ = others.find((one) => (one.lowMs ?? -Infinity) > (best.highMs ?? Infinity) || (one.highMs ?? Infinity) < (best.lowMs ?? -Infinity));
  if (against_ !== undefined) {
    return { ...base, verdict: 'cannot be told', offsetMs: null, words: `Against ${against.file.name} the evidence contradicts itself: ${best.ownName} says ${secondsText(best.offsetMs)}, ${against_.ownName} says ${secondsText(against_.offsetMs ?? NaN)}.` };
  }
  const presentMs = own.file.clockOffsetMs;
  const rounded = Math.round(best.offsetMs / 1000) * 1000;
  const said = best.method === 'course' ? `the course of ${nameOf(best)} agrees best at ${secondsText(best.offsetMs)} (correlation ${(best.peak ?? 0).toFixed(2)}, at present ${best.atPresent === null ? 'none' : best.atPresent.toFixed(2)}; ${best.n} pairs)` : `${best.n} of ${best.nOf ?? best.n} cuff measurements are found again at ${secondsText(best.offsetMs)}`;
  const limits = `between ${secondsText(best.lowMs)} and ${secondsText(best.highMs)}`;
  if (best.lowMs <= presentMs && presentMs <= best.highMs) {
    return { ...base, verdict: 'agrees', offsetMs: null, words: `Against ${against.file.name} the clock agrees as it is: ${said}, ${limits}, and the present ${secondsText(presentMs)} lie within.` };
  }
  return { ...base, verdict: 'proposed', offsetMs: rounded, words: `Against ${against.file.name} ${said}, ${limits}. Which of the two clocks is right the data do not tell.` };
}

function bare(one: ClockEvidence | CourseEvidence): ClockEvidence {
  if (!('parts' in one)) return one;
  const { parts: _parts, ...evidence } = one;
  return evidence;
}

function nothingShared(own: ClockSource, first: ClockSource | undefined): ClockComparison {
  const hint = first === undefined ? null : sensorHint(own, first);
  return {
    sourceIndex: own.sourceIndex,
    againstIndex: null,
    verdict: 'cannot be told',
    offsetMs: null,
    words: `The clock cannot be told: nothing in ${own.file.name} was recorded by another source as well (a rate, a pressure, cuff measurements).${hint === null ? '' : ` ${hint}`}`,
    evidence: [],
  };
}

function nameOf({ ownName, againstName }: ClockEvidence): string {
  return ownName === againstName ? ownName : `${ownName} and ${againstName}`;
}

function reasonsText(found: readonly ClockEvidence[]): string {
  return [...new Set(found.map((one) => (one.method === 'course' ? `${nameOf(one)}: ${one.reason ?? ''}` : (one.reason ?? ''))))].slice(0, 3).join('; ');
}

function secondsText(ms: number): string {
  const seconds = Math.round(ms / 1000);
  return `${seconds > 0 ? '+' : seconds < 0 ? '−' : ''}${Math.abs(seconds)} s`;
}
