import { durationText } from '../../base/duration-text.ts';
import { countText } from '../../base/number-text.ts';
import type { Interval } from '../../base/interval.ts';
import type { CaseAnalysis, Dropout, SiteAnalysis } from '../../model/analysis.ts';
import type { CaseRecord } from '../../model/case.ts';
import type { Channel } from '../../model/channel.ts';
import type { Ink, Point, ReportFigure, Scene, Shape } from '../../model/report-document.ts';
import { siteKey } from '../../model/site.ts';
import { buildEnvelope, drawingGaps, readEnvelope } from '../../signal/envelope.ts';
import type { CaseContext } from '../case-context.ts';
import type { PrintClock } from './case-words.ts';
import { exposureWords, placeWords, SITE_INKS } from './case-words.ts';
import { box, label, plotScale, rounded, roughWidth, roundSteps, stroke, type PlotScale } from './plot-frame.ts';

/** Pictures are made for this width, pt; both writers scale them to theirs. */
export const FIGURE_WIDTH = 523;
const LEFT = 82;
const RIGHT = 16;
/** Labels of boluses stand on so many rows; what fits on none is drawn without its words. */
const LABEL_ROWS = 3;
/** The axis of SpO2 never starts higher: a case that stayed at 99 must not look like a storm. */
const SPO2_TOP_OF_BOTTOM = 80;
/** Nor lower for the sake of a bound, which would flatten what was seen; the bound is cut there, and the table has its number. */
const SPO2_BOTTOM_FOR_BOUNDS = 60;
/** Heights of the lane of SpO2 by the number of sensors, pt. */
const SPO2_HEIGHTS: readonly number[] = [120, 82, 60, 48];

/** A picture of a case grows downwards lane by lane. */
interface Drawing {
  readonly shapes: Shape[];
  readonly x: PlotScale;
  readonly startMs: number;
  readonly endMs: number;
  readonly width: number;
  readonly isBoundShown: boolean;
  /** Of the lanes with an axis, against the full one. */
  readonly laneHeight: number;
  y: number;
}

/** A stretch of a case to be drawn. */
export interface StretchWishes {
  readonly stretch: Interval;
  /** The loss that is pointed at; null for none. */
  readonly pointedAt: Dropout | null;
  /** Whether what cannot be excluded is drawn inside losses. */
  readonly isBoundShown: boolean;
  /** Lanes that are not wanted. */
  readonly without: ReadonlySet<'perfusion' | 'pressure'>;
  /** pt: a picture that is shown larger is made narrower, so that its words are larger. */
  readonly width: number;
  readonly laneHeight: number;
}

type Drawn = Pick<CaseContext, 'record' | 'analysis' | 'sites'>;

/**
 * Returns the timeline of a case: SpO2 of each sensor with what cannot be excluded inside its losses, the losses as bars between their
 * limits, perfusion index, mean pressure, what was given, and states.
 * Shape   a sample that is lost, doubtful or missing is never bridged by a line; nothing is smoothed. More samples than can be printed
 *         are drawn as the lowest and highest of each half point.
 */
export function caseFigure(context: Drawn, clock: PrintClock, laneHeight = 1): ReportFigure {
  const stretch = spanOf(context.analysis);
  return {
    caption: `Timeline. ${clock.meaning} Losses: solid from the first lost to the last lost sample, pale to the limits on either side. Dotted below SpO2: what cannot be excluded inside a loss, cut at the axis; it is not what happened. Brown dots on the line: doubtful samples. Hollow marks: times typed by hand. Lines break where there is no information; nothing is bridged.`,
    alternative: alternativeOf(context.analysis, monitoredOf(context)),
    scene: draw(context, clock, { stretch, pointedAt: null, isBoundShown: true, without: new Set(), width: FIGURE_WIDTH, laneHeight }),
  };
}

/**
 * Returns the timeline of a stretch of a case, drawn as `caseFigure` does, with one loss pointed at.
 * Shape   bars and bounds that reach beyond the stretch are cut at its edge; a loss outside it is not pointed at, and that is said.
 */
