import { durationText } from '../../base/duration-text.ts';
import { countText } from '../../base/number-text.ts';
import type { Interval } from '../../base/interval.ts';
import type { CaseAnalysis, Dropout, SiteAnalysis } from '../../model/analysis.ts';
import type { CaseRecord } from '../../model/case.ts';
import type { Channel } from '../../model/channel.ts';
import { inChosenOrder, MOST_LANES, type LaneChoice } from '../../model/lane-choice.ts';
import type { Point, ReportFigure } from '../../model/report-document.ts';
import type { CaseContext } from '../case-context.ts';
import type { PrintClock } from './case-words.ts';
import { placeWords, SITE_INKS } from './case-words.ts';
import { exposureSection, givenSection, infusionSection, marksSection, phaseSection, stateSection, type PinnedNote } from './happening-lanes.ts';
import { cut, emptyDrawing, LANE_GAP, LANE_RIGHT, laneFrame, plainSteps, traces, type Drawing, type LaneSection } from './lane-drawing.ts';
import { box, label, plotScale, rounded, roughWidth, roundSteps, stroke } from './plot-frame.ts';
import { indexSections, LANE_WEIGHTS, pressureSection, signalSections } from './signal-lanes.ts';

/** Pictures are made for this width, pt; both writers scale them to theirs. */
export const FIGURE_WIDTH = 523;
const LEFT = 82;
/** The margin of a stretch holds what the lines of each lane are. */
const STRETCH_LEFT = 88;
/** The axis of SpO2 never starts higher: a case that stayed at 99 must not look like a storm. */
const SPO2_TOP_OF_BOTTOM = 80;
/** Nor lower for the sake of a bound, which would flatten what was seen; the bound is cut there, and the table has its number. */
const SPO2_BOTTOM_FOR_BOUNDS = 60;
/** Heights of the lane of SpO2 by the number of sensors, pt. */
const SPO2_HEIGHTS: readonly number[] = [120, 82, 60, 48];
const INDEX_HEIGHT = 28;
const PRESSURE_HEIGHT = 34;
const POINTER_HEIGHT = 15;
const AXIS_HEIGHT = 13;
const LOSS_ROW = 13;

/** A stretch of a case to be drawn. */
export interface StretchWishes {
  readonly stretch: Interval;
  /** The loss that is pointed at; null for none. */
  readonly pointedAt: Dropout | null;
  /** An instant that is marked by an upright line; null for none. */
  readonly instantMs: number | null;
  /** Whether what cannot be excluded is drawn inside losses. */
  readonly isBoundShown: boolean;
  /** Which lanes, in which order, and how high against each other. */
  readonly lanes: LaneChoice;
  /** Notes that a person pinned to the case; none where they may not go. */
  readonly notes: readonly PinnedNote[];
  /** pt: a picture that is shown larger is made narrower, so that its words are larger. */
  readonly width: number;
  /** pt: what does not fit in so much goes on in a further picture, of another height where the first shares its place with words. */
  readonly height: number;
  readonly furtherHeight: number;
}

type Drawn = Pick<CaseContext, 'record' | 'analysis' | 'sites'>;

/**
 * Returns the timeline of a case: SpO2 of each sensor with what cannot be excluded inside its losses, the losses as bars between their
 * limits, perfusion index, mean pressure, what was given, and states.
 * Shape   a sample that is lost, doubtful or missing is never bridged by a line; nothing is smoothed. More samples than can be printed
 *         are drawn as the lowest and highest of each half point.
 */
