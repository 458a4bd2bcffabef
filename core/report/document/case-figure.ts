import { durationText } from '../../base/duration-text.ts';
import { countText } from '../../base/number-text.ts';
import type { CaseAnalysis, Dropout, SiteAnalysis } from '../../model/analysis.ts';
import type { CaseRecord } from '../../model/case.ts';
import type { Channel } from '../../model/channel.ts';
import type { Ink, Point, ReportFigure, Shape } from '../../model/report-document.ts';
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
  /** Of the lanes with an axis, against the full one. */
  readonly laneHeight: number;
  y: number;
}

/**
 * Returns the timeline of a case: SpO2 of each sensor with what cannot be excluded inside its losses, the losses as bars between their
 * limits, perfusion index, mean pressure, what was given, and states.
 * Shape   a sample that is lost, doubtful or missing is never bridged by a line; nothing is smoothed. More samples than can be printed
 *         are drawn as the lowest and highest of each half point.
 */
export function caseFigure({ record, analysis, sites }: Pick<CaseContext, 'record' | 'analysis' | 'sites'>, clock: PrintClock, laneHeight = 1): ReportFigure {
  const { startMs, endMs } = spanOf(analysis);
  const drawing: Drawing = { shapes: [], x: plotScale(startMs, endMs, LEFT, FIGURE_WIDTH - RIGHT), startMs, endMs, laneHeight, y: 4 };
  const monitored = sites.filter((site) => site.monitored !== null);
  for (const site of monitored) spo2Lane(drawing, record, site, (SPO2_HEIGHTS[Math.min(monitored.length, SPO2_HEIGHTS.length) - 1] ?? 0) * laneHeight);
  if (monitored.length === 0) {
    drawing.shapes.push(label(LEFT, drawing.y + 10, 'No SpO2 was monitored in this record.', { ink: 'ink', size: 8 }));
    drawing.y += 16;
  }
  lossLane(drawing, analysis, monitored);
  indexLanes(drawing, record, monitored);
  pressureLane(drawing, record);
  givenLane(drawing, analysis);
  stateLane(drawing, analysis);
  timeAxis(drawing, clock);
  return {
    caption: `Timeline. ${clock.meaning} Losses: solid from the first lost to the last lost sample, pale to the limits on either side. Dotted below SpO2: what cannot be excluded inside a loss, cut at the axis; it is not what happened. Brown dots on the line: doubtful samples. Hollow marks: times typed by hand. Lines break where there is no information; nothing is bridged.`,
    alternative: alternativeOf(analysis, monitored),
    scene: { width: FIGURE_WIDTH, height: rounded(drawing.y), shapes: drawing.shapes },
  };
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
  const right = FIGURE_WIDTH - RIGHT;
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
    const [x0, x1] = [drawing.x.at(dropout.lastGoodMs), drawing.x.at(dropout.firstGoodMs ?? dropout.censoredAtMs ?? drawing.endMs)];
    drawing.shapes.push(box(x0, drawing.y, x1 - x0, height, 'lossFaint'));
    const edge = dropout.cannotExclude.edge.map((point): Point => [drawing.x.at(point.atMs), scale.at(Math.max(lowest, point.pct))]);
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
  const columns = readEnvelope(envelope, drawing.startMs, drawing.endMs + 1, Math.round((FIGURE_WIDTH - LEFT - RIGHT) * 2));
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
    else {
      run.push([drawing.x.at(x), clip(max)]);
      if (min !== max) run.push([drawing.x.at(x), clip(min)]);
    }
  }
  end();
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
      const last = loss.lastLostMs ?? loss.censoredAtMs ?? drawing.endMs;
      const [a, b, c, d] = [loss.lastGoodMs, loss.firstLostMs, last, loss.firstGoodMs ?? last].map(drawing.x.at) as [number, number, number, number]; // four in, four out
      drawing.shapes.push(box(a, y + 3, d - a, 6, 'lossFaint', 'loss'), box(b, y + 3, c - b, 6, 'loss'));
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
    laneFrame(drawing, `Perfusion index\n${placeWords(site.siteKey)}`, height, scale, roundSteps(0, top, 2));
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
    const start = Math.min(x, FIGURE_WIDTH - width);
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
  const states = exposures.filter((one) => one.endMs !== null);
  if (states.length === 0) return;
  const rows: (typeof states)[number][][] = [];
  for (const state of states) {
    // A bar must leave room for the words of the one before it.
    const row = rows.find((own) => own.every((other) => (other.endMs ?? Infinity) <= state.atMs && drawing.x.at(other.atMs) + roughWidth(exposureWords(other), 6) + 6 <= drawing.x.at(state.atMs)));
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
      drawing.shapes.push(label(Math.max(0, Math.min(x0 + 2, FIGURE_WIDTH - roughWidth(words, 6))), y + 6, words, { size: 6, ink: 'ink' }));
    }
  }
  drawing.y += height + 5;
}

const AXIS_STEPS_MS = [30_000, 60_000, 120_000, 300_000, 600_000, 900_000, 1_800_000, 3_600_000, 7_200_000, 14_400_000];

function timeAxis(drawing: Drawing, clock: PrintClock): void {
  const span = drawing.endMs - drawing.startMs;
  const step = AXIS_STEPS_MS.find((one) => span / one <= 9) ?? 28_800_000;
  const y = drawing.y;
  drawing.shapes.push(stroke([LEFT, y - 5], [FIGURE_WIDTH - RIGHT, y - 5], 'rule', 0.5));
  const { zeroMs } = clock;
  for (let atMs = Math.ceil((drawing.startMs + zeroMs) / step) * step - zeroMs; atMs <= drawing.endMs; atMs += step) {
    const x = drawing.x.at(atMs);
    drawing.shapes.push(stroke([x, y - 5], [x, y - 2], 'rule', 0.5), label(x, y + 5, clock.short(atMs).replace(/ \(.*\)$/u, ''), { size: 6.5, align: 'middle' }));
  }
  drawing.y = y + 8;
}
