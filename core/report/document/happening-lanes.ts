import type { Interval } from '../../base/interval.ts';
import { doseText } from '../../base/number-text.ts';
import type { CaseAnalysis } from '../../model/analysis.ts';
import type { CaseRecord } from '../../model/case.ts';
import type { CaseEvent } from '../../model/event.ts';
import { buildInfusions } from '../../model/infusions.ts';
import { isGoingOn } from '../../model/record-until.ts';
import { buildPhases } from '../../model/phases.ts';
import type { MarkForm, Shape } from '../../model/report-document.ts';
import { exposureWords } from './case-words.ts';
import { cut, laneFrame, type Drawing, type LaneSection } from './lane-drawing.ts';
import { box, label, roughWidth, stroke } from './plot-frame.ts';

/** Labels of what was given or done stand on so many rows; what fits on none is drawn without its words, and the table has them. */
const LABEL_ROWS = 3;
const ROW = 9.5;
/** Rows of what happened stand closer than lanes of signals, pt. */
const BAR_GAP = 3;
/** Notes longer than this are cut on the picture, never in the table. */
const MOST_NOTE_CHARACTERS = 60;

/** A note that a person pinned to an instant or a span of a case. */
export interface PinnedNote {
  readonly startMs: number;
  /** null: an instant. */
  readonly endMs: number | null;
  readonly text: string;
}

interface Moment {
  readonly atMs: number;
  readonly words: string;
  readonly form: MarkForm;
  readonly isHollow: boolean;
}

interface Bar extends Interval {
  readonly words: string;
  /** Drawn broken: its end is not on record, or kept back. */
  readonly isOpen?: boolean;
}

/** Returns boluses, changes of infusions and other moments that the analysis knows as exposures, with their words where there is room. */
export function exposureSection(drawing: Drawing, { exposures }: CaseAnalysis): LaneSection[] {
  return momentSection(drawing, exposures.filter(({ endMs }) => endMs === null).map((one): Moment => ({ atMs: one.atMs, words: exposureWords(one), form: one.kind === 'vasopressor bolus' ? 'triangle down' : 'diamond', isHollow: one.manual })));
}

/** Returns every bolus and every event that is not the end of a state: what the timeline of the window shows, by the words of the dictionary. */
export function givenSection(drawing: Drawing, record: CaseRecord, analysis: CaseAnalysis): LaneSection[] {
  return momentSection(drawing, givenMoments(record, analysis).map(({ atMs, words, kind, manual }): Moment => ({ atMs, words, form: kind === 'vasopressor' ? 'triangle down' : kind === 'drug' ? 'square' : 'diamond', isHollow: manual })));
}

/** Something that was given or done at one instant. */
export interface GivenMoment {
  readonly atMs: number;
  readonly words: string;
  readonly kind: 'vasopressor' | 'drug' | 'event';
  readonly manual: boolean;
}

/** Returns what was given or done at an instant, in time order. No text of a record is in it: what the dictionary does not know is called by its kind. */
export function givenMoments({ drugs, events }: CaseRecord, { exposures }: CaseAnalysis): GivenMoment[] {
  const bars = exposures.filter(({ endMs, kind }) => endMs !== null && kind !== 'infusion change' && kind !== 'vasopressor bolus');
  const isOfBar = (event: CaseEvent): boolean => bars.some(({ kind, atMs, endMs }) => kind === event.kind && (atMs === event.atMs || (event.phase === 'end' && endMs === event.atMs)));
  const given = drugs.filter(({ form }) => form === 'bolus').map((drug): GivenMoment => ({
    atMs: drug.atMs, words: `${drug.inn ?? 'a drug that is not in the dictionary'} ${drug.amount === null ? 'dose not stated' : doseText(drug.amount, drug.unit)}`, kind: drug.isVasopressor ? 'vasopressor' : 'drug', manual: drug.manual,
  }));
  // A bolus that the record names otherwise than the dictionary is known as an exposure, and as nothing else.
  const unnamed = exposures.filter(({ kind, atMs }) => kind === 'vasopressor bolus' && !drugs.some((drug) => drug.form === 'bolus' && drug.atMs === atMs)).map((one): GivenMoment => ({ atMs: one.atMs, words: exposureWords(one), kind: 'vasopressor', manual: one.manual }));
  const done = events.filter((event) => !isOfBar(event)).map((event): GivenMoment => ({ atMs: event.atMs, words: event.term === '' ? event.kind : event.term, kind: 'event', manual: event.manual }));
  return [...given, ...unnamed, ...done].sort((a, b) => a.atMs - b.atMs);
}