export function stretchFigure(context: Drawn, clock: PrintClock, wishes: StretchWishes): ReportFigure {
  const { stretch, pointedAt, isBoundShown } = wishes;
  const isSeen = pointedAt !== null && touches(pointedAt, stretch);
  const pointed = pointedAt === null ? '' : isSeen ? ` The mark at the top points at loss ${pointedAt.number} of the ${placeWords(pointedAt.siteKey)}.` : ' The loss that is meant lies outside this stretch.';
  const bound = isBoundShown ? ' Dotted below SpO2: what cannot be excluded inside a loss; it is not what happened.' : '';
  const lost = context.analysis.sites.reduce((sum, site) => sum + site.dropouts.filter((one) => touches(one, stretch)).length, 0);
  return {
    caption: `${clock.meaning} Losses: solid from the first to the last lost sample, pale to the limits on either side.${bound} Brown dots: doubtful samples. Hollow marks: times typed by hand. Nothing is bridged.`,
    alternative: `Timeline from ${clock.at(stretch.startMs)} to ${clock.at(stretch.endMs)}: ${countText(lost, 'loss', 'losses')} of SpO2 in it.${pointed} The table holds them.`,
    scene: draw(context, clock, wishes),
  };
}

/** Whether a loss, with its limits, lies in a stretch in part. */
export function touches({ lastGoodMs, firstGoodMs, censoredAtMs }: Pick<Dropout, 'lastGoodMs' | 'firstGoodMs' | 'censoredAtMs'>, { startMs, endMs }: Interval): boolean {
  return lastGoodMs < endMs && (firstGoodMs ?? censoredAtMs ?? Infinity) > startMs;
}

function monitoredOf({ sites }: Pick<CaseContext, 'sites'>): readonly SiteAnalysis[] {
  return sites.filter((site) => site.monitored !== null);
}

function draw(context: Drawn, clock: PrintClock, { stretch, pointedAt, isBoundShown, without, width, laneHeight }: StretchWishes): Scene {
  const { record, analysis } = context;
  const { startMs, endMs } = stretch;
  const drawing: Drawing = { shapes: [], x: plotScale(startMs, endMs, LEFT, width - RIGHT), startMs, endMs, width, laneHeight, isBoundShown, y: 4 };
  const monitored = monitoredOf(context);
  if (pointedAt !== null && touches(pointedAt, stretch)) pointer(drawing, pointedAt);
  for (const site of monitored) spo2Lane(drawing, record, site, (SPO2_HEIGHTS[Math.min(monitored.length, SPO2_HEIGHTS.length) - 1] ?? 0) * laneHeight);
  if (monitored.length === 0) {
    drawing.shapes.push(label(LEFT, drawing.y + 10, 'No SpO2 was monitored in this record.', { ink: 'ink', size: 8 }));
    drawing.y += 16;
  }
  lossLane(drawing, analysis, monitored);
  if (!without.has('perfusion')) indexLanes(drawing, record, monitored);
  if (!without.has('pressure')) pressureLane(drawing, record);
  givenLane(drawing, analysis);
  stateLane(drawing, analysis);
  timeAxis(drawing, clock);
  return { width, height: rounded(drawing.y), shapes: drawing.shapes };
}

/** Returns where a stretch of time stands on the page, cut at the edges of the picture. */
function cut(drawing: Drawing, fromMs: number, toMs: number): readonly [x0: number, x1: number] {
  const inside = (ms: number): number => Math.min(drawing.endMs, Math.max(drawing.startMs, ms));
  return [drawing.x.at(inside(fromMs)), drawing.x.at(inside(toMs))];
}

/** Points at a loss from above the lanes. */
function pointer(drawing: Drawing, loss: Dropout): void {
  const [x0, x1] = cut(drawing, loss.firstLostMs, loss.lastLostMs ?? loss.censoredAtMs ?? drawing.endMs);
  const words = `loss ${loss.number}, ${placeWords(loss.siteKey)}`;
  const x = (x0 + x1) / 2;
  const half = roughWidth(words, 7) / 2;
  drawing.shapes.push(
    label(Math.min(drawing.width - half, Math.max(LEFT + half, x)), drawing.y + 5, words, { size: 7, ink: 'loss', align: 'middle', isBold: true }),
    { kind: 'mark', form: 'triangle down', x, y: drawing.y + 10.5, size: 6, ink: 'loss' },
  );
  drawing.y += 15;
}