export function caseFigure(context: Drawn, clock: PrintClock, laneHeight = 1): ReportFigure {
  const { record, analysis } = context;
  const monitored = monitoredOf(context);
  const drawing = emptyDrawing(spanOf(analysis), { left: LEFT, width: FIGURE_WIDTH, isBoundShown: true });
  const lowest = spo2Floor(context);
  for (const site of monitored) spo2Lane(drawing, record, site, lowest, (SPO2_HEIGHTS[Math.min(monitored.length, SPO2_HEIGHTS.length) - 1] ?? 0) * laneHeight);
  noSensor(drawing, monitored);
  lossLane(drawing, analysis, monitored);
  for (const section of indexSections(record)) section.draw(drawing, INDEX_HEIGHT * laneHeight);
  for (const section of pressureSection(record, true)) section.draw(drawing, PRESSURE_HEIGHT * laneHeight);
  const given = exposureSection(drawing, analysis);
  for (const section of [...given, ...stateSection(drawing, record, analysis)]) {
    section.draw(drawing, section.leastHeight);
    drawing.y += LANE_GAP - section.gap;
  }
  timeAxis(drawing, clock);
  return {
    caption: `Timeline. ${clock.meaning} Losses: solid from the first lost to the last lost sample, pale to the limits on either side. Dotted below SpO2: what cannot be excluded inside a loss, cut at the axis; it is not what happened. Brown dots on the line: doubtful samples. ${given.length === 0 ? '' : 'Given, done: triangles are boluses of vasopressors, diamonds all else; a mark without words had no room for them. '}Hollow marks: times typed by hand. Lines break where there is no information; nothing is bridged.`,
    alternative: alternativeOf(analysis, monitored),
    scene: { width: FIGURE_WIDTH, height: rounded(drawing.y), shapes: drawing.shapes },
  };
}

/**
 * Returns the timeline of a stretch of a case with the lanes that were chosen for it, drawn as `caseFigure` does, with one loss pointed at.
 * Shape   one picture, or as many as the lanes need to stay legible: each bears the losses and the times, and says which of how many it is.
 *         Bars and bounds that reach beyond the stretch are cut at its edge; a loss outside it is not pointed at, and that is said.
 *         Drugs, events and states by the words of the dictionary, `notes` as they were typed.
 */
export function stretchFigures(context: Drawn, clock: PrintClock, wishes: StretchWishes): readonly ReportFigure[] {
  const { record, analysis } = context;
  const { stretch, lanes, notes, pointedAt, instantMs, isBoundShown, width } = wishes;
  const monitored = monitoredOf(context);
  const start = (): Drawing => emptyDrawing(stretch, { left: STRETCH_LEFT, width, isBoundShown });
  const measure = start();
  const happenings = [...marksSection(measure, notes), ...phaseSection(measure, record), ...givenSection(measure, record, analysis), ...stateSection(measure, record, analysis), ...infusionSection(measure, record)];
  const isPointed = pointedAt !== null && touches(pointedAt, stretch);
  const repeated = 4 + (isPointed ? POINTER_HEIGHT : 0) + lossHeight(monitored) + AXIS_HEIGHT + (monitored.length === 0 ? 16 : 0);
  // The lane that was put first is in the first picture, whatever happened.
  const [firstLane, ...otherLanes] = chosenSections(context, monitored, lanes);
  const pages = paged([...(firstLane === undefined ? [] : [firstLane]), ...happenings, ...otherLanes], wishes.height - repeated, wishes.furtherHeight - repeated);
  return pages.map((sections, i): ReportFigure => {
    const drawing = start();
    if (isPointed) pointer(drawing, pointedAt);
    const top = drawing.y;
    const above = sections.filter((section) => happenings.includes(section));
    const below = sections.filter((section) => !happenings.includes(section));
    for (const section of above) section.draw(drawing, section.leastHeight);
    if (i === 0) noSensor(drawing, monitored);
    lossLane(drawing, analysis, monitored);
    for (const [section, height] of heightsOf(below, (i === 0 ? wishes.height : wishes.furtherHeight) - drawing.y - AXIS_HEIGHT)) section.draw(drawing, height);
    if (instantMs !== null && instantMs >= stretch.startMs && instantMs <= stretch.endMs) drawing.shapes.push(stroke([drawing.x.at(instantMs), top], [drawing.x.at(instantMs), drawing.y - LANE_GAP], 'ink', 0.6, [3, 2]));
    timeAxis(drawing, clock);
    const said = captionOf(context, clock, wishes, sections);
    const which = pages.length === 1 ? '' : `Picture ${i + 1} of ${pages.length} of this stretch. `;
    return {
      caption: `${which}${said.caption}`,
      alternative: `${which}${said.alternative} Lanes: ${['losses', ...sections.map(({ title }) => title)].join('; ')}.`,
      scene: { width, height: rounded(drawing.y), shapes: drawing.shapes },
    };
  });
}