function momentSection(drawing: Drawing, all: readonly Moment[]): LaneSection[] {
  const moments = all.filter(({ atMs }) => atMs >= drawing.startMs && atMs <= drawing.endMs);
  if (moments.length === 0) return [];
  const ends: number[] = Array.from({ length: LABEL_ROWS }, () => -Infinity);
  const shapes: { readonly dy: number; readonly make: (y: number) => Shape }[] = [];
  let used = 0;
  for (const { atMs, words, form, isHollow } of moments) {
    const x = drawing.x.at(atMs);
    shapes.push({ dy: 4, make: (y) => ({ kind: 'mark', form, x, y, size: 5, ink: 'ink', isHollow }) });
    const width = roughWidth(words, 6);
    const start = Math.min(x, drawing.width - width);
    const row = ends.findIndex((end) => end < start - 2);
    if (row < 0) continue;
    ends[row] = start + width + 4;
    used = Math.max(used, row + 1);
    shapes.push({ dy: 14 + row * 7, make: (y) => label(start, y, words, { size: 6, ink: 'ink' }) });
  }
  return [section('given', 'what was given or done', 8 + used * 7, 'Given, done', (target) => {
    for (const { dy, make } of shapes) target.shapes.push(make(target.y + dy));
  })];
}

/** Returns states as bars: positions, tourniquet, bypass and the like. */
export function stateSection(drawing: Drawing, record: CaseRecord, { exposures, bounds }: CaseAnalysis): LaneSection[] {
  return barSection(drawing, 'states', 'States', exposures.filter(({ endMs }) => endMs !== null).map((one): Bar => ({ startMs: one.atMs, endMs: one.endMs ?? drawing.endMs, words: exposureWords(one), isOpen: isGoingOn(record, one, bounds.endMs) })));
}

/** Returns the phases of the anaesthetic that events of the record tell. */
export function phaseSection(drawing: Drawing, record: CaseRecord): LaneSection[] {
  return barSection(drawing, 'phases', 'Phases', buildPhases(record.events, shownEnd(drawing, record), record.recordedUntilMs !== undefined).map(({ startMs, endMs, text, isOpen }): Bar => ({ startMs, endMs, words: text, isOpen })));
}

/** Returns notes pinned to the case: a flag at an instant, a bar over a span. */
export function marksSection(drawing: Drawing, notes: readonly PinnedNote[]): LaneSection[] {
  return barSection(drawing, 'notes', 'Notes', notes.map(({ startMs, endMs, text }): Bar => {
    const words = text.replaceAll(/\s+/gu, ' ').trim();
    return { startMs, endMs: endMs ?? startMs, words: words.length > MOST_NOTE_CHARACTERS ? `${words.slice(0, MOST_NOTE_CHARACTERS - 1).trimEnd()}…` : words };
  }));
}

/** Where a bar without an end stops, CaseMs: at the instant from which what came later is kept back, else where the picture does. */
function shownEnd(drawing: Drawing, { recordedUntilMs }: CaseRecord): number {
  return Math.min(drawing.endMs, recordedUntilMs ?? Infinity);
}