function alternativeOf(analysis: CaseAnalysis, monitored: readonly SiteAnalysis[]): string {
  const of = monitored.map((site) => `${placeWords(site.siteKey)}: ${countText(site.dropouts.length, 'loss', 'losses')}${site.dropouts.length === 0 ? '' : `, ${durationText(site.totals.lostMs.mid)} in all, the longest ${durationText(site.totals.longestMidMs)}`}`);
  return `Timeline of the case over ${durationText(analysis.bounds.endMs - analysis.bounds.startMs)}. ${of.join('; ')}. Every loss stands in the table below.`;
}

/** The bounds of the case, and beyond them whatever was monitored. */
function spanOf(analysis: CaseAnalysis): { readonly startMs: number; readonly endMs: number } {
  const monitored = analysis.sites.flatMap(({ monitored: span }) => (span === null ? [] : [span]));
  const startMs = Math.min(analysis.bounds.startMs, ...monitored.map((span) => span.startMs));
  const endMs = Math.max(analysis.bounds.endMs, ...monitored.map((span) => span.endMs));
  return { startMs, endMs: endMs > startMs ? endMs : startMs + 60_000 };
}

function laneFrame(drawing: Drawing, name: string, height: number, scale: PlotScale | null, steps: readonly number[]): void {
  const { shapes, y } = drawing;
  const right = drawing.width - RIGHT;
  for (const step of steps) {
    if (scale === null) continue;
    shapes.push(stroke([LEFT, scale.at(step)], [right, scale.at(step)], 'faint', 0.5), label(LEFT - 3, scale.at(step) + 2.2, String(step), { size: 6, align: 'end' }));
  }
  shapes.push(stroke([LEFT, y + height], [right, y + height], 'rule', 0.5), stroke([LEFT, y], [LEFT, y + height], 'rule', 0.5));
  for (const [i, line] of name.split('\n').entries()) shapes.push(label(0, y + 8 + i * 7.5, line, { size: 6.5, ink: i === 0 ? 'ink' : 'soft', isBold: i === 0 }));
}

function spo2Lane(drawing: Drawing, record: CaseRecord, site: SiteAnalysis, height: number): void {
  const channel = record.channels.find(({ channelId }) => channelId === site.channelId);
  if (channel === undefined) return;
  const seen = informing(channel, site, 'with doubtful');
  const edges = site.dropouts.map(({ cannotExclude }) => cannotExclude.pct).filter(Number.isFinite);
  const lowest = Math.max(0, Math.floor(Math.min(SPO2_TOP_OF_BOTTOM, ...lowestOf(seen), ...edges.map((pct) => Math.max(SPO2_BOTTOM_FOR_BOUNDS, pct))) / 10) * 10);
  const scale = plotScale(lowest, 100, drawing.y + height, drawing.y + 2);
  const look = SITE_INKS[site.site];
  laneFrame(drawing, `SpO2, %\n${placeWords(site.siteKey)}`, height, scale, roundSteps(lowest, 100, 4));
  for (const dropout of site.dropouts) {
    if (!touches(dropout, drawing)) continue;
    const [x0, x1] = cut(drawing, dropout.lastGoodMs, dropout.firstGoodMs ?? dropout.censoredAtMs ?? drawing.endMs);
    drawing.shapes.push(box(x0, drawing.y, x1 - x0, height, 'lossFaint'));
    if (!drawing.isBoundShown) continue;
    const edge = edgeWithin(dropout.cannotExclude.edge, drawing).map((point): Point => [drawing.x.at(point.atMs), scale.at(Math.max(lowest, point.pct))]);
    if (edge.length > 1) drawing.shapes.push({ kind: 'line', points: edge, ink: 'loss', width: 0.7, dash: [1, 1.4] });
  }
  traces(drawing, channel, seen, scale, { ink: look, dash: [] });
  const doubtful = informing(channel, site, 'doubtful only');
  traces(drawing, channel, doubtful, scale, { ink: 'doubt', dash: [1, 1] });
  drawing.y += height + 5;
}

