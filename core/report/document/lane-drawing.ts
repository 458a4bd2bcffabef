import type { Interval } from '../../base/interval.ts';
import type { Channel } from '../../model/channel.ts';
import type { Ink, MarkForm, Point, Shape } from '../../model/report-document.ts';
import { buildEnvelope, drawingGaps, readEnvelope } from '../../signal/envelope.ts';
import { label, plotScale, stroke, type PlotScale } from './plot-frame.ts';

/** Room to the right of the lanes, pt. */
export const LANE_RIGHT = 16;
/** Between two lanes, pt. */
export const LANE_GAP = 5;
/** Values on an axis stand at least so far apart, pt. */
const LEAST_STEP = 5.6;
/** From one mark of a line to the next, pt. */
const MARK_STEP = 42;

/** A picture of a case grows downwards lane by lane. */
export interface Drawing extends Interval {
  readonly shapes: Shape[];
  readonly x: PlotScale;
  readonly left: number;
  readonly width: number;
  readonly isBoundShown: boolean;
  y: number;
}

/** Returns a picture without lanes of a stretch. */
export function emptyDrawing({ startMs, endMs }: Interval, { left, width, isBoundShown }: { readonly left: number; readonly width: number; readonly isBoundShown: boolean }): Drawing {
  return { shapes: [], x: plotScale(startMs, endMs, left, width - LANE_RIGHT), startMs, endMs, left, width, isBoundShown, y: 4 };
}

/** A lane of a picture before it is drawn. */
export interface LaneSection {
  /** As lanes are called where they are chosen; what happened has names of its own. */
  readonly laneName: string;
  /** What it is, for whoever cannot see the picture. */
  readonly title: string;
  /** pt: lower than this it cannot be read. */
  readonly leastHeight: number;
  /** Between it and the next, pt. */
  readonly gap: number;
  /** Its share of height beyond the least; 0: it has all it needs. */
  readonly weight: number;
  /** Draws from `drawing.y` downwards and moves it below the lane. */
  readonly draw: (drawing: Drawing, height: number) => void;
}

/** Returns where a stretch of time stands on the page, cut at the edges of the picture. */
export function cut(drawing: Drawing, fromMs: number, toMs: number): readonly [x0: number, x1: number] {
  const inside = (ms: number): number => Math.min(drawing.endMs, Math.max(drawing.startMs, ms));
  return [drawing.x.at(inside(fromMs)), drawing.x.at(inside(toMs))];
}

/** A value on the axis of a lane, with what is written there. */
export interface AxisStep {
  readonly at: number;
  readonly text: string;
}

/** Returns steps of an axis whose values are written as they are. */
export function plainSteps(values: readonly number[]): AxisStep[] {
  return values.map((at) => ({ at, text: String(at) }));
}

/** How a line of a lane is told from the others: by a mark on it and words in the margin, beside its colour. */
export interface LineKey {
  readonly words: string;
  readonly ink: Ink;
  /** null: the line has no marks. */
  readonly mark: MarkForm | null;
}

/** Draws the frame of a lane, its name (a second line after \n is what it is of), the lines that it holds and its axis. */
export function laneFrame(drawing: Drawing, name: string, height: number, scale: PlotScale | null, steps: readonly AxisStep[], keys: readonly LineKey[] = []): void {
  const { shapes, y, left } = drawing;
  const right = drawing.width - LANE_RIGHT;
  let lastY = Infinity;
  for (const step of scale === null ? [] : [...steps].sort((a, b) => a.at - b.at)) {
    const at = scale?.at(step.at) ?? NaN;
    if (lastY - at < LEAST_STEP) continue;
    lastY = at;
    shapes.push(stroke([left, at], [right, at], 'faint', 0.5), label(left - 3, at + 2.2, step.text, { size: 6, align: 'end' }));
  }
  shapes.push(stroke([left, y + height], [right, y + height], 'rule', 0.5), stroke([left, y], [left, y + height], 'rule', 0.5));
  const lines = name.split('\n');
  for (const [i, line] of lines.entries()) shapes.push(label(0, y + 8 + i * 7.5, line, { size: 6.5, ink: i === 0 ? 'ink' : 'soft', isBold: i === 0 }));
  for (const [i, { words, ink, mark }] of keys.entries()) {
    const at = y + 8 + (lines.length + i) * 7.5;
    shapes.push(stroke([0, at - 2], [9, at - 2], ink, 1), label(11, at, words, { size: 6, ink: 'ink' }));
    if (mark !== null) shapes.push({ kind: 'mark', form: mark, x: 4.5, y: at - 2, size: 3.4, ink, isHollow: true });
  }
}

/** Returns the height that a lane with so many lines of words in the margin needs, pt. */
export function marginHeight(lines: number): number {
  return 10 + 7.5 * (lines - 1);
}

export interface TraceLook {
  readonly ink: Ink;
  readonly dash?: readonly number[];
  readonly width?: number;
  readonly mark?: MarkForm | null;
}

/**
 * Draws a channel as lines that break where a value was due and is not there; a value that stands alone is a dot. `value` is the channel's
 * with NaN for what is not to be drawn. Marks stand on values, never on a gap.
 */
export function traces(drawing: Drawing, channel: Pick<Channel, 'tMs' | 'value'>, value: Float64Array, scale: PlotScale, { ink, dash = [], width = 0.8, mark = null }: TraceLook): void {
  // The limits come from the channel as it was recorded: taking values out must not make its interval longer.
  const envelope = buildEnvelope(channel.tMs, value, drawingGaps(channel.tMs, channel.value));
  const columns = readEnvelope(envelope, drawing.startMs, drawing.endMs + 1, Math.round((drawing.width - drawing.left - LANE_RIGHT) * 2));
  let run: Point[] = [];
  let marked = -Infinity;
  const marks: Shape[] = [];
  const end = (): void => {
    const first = run[0];
    if (first !== undefined && run.length === 1) drawing.shapes.push({ kind: 'mark', form: 'circle', x: first[0], y: first[1], size: 1.4, ink });
    else if (run.length > 1) drawing.shapes.push({ kind: 'line', points: run, ink, width, ...(dash.length === 0 ? {} : { dash }) });
    run = [];
  };
  const clip = (v: number): number => scale.at(Math.min(scale.to, Math.max(scale.from, v)));
  for (let i = 0; i < columns.n; i++) {
    const [x, min, max] = [columns.x[i] ?? NaN, columns.min[i] ?? NaN, columns.max[i] ?? NaN];
    if (Number.isNaN(min)) end();
    else if (x >= drawing.startMs && x <= drawing.endMs) {
      const at = drawing.x.at(x);
      run.push([at, clip(max)]);
      if (min !== max) run.push([at, clip(min)]);
      if (mark !== null && at - marked >= MARK_STEP) {
        marks.push({ kind: 'mark', form: mark, x: at, y: clip(max), size: 3.4, ink, isHollow: true });
        marked = at;
      }
    }
  }
  end();
  drawing.shapes.push(...marks);
}