/** Returns the lanes of signals that are chosen, from top to bottom. */
function chosenSections(context: Drawn, monitored: readonly SiteAnalysis[], choice: LaneChoice): LaneSection[] {
  const { record } = context;
  const lowest = spo2Floor(context);
  const spo2 = monitored.map((site): LaneSection => ({
    laneName: 'spo2', title: spo2Title(site), weight: LANE_WEIGHTS.spo2 / Math.max(1, Math.min(3, monitored.length) * 0.7), leastHeight: monitored.length < 3 ? 44 : 32, gap: LANE_GAP,
    draw: (drawing, height) => spo2Lane(drawing, record, site, lowest, height),
  }));
  const { own, further } = signalSections(record);
  const wishes = new Map(choice.lanes.map((wish) => [wish.laneName, wish]));
  const sections = [...[...spo2, ...own].filter(({ laneName }) => wishes.get(laneName)?.isShown ?? true), ...further.filter(({ laneName }) => wishes.get(laneName)?.isShown ?? false)];
  return inChosenOrder(sections, choice).slice(0, MOST_LANES).map((section) => {
    const heightPx = wishes.get(section.laneName)?.heightPx ?? null;
    // A height that was chosen is of the lane of the window; sensors and quantities that have lanes of their own here share it.
    const sharing = sections.filter(({ laneName }) => laneName === section.laneName).length;
    return heightPx === null ? section : { ...section, weight: heightPx / sharing };
  });
}

/** Returns the lanes by pictures: as many as fit in so many pt with their least heights; one that fits nowhere has a picture of its own. */
function paged(sections: readonly LaneSection[], room: number, furtherRoom: number): LaneSection[][] {
  const pages: LaneSection[][] = [[]];
  let left = room;
  for (const section of sections) {
    const height = section.leastHeight + section.gap;
    if (height > left && (pages.at(-1)?.length ?? 0) > 0) {
      pages.push([]);
      left = furtherRoom;
    }
    pages.at(-1)?.push(section);
    left -= height;
  }
  return pages;
}

/** Returns lanes with their heights: what is left beyond the least is given out by weight; none is higher than its weight in pt. */
function heightsOf(sections: readonly LaneSection[], room: number): (readonly [LaneSection, number])[] {
  let spare = Math.max(0, room - sections.reduce((sum, { leastHeight, gap }) => sum + leastHeight + gap, 0));
  const heights = sections.map(({ leastHeight }) => leastHeight);
  let open = sections.map((_, i) => i).filter((i) => (sections[i]?.weight ?? 0) > (heights[i] ?? 0));
  while (spare > 0.01 && open.length > 0) {
    const whole = open.reduce((sum, i) => sum + (sections[i]?.weight ?? 0), 0);
    const given = spare;
    for (const i of open) {
      const most = sections[i]?.weight ?? 0;
      const more = Math.min((given * most) / whole, most - (heights[i] ?? 0));
      heights[i] = (heights[i] ?? 0) + more;
      spare -= more;
    }
    open = open.filter((i) => (sections[i]?.weight ?? 0) - (heights[i] ?? 0) > 0.01);
  }
  return sections.map((section, i) => [section, rounded(heights[i] ?? section.leastHeight)]);
}

/** Returns what has to be said of a stretch: only what there is in it. */
function captionOf(context: Drawn, clock: PrintClock, { stretch, pointedAt, instantMs, isBoundShown, notes }: StretchWishes, sections: readonly LaneSection[]): { readonly caption: string; readonly alternative: string } {
  const { analysis, record } = context;
  const losses = analysis.sites.flatMap(({ dropouts }) => dropouts).filter((one) => touches(one, stretch));
  const isIn = (atMs: number): boolean => atMs >= stretch.startMs && atMs <= stretch.endMs;
  const drawn = monitoredOf(context).filter((site) => sections.some(({ title }) => title === spo2Title(site)));
  const hasDoubt = drawn.some(({ statusRuns: { weak, disputed } }) => [weak, disputed].some((runs) => runs.some((atMs, i) => i % 2 === 0 && atMs <= stretch.endMs && (runs[i + 1] ?? Infinity) >= stretch.startMs)));
  const byHand = sections.some(({ laneName }) => laneName === 'given') && [...record.drugs, ...record.events].some(({ atMs, manual }) => manual && isIn(atMs));
  const parts = [
    clock.meaning,
    ...(losses.length === 0 ? [] : ['Losses: solid from the first to the last lost sample, pale to the limits on either side.']),
    ...(isBoundShown && drawn.some(({ dropouts }) => dropouts.some((one) => touches(one, stretch))) ? ['Dotted below SpO2: what cannot be excluded inside a loss; it is not what happened.'] : []),
    ...(hasDoubt ? ['Brown dots: doubtful samples.'] : []),
    ...(byHand ? ['Hollow in the row of what was given or done: time typed by hand.'] : []),
    ...(instantMs !== null && isIn(instantMs) ? [`Upright dashes: the instant that is meant, ${clock.at(instantMs)}.`] : []),
    'Nothing is bridged.',
  ];
  const pointed = pointedAt === null ? '' : touches(pointedAt, stretch) ? ` The mark at the top points at loss ${pointedAt.number} of the ${placeWords(pointedAt.siteKey)}.` : ' The loss that is meant lies outside this stretch.';
  const pinned = notes.filter(({ startMs, endMs }) => startMs <= stretch.endMs && (endMs ?? startMs) >= stretch.startMs).length;
  return {
    caption: `${parts.join(' ')}${pointedAt !== null && !touches(pointedAt, stretch) ? pointed : ''}`,
    alternative: `Timeline from ${clock.at(stretch.startMs)} to ${clock.at(stretch.endMs)}: ${countText(losses.length, 'loss', 'losses')} of SpO2 in it.${pointed}${pinned === 0 ? '' : ` ${countText(pinned, 'note is', 'notes are')} pinned to it.`} The tables hold what is drawn.`,
  };
}