/** Returns the values of a channel with everything that was no information as NaN. */
function informing(channel: Channel, site: SiteAnalysis, wanted: 'with doubtful' | 'doubtful only'): Float64Array {
  const lost = [site.statusRuns.implausible, site.statusRuns.flagged, site.statusRuns.held];
  const doubtful = [site.statusRuns.weak, site.statusRuns.disputed];
  const value = Float64Array.from(channel.value);
  const blank = (runs: readonly number[], atMs: number): boolean => isWithin(runs, atMs);
  for (let i = 0; i < value.length; i++) {
    const atMs = channel.tMs[i] ?? NaN;
    const isOut = site.monitored === null || atMs < site.monitored.startMs || atMs > site.monitored.endMs;
    if (isOut || lost.some((runs) => blank(runs, atMs)) || (wanted === 'doubtful only' && !doubtful.some((runs) => blank(runs, atMs)))) value[i] = NaN;
  }
  return value;
}

/** Whether an instant lies in one of the runs (starts and ends in turn, ascending). */
function isWithin(runs: readonly number[], atMs: number): boolean {
  let low = 0;
  let high = runs.length / 2;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((runs[2 * middle] ?? Infinity) <= atMs) low = middle + 1;
    else high = middle;
  }
  const end = low === 0 ? undefined : runs[2 * low - 1];
  // A run of one sample of unknown interval has no length: its start is in it.
  return end !== undefined && (atMs < end || runs[2 * low - 2] === atMs);
}

/** Returns the lowest value that is one; an empty list where none is. */
function lowestOf(values: Float64Array): number[] {
  let lowest = Infinity;
  for (const value of values) if (value < lowest) lowest = value;
  return Number.isFinite(lowest) ? [lowest] : [];
}

/** Draws a channel as lines that break where a value was due and is not there; a value that stands alone is a dot. */
function traces(drawing: Drawing, channel: Channel, value: Float64Array, scale: PlotScale, look: { readonly ink: Ink; readonly dash: readonly number[] }): void {
  // The limits come from the channel as it was recorded: taking values out must not make its interval longer.
  const envelope = buildEnvelope(channel.tMs, value, drawingGaps(channel.tMs, channel.value));
  const columns = readEnvelope(envelope, drawing.startMs, drawing.endMs + 1, Math.round((drawing.width - LEFT - RIGHT) * 2));
  let run: Point[] = [];
  const end = (): void => {
    const first = run[0];
    if (first !== undefined && run.length === 1) drawing.shapes.push({ kind: 'mark', form: 'circle', x: first[0], y: first[1], size: 1.4, ink: look.ink });
    else if (run.length > 1) drawing.shapes.push({ kind: 'line', points: run, ink: look.ink, width: 0.8, ...(look.dash.length === 0 ? {} : { dash: look.dash }) });
    run = [];
  };
  const clip = (v: number): number => scale.at(Math.min(scale.to, Math.max(scale.from, v)));
  for (let i = 0; i < columns.n; i++) {
    const [x, min, max] = [columns.x[i] ?? NaN, columns.min[i] ?? NaN, columns.max[i] ?? NaN];
    if (Number.isNaN(min)) end();
    else if (x >= drawing.startMs && x <= drawing.endMs) {
      run.push([drawing.x.at(x), clip(max)]);
      if (min !== max) run.push([drawing.x.at(x), clip(min)]);
    }
  }
  end();
}

/** Returns the part of a bound that lies in a stretch; where it crosses the edge the point there is worked out. */
function edgeWithin(edge: Dropout['cannotExclude']['edge'], { startMs, endMs }: Interval): readonly { readonly atMs: number; readonly pct: number }[] {
  const points: { readonly atMs: number; readonly pct: number }[] = [];
  for (const [i, point] of edge.entries()) {
    const before = edge[i - 1];
    if (before !== undefined && point.atMs > before.atMs) {
      for (const atMs of [startMs, endMs]) if (before.atMs < atMs && atMs < point.atMs) points.push({ atMs, pct: before.pct + ((point.pct - before.pct) * (atMs - before.atMs)) / (point.atMs - before.atMs) });
    }
    if (point.atMs >= startMs && point.atMs <= endMs) points.push(point);
  }
  return points;
}

