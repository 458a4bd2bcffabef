import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseEvent } from '../../core/model/event.ts';
import { buildInfusions, drugName } from '../../core/model/infusions.ts';
import type { Infusion } from '../../core/model/infusions.ts';
import { isGoingOn } from '../../core/model/record-until.ts';
import { buildPhases } from '../../core/model/phases.ts';
import type { Phase } from '../../core/model/phases.ts';
import { doseText } from '../format/number-text.ts';
import { clipPx, timeToPx } from './episode-layer.ts';
import type { PxSpan } from './episode-layer.ts';
import { LabelRow } from './label-layout.ts';
import type { MeasureText } from './label-layout.ts';

/** Rows that bolus labels and event texts may use where there is height; what does not fit keeps its mark and its place in the table. */
export const MARK_ROWS = 2;
/** Texts longer than this are cut on the picture, never in the table. */
const CUT_AT = 22;

export interface Bolus {
  readonly drugId: string;
  readonly atMs: number;
  readonly isVasopressor: boolean;
  /** Longest first: what is written beside the mark, as far as it fits. */
  readonly texts: readonly string[];
}

export interface StateBar extends Interval {
  readonly text: string;
  readonly row: number;
  /** Its end is kept back: it is drawn open. */
  readonly isOpen: boolean;
}

export interface Moment {
  readonly eventId: string;
  readonly atMs: number;
  readonly text: string;
}

/** What happened in a case besides the signals, ready to be laid out. */
export interface Happenings {
  readonly phases: readonly Phase[];
  readonly boluses: readonly Bolus[];
  readonly infusions: readonly Infusion[];
  readonly states: readonly StateBar[];
  readonly stateRows: number;
  readonly moments: readonly Moment[];
  /** What came later is kept back: what has no end is drawn open. */
  readonly isLaterKeptBack: boolean;
}

/** Returns boluses, infusions, states and momentary events of a case, each in time order. States that never end reach to `caseEndMs`. */
export function buildHappenings(record: CaseRecord, analysis: CaseAnalysis, caseEndMs: number): Happenings {
  const boluses = record.drugs
    .filter((drug) => drug.form === 'bolus')
    .map((drug) => {
      const dose = drug.amount === null ? 'dose not stated' : doseText(drug.amount, drug.unit);
      // A dose alone could be read as that of the drug beside it; only on the tag of a vasopressor it belongs to its own mark in sight.
      return { drugId: drug.drugId, atMs: drug.atMs, isVasopressor: drug.isVasopressor, texts: [`${drugName(drug)} ${dose}`, drugName(drug), ...(drug.isVasopressor ? [dose] : [])] };
    });
  const bars = analysis.exposures
    .filter((exposure) => exposure.endMs !== null && exposure.kind !== 'infusion change' && exposure.kind !== 'vasopressor bolus')
    .map((exposure) => ({ startMs: exposure.atMs, endMs: exposure.endMs ?? caseEndMs, text: exposure.label, kind: exposure.kind }))
    .sort((a, b) => a.startMs - b.startMs || a.endMs - b.endMs);
  const rowEnds: number[] = [];
  const states = bars.map(({ startMs, endMs, text, kind }) => {
    const free = rowEnds.findIndex((end) => end <= startMs);
    const row = free >= 0 ? free : rowEnds.length;
    rowEnds[row] = endMs;
    return { startMs, endMs, text, row, isOpen: isGoingOn(record, { kind, atMs: startMs, endMs }, Math.min(caseEndMs, analysis.bounds.endMs)) };
  });
  const isBarEnd = (event: CaseEvent): boolean => bars.some((bar) => bar.kind === event.kind && (bar.startMs === event.atMs || (event.phase === 'end' && bar.endMs === event.atMs)));
  const moments = record.events
    .filter((event) => !isBarEnd(event))
    .map((event) => ({ eventId: event.eventId, atMs: event.atMs, text: event.text || event.term || event.kind }));
  const isLaterKeptBack = record.recordedUntilMs !== undefined;
  return { phases: buildPhases(record.events, caseEndMs, isLaterKeptBack), boluses, infusions: buildInfusions(record.drugs, caseEndMs), states, stateRows: rowEnds.length, moments, isLaterKeptBack };
}

/** A mark with its text: `text` is null where nothing fits. */
export interface PlacedMark {
  readonly atPx: number;
  readonly text: string | null;
  readonly row: number;
}

/** Returns `text` cut to CUT_AT characters, with an ellipsis where something was cut. */
export function cutText(text: string): string {
  return text.length <= CUT_AT ? text : `${text.slice(0, CUT_AT - 1).trimEnd()}…`;
}

/**
 * Returns where the marks of the window stand and what is written beside each, in the order given (time order).
 * Shape    texts stand `gapPx` right of their mark; each takes the first row in which its longest text fits without touching another,
 *          then shorter texts, then none. A mark's stroke runs from its row down, so a text in the first row may pass over later marks
 *          (they start lower) and a text in a lower row ends before the next mark. Marks outside the plot are left out.
 */
export function placeMarks<T extends { readonly atMs: number }>(
  marks: readonly T[],
  textsOf: (mark: T) => readonly string[],
  window: Interval,
  widthPx: number,
  rows: number,
  gapPx: number,
  widthOf: MeasureText,
): (PlacedMark & { readonly mark: T })[] {
  const shown = marks.map((mark) => ({ mark, atPx: timeToPx(mark.atMs, window, widthPx) })).filter(({ atPx }) => atPx >= -gapPx && atPx <= widthPx + gapPx);
  const labelRows = Array.from({ length: rows }, () => new LabelRow());
  return shown.map(({ mark, atPx }, i) => {
    const nextPx = shown[i + 1]?.atPx ?? Infinity;
    for (const text of textsOf(mark)) {
      const endPx = atPx + gapPx + widthOf(text) + 6;
      if (endPx > widthPx) continue;
      const row = labelRows.findIndex((labelRow, iRow) => ((iRow === 0 && rows > 1) || endPx < nextPx - gapPx) && labelRow.take(atPx - gapPx, endPx));
      if (row >= 0) return { mark, atPx, text, row };
    }
    return { mark, atPx, text: null, row: labelRows[0]?.isFree(atPx - gapPx) === false ? Math.min(1, rows - 1) : 0 };
  });
}

export interface PlacedBar extends PxSpan {
  /** Where the text starts: the bar's left end, or the plot's where the bar began earlier. */
  readonly textPx: number;
  readonly text: string | null;
}

/** Returns a bar's place in the window, at least 2 px wide, with its text where it fits inside; null where it does not show. */
export function placeBar(bar: Interval, text: string, window: Interval, widthPx: number, widthOf: MeasureText): PlacedBar | null {
  const leftPx = timeToPx(bar.startMs, window, widthPx);
  const rightPx = Math.max(leftPx + 2, timeToPx(bar.endMs, window, widthPx));
  if (rightPx < 0 || leftPx > widthPx) return null;
  const visible = clipPx({ leftPx, rightPx }, widthPx);
  const fits = widthOf(text) + 10 <= visible.rightPx - visible.leftPx;
  return { leftPx: Math.max(-8, leftPx), rightPx: Math.min(widthPx + 8, rightPx), textPx: visible.leftPx + 5, text: fits ? text : null };
}