/** Whether a loss, with its limits, lies in a stretch in part. */
export function touches({ lastGoodMs, firstGoodMs, censoredAtMs }: Pick<Dropout, 'lastGoodMs' | 'firstGoodMs' | 'censoredAtMs'>, { startMs, endMs }: Interval): boolean {
  return lastGoodMs < endMs && (firstGoodMs ?? censoredAtMs ?? Infinity) > startMs;
}

function monitoredOf({ sites }: Pick<CaseContext, 'sites'>): readonly SiteAnalysis[] {
  return sites.filter((site) => site.monitored !== null);
}

function noSensor(drawing: Drawing, monitored: readonly SiteAnalysis[]): void {
  if (monitored.length > 0) return;
  drawing.shapes.push(label(drawing.left, drawing.y + 10, 'No SpO2 was monitored in this record.', { ink: 'ink', size: 8 }));
  drawing.y += 16;
}

/** Points at a loss from above the lanes. */
function pointer(drawing: Drawing, loss: Dropout): void {
  const [x0, x1] = cut(drawing, loss.firstLostMs, loss.lastLostMs ?? loss.censoredAtMs ?? drawing.endMs);
  const words = `loss ${loss.number}, ${placeWords(loss.siteKey)}`;
  const x = (x0 + x1) / 2;
  const half = roughWidth(words, 7) / 2;
  drawing.shapes.push(
    label(Math.min(drawing.width - half, Math.max(drawing.left + half, x)), drawing.y + 5, words, { size: 7, ink: 'loss', align: 'middle', isBold: true }),
    { kind: 'mark', form: 'triangle down', x, y: drawing.y + 10.5, size: 6, ink: 'loss' },
  );
  drawing.y += POINTER_HEIGHT;
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

function spo2Title(site: SiteAnalysis): string {
  return `SpO2 of the ${placeWords(site.siteKey)}`;
}

/** Returns where the axis of SpO2 begins, %: one for all sensors of a case, so that lanes can be held against each other. */
function spo2Floor(context: Drawn): number {
  const values = monitoredOf(context).flatMap((site) => {
    const channel = context.record.channels.find(({ channelId }) => channelId === site.channelId);
    const edges = site.dropouts.map(({ cannotExclude }) => cannotExclude.pct).filter(Number.isFinite);
    return [...(channel === undefined ? [] : lowestOf(informing(channel, site, 'with doubtful'))), ...edges.map((pct) => Math.max(SPO2_BOTTOM_FOR_BOUNDS, pct))];
  });
  return Math.max(0, Math.floor(Math.min(SPO2_TOP_OF_BOTTOM, ...values) / 10) * 10);
}

function spo2Lane(drawing: Drawing, record: CaseRecord, site: SiteAnalysis, lowest: number, height: number): void {
  const channel = record.channels.find(({ channelId }) => channelId === site.channelId);
  if (channel === undefined) return;
  const seen = informing(channel, site, 'with doubtful');
  const scale = plotScale(lowest, 100, drawing.y + height, drawing.y + 2);
  const look = SITE_INKS[site.site];
  laneFrame(drawing, `SpO2, %\n${placeWords(site.siteKey)}`, height, scale, plainSteps(roundSteps(lowest, 100, 4)));
  for (const dropout of site.dropouts) {
    if (!touches(dropout, drawing)) continue;
    const [x0, x1] = cut(drawing, dropout.lastGoodMs, dropout.firstGoodMs ?? dropout.censoredAtMs ?? drawing.endMs);
    drawing.shapes.push(box(x0, drawing.y, x1 - x0, height, 'lossFaint'));
    if (!drawing.isBoundShown) continue;
    const edge = edgeWithin(dropout.cannotExclude.edge, drawing).map((point): Point => [drawing.x.at(point.atMs), scale.at(Math.max(lowest, point.pct))]);
    if (edge.length > 1) drawing.shapes.push({ kind: 'line', points: edge, ink: 'loss', width: 0.7, dash: [1, 1.4] });
  }
  traces(drawing, channel, seen, scale, { ink: look });
  const doubtful = informing(channel, site, 'doubtful only');
  traces(drawing, channel, doubtful, scale, { ink: 'doubt', dash: [1, 1] });
  drawing.y += height + LANE_GAP;
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

/** Returns the height of the lane of losses with the gap below it, pt. */
function lossHeight(sites: readonly SiteAnalysis[]): number {
  return sites.length === 0 ? 0 : (sites.length + (sites.length > 1 ? 1 : 0)) * LOSS_ROW + 4 + LANE_GAP;
}

function lossLane(drawing: Drawing, analysis: CaseAnalysis, sites: readonly SiteAnalysis[]): void {
  const rows: { readonly name: string; readonly losses: readonly (Pick<Dropout, 'lastGoodMs' | 'firstLostMs' | 'lastLostMs' | 'firstGoodMs' | 'number'> & { readonly censoredAtMs?: number | null })[] }[] = sites.map((site) => ({ name: placeWords(site.siteKey), losses: site.dropouts }));
  if (sites.length > 1) rows.push({ name: 'no sensor (blind)', losses: analysis.blind });
  if (rows.length === 0) return;
  const height = lossHeight(sites) - LANE_GAP;
  laneFrame(drawing, 'Losses', height, null, []);
  for (const [i, { name, losses }] of rows.entries()) {
    const y = drawing.y + 3 + i * LOSS_ROW;
    if (rows.length > 1) drawing.shapes.push(label(drawing.left - 3, y + 8, name, { size: 6, align: 'end' }));
    for (const loss of losses) {
      if (!touches({ censoredAtMs: null, ...loss }, drawing)) continue;
      const last = loss.lastLostMs ?? loss.censoredAtMs ?? drawing.endMs;
      const [a, d] = cut(drawing, loss.lastGoodMs, loss.firstGoodMs ?? last);
      const [b, c] = cut(drawing, loss.firstLostMs, last);
      drawing.shapes.push(box(a, y + 3, d - a, 6, 'lossFaint', 'loss'));
      if (loss.firstLostMs < drawing.endMs && last >= drawing.startMs) drawing.shapes.push(box(b, y + 3, c - b, 6, 'loss'));
      if (d - a > 5 || losses.length < 25) drawing.shapes.push(label((b + c) / 2, y + 1.8, String(loss.number), { size: 5.5, ink: 'loss', align: 'middle' }));
    }
  }
  drawing.y += height + LANE_GAP;
}

const AXIS_STEPS_MS = [30_000, 60_000, 120_000, 300_000, 600_000, 900_000, 1_800_000, 3_600_000, 7_200_000, 14_400_000];

function timeAxis(drawing: Drawing, clock: PrintClock): void {
  const span = drawing.endMs - drawing.startMs;
  const step = AXIS_STEPS_MS.find((one) => span / one <= 9) ?? 28_800_000;
  const y = drawing.y;
  drawing.shapes.push(stroke([drawing.left, y - 5], [drawing.width - LANE_RIGHT, y - 5], 'rule', 0.5));
  const { zeroMs } = clock;
  for (let atMs = Math.ceil((drawing.startMs + zeroMs) / step) * step - zeroMs; atMs <= drawing.endMs; atMs += step) {
    const x = drawing.x.at(atMs);
    drawing.shapes.push(stroke([x, y - 5], [x, y - 2], 'rule', 0.5), label(x, y + 5, clock.short(atMs).replace(/ \(.*\)$/u, ''), { size: 6.5, align: 'middle' }));
  }
  drawing.y = y + AXIS_HEIGHT - 5;
}