function lossLane(drawing: Drawing, analysis: CaseAnalysis, sites: readonly SiteAnalysis[]): void {
  const rows: { readonly name: string; readonly losses: readonly (Pick<Dropout, 'lastGoodMs' | 'firstLostMs' | 'lastLostMs' | 'firstGoodMs' | 'number'> & { readonly censoredAtMs?: number | null })[] }[] = sites.map((site) => ({ name: placeWords(site.siteKey), losses: site.dropouts }));
  if (sites.length > 1) rows.push({ name: 'no sensor (blind)', losses: analysis.blind });
  if (rows.length === 0) return;
  const height = rows.length * 13 + 4;
  laneFrame(drawing, 'Losses', height, null, []);
  for (const [i, { name, losses }] of rows.entries()) {
    const y = drawing.y + 3 + i * 13;
    if (rows.length > 1) drawing.shapes.push(label(LEFT - 3, y + 8, name, { size: 6, align: 'end' }));
    for (const loss of losses) {
      if (!touches({ censoredAtMs: null, ...loss }, drawing)) continue;
      const last = loss.lastLostMs ?? loss.censoredAtMs ?? drawing.endMs;
      const [a, d] = cut(drawing, loss.lastGoodMs, loss.firstGoodMs ?? last);
      const [b, c] = cut(drawing, loss.firstLostMs, last);
      drawing.shapes.push(box(a, y + 3, d - a, 6, 'lossFaint', 'loss'));
      if (loss.firstLostMs < drawing.endMs && last >= drawing.startMs) drawing.shapes.push(box(b, y + 3, c - b, 6, 'loss'));
      if (d - a > 5 || losses.length < 25) drawing.shapes.push(label((b + c) / 2, y + 1.8, String(loss.number), { size: 5, ink: 'loss', align: 'middle' }));
    }
  }
  drawing.y += height + 5;
}

/** One lane for each sensor: lines that cross would be told apart by colour alone, and dashes would look like gaps. */
function indexLanes(drawing: Drawing, record: CaseRecord, sites: readonly SiteAnalysis[]): void {
  for (const site of sites) {
    const channel = record.channels.find((one) => one.quantity === 'perfusion-index' && one.site !== null && siteKey({ site: one.site, sensor: one.sensor }) === site.siteKey);
    const highest = channel?.value.reduce((most, value) => (value > most ? value : most), 0) ?? 0;
    if (channel === undefined || highest === 0) continue;
    const height = 28 * drawing.laneHeight;
    const top = Math.max(1, Math.ceil(highest));
    const scale = plotScale(0, top, drawing.y + height, drawing.y + 2);
    laneFrame(drawing, `Perfusion index\n${placeWords(site.siteKey)}`, height, scale, height < 20 ? [0, top] : roundSteps(0, top, 2));
    traces(drawing, channel, Float64Array.from(channel.value), scale, { ink: SITE_INKS[site.site], dash: [] });
    drawing.y += height + 5;
  }
}

function pressureLane(drawing: Drawing, record: CaseRecord): void {
  const invasive = record.channels.find(({ quantity }) => quantity === 'art-mean');
  const cuff = record.channels.find(({ quantity }) => quantity === 'nibp-mean');
  if (invasive === undefined && cuff === undefined) return;
  const height = 34 * drawing.laneHeight;
  const scale = plotScale(30, 130, drawing.y + height, drawing.y + 2);
  laneFrame(drawing, 'Mean pressure\nmmHg', height, scale, [50, 100]);
  if (invasive !== undefined) traces(drawing, invasive, Float64Array.from(invasive.value), scale, { ink: 'soft', dash: [] });
  if (cuff !== undefined) {
    for (let i = 0; i < cuff.tMs.length; i++) {
      const [atMs, value] = [cuff.tMs[i] ?? NaN, cuff.value[i] ?? NaN];
      if (Number.isFinite(value) && atMs >= drawing.startMs && atMs <= drawing.endMs) drawing.shapes.push({ kind: 'mark', form: 'cross', x: drawing.x.at(atMs), y: scale.at(Math.min(130, Math.max(30, value))), size: 2.6, ink: 'soft' });
    }
  }
  drawing.y += height + 5;
}