function barSection(drawing: Drawing, laneName: string, title: string, all: readonly Bar[]): LaneSection[] {
  const bars = all.filter(({ startMs, endMs }) => startMs < drawing.endMs && endMs >= drawing.startMs).sort((a, b) => a.startMs - b.startMs);
  if (bars.length === 0) return [];
  const rows: { readonly own: Bar[]; end: number }[] = [];
  for (const bar of bars) {
    const [x0, x1] = cut(drawing, bar.startMs, bar.endMs);
    const words = wordsOfBar(drawing, x0, x1, bar.words).from;
    // A bar leaves room for the words of the one before it.
    const row = rows.find(({ end }) => end <= Math.min(x0, words));
    const end = Math.max(x1, words + roughWidth(bar.words, 6) + 4);
    if (row === undefined) rows.push({ own: [bar], end });
    else {
      row.own.push(bar);
      row.end = end;
    }
  }
  return [section(laneName, title.toLowerCase(), rows.length * ROW + 1, title, (target) => {
    for (const [i, { own }] of rows.entries()) {
      const y = target.y + 1 + i * ROW;
      for (const bar of own) {
        const [x0, x1] = cut(target, bar.startMs, bar.endMs);
        if (bar.endMs === bar.startMs) target.shapes.push(stroke([x0, y], [x0, y + 8], 'ink', 1.2));
        else target.shapes.push(box(x0, y, x1 - x0, 8, 'faint', 'rule', bar.isOpen === true ? [2, 1.5] : undefined));
        const { from, align } = wordsOfBar(target, x0, x1, bar.words);
        target.shapes.push(label(align === 'end' ? x0 - 2 : from, y + 6, bar.words, { size: 6, ink: 'ink', align }));
      }
    }
  })];
}

/** Returns where the words of a bar begin: in it, behind it where it is too short for them, before it at the right edge. No end of a bar runs through them. */
function wordsOfBar(drawing: Drawing, x0: number, x1: number, words: string): { readonly from: number; readonly align: 'start' | 'end' } {
  const width = roughWidth(words, 6);
  if (x0 + 2 + width <= x1) return { from: x0 + 2, align: 'start' };
  if (x1 + 2 + width <= drawing.width) return { from: x1 + 2, align: 'start' };
  return { from: Math.max(0, x0 - 2 - width), align: 'end' };
}

/** Lanes of infusions, pt: a rate stands in its step, or above a step that is lower than its words. */
const INFUSION = { lane: 15, highest: 9, leastForWords: 7.5 } as const;

/** Returns infusions, one row for each drug: steps as boxes with their rates where they fit. */
export function infusionSection(drawing: Drawing, record: CaseRecord): LaneSection[] {
  const infusions = buildInfusions(record.drugs.filter(({ inn }) => inn !== null), shownEnd(drawing, record))
    .map((one) => ({ ...one, steps: one.steps.filter(({ startMs, endMs }) => startMs < drawing.endMs && endMs > drawing.startMs) }))
    .filter(({ steps }) => steps.length > 0);
  // One lane for each: a case with many of them must not make one that fits nowhere.
  return infusions.map(({ name, steps, highestRate }) => section(`infusion ${name}`, `infusion of ${name}`, INFUSION.lane, name, (target) => {
    const floor = target.y + INFUSION.lane - 1;
    for (const { startMs, endMs, rate, text, isOpen } of steps) {
      const [x0, x1] = cut(target, startMs, endMs);
      const height = rate === null || highestRate === 0 ? 6 : Math.max(2, (INFUSION.highest * rate) / highestRate);
      target.shapes.push(box(x0, floor - height, x1 - x0, height, 'faint', 'rule', isOpen && record.recordedUntilMs !== undefined ? [2, 1.5] : undefined));
      if (roughWidth(text, 6) + 4 <= x1 - x0) target.shapes.push(label(x0 + 2, floor - (height < INFUSION.leastForWords ? height + 1 : 2), text, { size: 6, ink: 'ink' }));
    }
  }));
}

function section(laneName: string, title: string, height: number, name: string, draw: (drawing: Drawing) => void): LaneSection {
  return {
    laneName, title, leastHeight: height, gap: BAR_GAP, weight: 0,
    draw: (drawing) => {
      laneFrame(drawing, name, height, null, []);
      draw(drawing);
      drawing.y += height + BAR_GAP;
    },
  };
}