/** Boluses, changes of infusions and other moments, with their words where there is room. */
function givenLane(drawing: Drawing, { exposures }: CaseAnalysis): void {
  const moments = exposures.filter((one) => one.endMs === null && one.atMs >= drawing.startMs && one.atMs <= drawing.endMs);
  if (moments.length === 0) return;
  const ends: number[] = Array.from({ length: LABEL_ROWS }, () => -Infinity);
  const marks: Shape[] = [];
  let used = 0;
  for (const moment of moments) {
    const x = drawing.x.at(moment.atMs);
    marks.push({ kind: 'mark', form: moment.kind === 'vasopressor bolus' ? 'triangle down' : 'diamond', x, y: drawing.y + 4, size: 5, ink: 'ink', isHollow: moment.manual });
    const words = exposureWords(moment);
    const width = roughWidth(words, 6);
    const row = ends.findIndex((end) => end < x - 2);
    const start = Math.min(x, drawing.width - width);
    if (row < 0) continue;
    ends[row] = start + width + 4;
    used = Math.max(used, row + 1);
    marks.push(label(start, drawing.y + 14 + row * 7, words, { size: 6, ink: 'ink' }));
  }
  const height = 9 + used * 7;
  laneFrame(drawing, 'Given, done', height, null, []);
  drawing.shapes.push(...marks);
  drawing.y += height + 5;
}

function stateLane(drawing: Drawing, { exposures }: CaseAnalysis): void {
  const states = exposures.filter((one) => one.endMs !== null && one.atMs < drawing.endMs && one.endMs > drawing.startMs);
  if (states.length === 0) return;
  const rows: (typeof states)[number][][] = [];
  for (const state of states) {
    // A bar must leave room for the words of the one before it.
    const row = rows.find((own) => own.every((other) => (other.endMs ?? Infinity) <= state.atMs && cut(drawing, other.atMs, other.atMs)[0] + roughWidth(exposureWords(other), 6) + 6 <= cut(drawing, state.atMs, state.atMs)[0]));
    if (row === undefined) rows.push([state]);
    else row.push(state);
  }
  const height = rows.length * 10 + 3;
  laneFrame(drawing, 'States', height, null, []);
  for (const [i, row] of rows.entries()) {
    const y = drawing.y + 2 + i * 10;
    for (const state of row) {
      const x0 = drawing.x.at(Math.max(drawing.startMs, state.atMs));
      const x1 = drawing.x.at(Math.min(drawing.endMs, state.endMs ?? drawing.endMs));
      drawing.shapes.push(box(x0, y, x1 - x0, 8, 'faint', 'rule'));
      const words = exposureWords(state);
      drawing.shapes.push(label(Math.max(0, Math.min(x0 + 2, drawing.width - roughWidth(words, 6))), y + 6, words, { size: 6, ink: 'ink' }));
    }
  }
  drawing.y += height + 5;
}

const AXIS_STEPS_MS = [30_000, 60_000, 120_000, 300_000, 600_000, 900_000, 1_800_000, 3_600_000, 7_200_000, 14_400_000];

function timeAxis(drawing: Drawing, clock: PrintClock): void {
  const span = drawing.endMs - drawing.startMs;
  const step = AXIS_STEPS_MS.find((one) => span / one <= 9) ?? 28_800_000;
  const y = drawing.y;
  drawing.shapes.push(stroke([LEFT, y - 5], [drawing.width - RIGHT, y - 5], 'rule', 0.5));
  const { zeroMs } = clock;
  for (let atMs = Math.ceil((drawing.startMs + zeroMs) / step) * step - zeroMs; atMs <= drawing.endMs; atMs += step) {
    const x = drawing.x.at(atMs);
    drawing.shapes.push(stroke([x, y - 5], [x, y - 2], 'rule', 0.5), label(x, y + 5, clock.short(atMs).replace(/ \(.*\)$/u, ''), { size: 6.5, align: 'middle' }));
  }
  drawing.y = y + 8;
}
