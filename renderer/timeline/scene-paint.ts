import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { Infusion } from '../../core/model/infusions.ts';
import { boundShape } from './bound-shape.ts';
import type { BoundShape } from './bound-shape.ts';
import { OPEN_END_PX, RECORD_STOPPED, blindShapes, dropoutShapes, recordGapShapes, stripSpans, timeToPx } from './episode-layer.ts';
import type { DropoutShape, LossShape, PxSpan, RecordGapShape } from './episode-layer.ts';
import { handBrackets } from './hand-bounds.ts';
import type { HandBounds, HandBracket } from './hand-bounds.ts';
import { cutText, placeBar, placeMarks } from './event-layout.ts';
import type { Bolus, Happenings, Moment } from './event-layout.ts';
import type { MeasureText } from './label-layout.ts';
import { ROW_PX } from './lane-layout.ts';
import type { DrawnMark } from './mark-layout.ts';
import type { Box, LaneBox, TimelineLayout } from './lane-layout.ts';
import type { CuffReading } from './lanes.ts';
import type { Palette } from './palette.ts';
import type { LineStyle } from './site-style.ts';
import { SHOWN_STATUSES, runSpans } from './status-runs.ts';
import type { ShownStatus } from './status-runs.ts';
import type { TimeTick } from './ticks.ts';
import { withAlpha } from './color.ts';
import { yTicks, yToPx } from './y-scale.ts';

export const TEXT_PX = 12;

/** Everything the painted ground of the stage depends on. */
export interface Scene {
  readonly layout: TimelineLayout;
  readonly analysis: CaseAnalysis;
  readonly happenings: Happenings;
  readonly marks: readonly DrawnMark[];
  readonly chosenMarkId: string | null;
  readonly styles: ReadonlyMap<string, LineStyle>;
  /** Per site key: stretches that count as lost only where doubtful samples do. */
  readonly doubtful: ReadonlyMap<string, readonly Interval[]>;
  readonly caseEndMs: number;
  /** Whether what cannot be excluded inside dropouts is drawn. */
  readonly isBoundShown: boolean;
  readonly selectedDropoutId: string | null;
  /** Bounds that readers set by hand. */
  readonly handBounds: readonly HandBounds[];
  readonly palette: Palette;
  readonly fontFamily: string;
  readonly widthOf: MeasureText;
}

/** Something on the ground that can be pointed at. */
export interface HitArea {
  readonly leftPx: number;
  readonly rightPx: number;
  readonly topPx: number;
  readonly bottomPx: number;
  readonly target: { readonly kind: 'dropout'; readonly dropoutId: string } | { readonly kind: 'text'; readonly text: string; readonly atMs: number } | { readonly kind: 'status'; readonly siteKey: string } | { readonly kind: 'mark'; readonly markId: string; readonly text: string; readonly atMs: number };
}

/**
 * Paints the ground under the lines (bands, grid, axes, events, drugs) and returns what can be pointed at, topmost last.
 * The context must be scaled so that 1 is a CSS pixel.
 */
export function paintScene(ctx: CanvasRenderingContext2D, scene: Scene, window: Interval, ticks: readonly TimeTick[]): HitArea[] {
  const { layout, palette, analysis, widthOf } = scene;
  const { plotLeftPx, plotWidthPx } = layout;
  const hits: HitArea[] = [];
  ctx.clearRect(0, 0, layout.widthPx, layout.heightPx);
  ctx.font = `${TEXT_PX}px ${scene.fontFamily}`;
  ctx.textBaseline = 'middle';
  for (const box of layout.lanes) paintGround(ctx, box, layout, palette);
  for (const box of [layout.marks, layout.phases, layout.moments, layout.states, ...layout.infusions, layout.boluses]) if (box !== null) paintStrip(ctx, box, layout, palette);

  ctx.save();
  ctx.beginPath();
  ctx.rect(plotLeftPx, 0, plotWidthPx, layout.heightPx);
  ctx.clip();
  ctx.translate(plotLeftPx, 0);

  paintTicks(ctx, ticks, window, layout, palette);
  for (const box of layout.lanes) paintGrid(ctx, box, plotWidthPx, palette);

  const gaps = recordGapShapes(analysis.recordGaps, window, plotWidthPx, widthOf);
  const rows = layout.lossRows.map((row, iRow) => {
    const site = analysis.sites.find((candidate) => candidate.siteKey === row.siteKey);
    return { row, iRow, site, shapes: site === undefined ? [] : dropoutShapes(site.dropouts, scene.caseEndMs, window, plotWidthPx, widthOf) };
  });

  const bottomPx = layout.lanes.reduce((bottom, box) => Math.max(bottom, box.topPx + box.heightPx), 0);
  for (const gap of gaps) paintRecordGap(ctx, gap, layout, bottomPx, palette, widthOf);
  for (const { row, iRow, shapes } of rows) {
    const color = palette[scene.styles.get(row.siteKey)?.color ?? 'siteOther'];
    for (const shape of shapes) {
      for (const box of layout.lanes) paintBandInLane(ctx, shape, box, iRow, color, palette);
      paintLossInRow(ctx, shape, row, iRow, color, palette);
      if (shape.label !== null) {
        ctx.fillStyle = palette.panel;
        ctx.textAlign = 'center';
        const left = Math.max(0, shape.certain.leftPx);
        const right = Math.min(plotWidthPx, shape.certain.rightPx) - (shape.isOpen ? OPEN_END_PX : 0);
        ctx.fillText(shape.label, (left + right) / 2, row.topPx + row.heightPx / 2 + 0.5);
        ctx.textAlign = 'left';
      }
      hits.push({
        leftPx: plotLeftPx + shape.whole.leftPx - 2, rightPx: plotLeftPx + shape.whole.rightPx + 2,
        topPx: row.topPx, bottomPx: row.topPx + row.heightPx, target: { kind: 'dropout', dropoutId: shape.dropoutId },
      });
    }
    paintDoubtful(ctx, stripSpans(scene.doubtful.get(row.siteKey) ?? [], window, plotWidthPx, 2), row, color);
  }
  for (const row of layout.statusRows) {
    const site = analysis.sites.find((candidate) => candidate.siteKey === row.siteKey);
    if (site === undefined) continue;
    for (const status of SHOWN_STATUSES) paintStatus(ctx, status, runSpans(site.statusRuns[status], window, plotWidthPx, 2), row, palette);
    hits.push({ leftPx: plotLeftPx, rightPx: plotLeftPx + plotWidthPx, topPx: row.topPx, bottomPx: row.topPx + row.heightPx, target: { kind: 'status', siteKey: row.siteKey } });
  }
  const spo2 = layout.lanes.find((box) => box.lane.laneKey === 'spo2');
  if (spo2 !== undefined && scene.isBoundShown) {
    for (const { row, site } of rows) {
      const color = palette[scene.styles.get(row.siteKey)?.color ?? 'siteOther'];
      for (const dropout of site?.dropouts ?? []) {
        const shape = boundShape(dropout, window, plotWidthPx);
        if (shape !== null) paintBound(ctx, shape, spo2, color, scene, dropout.dropoutId === scene.selectedDropoutId);
      }
    }
  }
  if (spo2 !== undefined) {
    // Bands of the lane itself answer too, below the rows: a click anywhere in the band chooses it.
    const inLane = rows.flatMap(({ shapes }) => shapes).map((shape): HitArea => ({
      leftPx: plotLeftPx + shape.whole.leftPx, rightPx: plotLeftPx + shape.whole.rightPx,
      topPx: spo2.topPx, bottomPx: spo2.topPx + spo2.heightPx, target: { kind: 'dropout', dropoutId: shape.dropoutId },
    }));
    hits.unshift(...inLane);
  }
  if (layout.blind !== null) {
    paintRowGround(ctx, layout.blind, plotWidthPx, palette);
    for (const shape of blindShapes(analysis.blind, scene.caseEndMs, window, plotWidthPx)) paintBlind(ctx, shape, layout.blind, palette);
  }
  // Also one that counts only where doubtful values are lost, and has no band of its own.
  const doubtfulOnly = rows.flatMap(({ row, site }) => {
    const dropout = site?.dropouts.some((own) => own.dropoutId === scene.selectedDropoutId) === false ? site.dropoutsDoubtfulLost.find((own) => own.dropoutId === scene.selectedDropoutId) : undefined;
    return dropout === undefined ? [] : dropoutShapes([dropout], scene.caseEndMs, window, plotWidthPx, widthOf).map((shape) => ({ row, shape }));
  })[0];
  const selected = rows.flatMap(({ row, shapes }) => shapes.filter((shape) => shape.dropoutId === scene.selectedDropoutId).map((shape) => ({ row, shape })))[0] ?? doubtfulOnly;
  if (selected !== undefined) paintSelection(ctx, selected.shape, selected.row, spo2 ?? null, palette);

  if (spo2 !== undefined) for (const bracket of handBrackets(scene.handBounds, window, plotWidthPx)) paintHandBracket(ctx, bracket, spo2, palette[scene.styles.get(bracket.siteKey)?.color ?? 'siteOther'], scene);

  const pressure = layout.lanes.find((box) => box.lane.laneKey === 'pressure');
  if (pressure !== undefined) paintCuff(ctx, pressure, window, plotWidthPx, palette);

  if (layout.marks !== null) hits.push(...paintMarks(ctx, scene, layout.marks, window));
  if (layout.phases !== null) hits.push(...paintPhases(ctx, scene, layout.phases, window));
  if (layout.moments !== null) hits.push(...paintMoments(ctx, scene, layout.moments, window));
  if (layout.states !== null) hits.push(...paintStates(ctx, scene, layout.states, window));
  layout.infusions.forEach((box, i) => {
    const infusion = scene.happenings.infusions[i];
    if (infusion !== undefined) hits.push(...paintInfusion(ctx, scene, infusion, box, window));
  });
  if (layout.boluses !== null) hits.push(...paintBoluses(ctx, scene, layout.boluses, window));
  ctx.restore();

  for (const box of layout.lanes) paintYAxis(ctx, box, plotLeftPx, palette);
  return hits;
}

function paintGround(ctx: CanvasRenderingContext2D, box: Box, layout: TimelineLayout, palette: Palette): void {
  ctx.fillStyle = palette.panel;
  ctx.fillRect(layout.plotLeftPx, box.topPx, layout.plotWidthPx, box.heightPx);
  ctx.strokeStyle = palette.line;
  ctx.lineWidth = 1;
  ctx.strokeRect(layout.plotLeftPx - 0.5, box.topPx - 0.5, layout.plotWidthPx + 1, box.heightPx + 1);
}

function paintStrip(ctx: CanvasRenderingContext2D, box: Box, layout: TimelineLayout, palette: Palette): void {
  ctx.fillStyle = palette.panel;
  ctx.fillRect(layout.plotLeftPx, box.topPx, layout.plotWidthPx, box.heightPx);
}

function paintTicks(ctx: CanvasRenderingContext2D, ticks: readonly TimeTick[], window: Interval, layout: TimelineLayout, palette: Palette): void {
  ctx.strokeStyle = palette.line;
  ctx.lineWidth = 1;
  ctx.beginPath();
  for (const tick of ticks) {
    const x = Math.round(timeToPx(tick.atMs, window, layout.plotWidthPx)) + 0.5;
    ctx.moveTo(x, 0);
    ctx.lineTo(x, layout.heightPx);
  }
  ctx.stroke();
}

function paintGrid(ctx: CanvasRenderingContext2D, { lane, topPx, heightPx }: LaneBox, plotWidthPx: number, palette: Palette): void {
  ctx.strokeStyle = palette.line;
  ctx.lineWidth = 1;
  ctx.beginPath();
  for (const tick of yTicks(lane.scale, heightPx, 24)) {
    const y = Math.round(topPx + yToPx(lane.scale, tick, heightPx)) + 0.5;
    ctx.moveTo(0, y);
    ctx.lineTo(plotWidthPx, y);
  }
  ctx.stroke();
  for (const guide of lane.guides) {
    const y = Math.round(topPx + yToPx(lane.scale, guide, heightPx)) + 0.5;
    ctx.strokeStyle = palette.lineStrong;
    ctx.setLineDash([2, 4]);
    ctx.beginPath();
    ctx.moveTo(0, y);
    ctx.lineTo(plotWidthPx, y);
    ctx.stroke();
    ctx.setLineDash([]);
  }
}

function paintYAxis(ctx: CanvasRenderingContext2D, { lane, topPx, heightPx }: LaneBox, plotLeftPx: number, palette: Palette): void {
  ctx.fillStyle = palette.inkSoft;
  ctx.textAlign = 'right';
  for (const tick of yTicks(lane.scale, heightPx, 24)) {
    const y = topPx + yToPx(lane.scale, tick, heightPx);
    ctx.fillText(String(tick), plotLeftPx - 6, Math.max(topPx + 6, Math.min(topPx + heightPx - 6, y)) + 0.5);
  }
  ctx.textAlign = 'left';
}

/** Fills a rectangle with parallel strokes. `slant` 1 leans right, −1 left, 0 stands upright. */
function hatch(ctx: CanvasRenderingContext2D, span: PxSpan, topPx: number, heightPx: number, color: string, gapPx: number, slant: -1 | 0 | 1, lineWidth: number): void {
  if (span.rightPx <= span.leftPx) return;
  ctx.save();
  ctx.beginPath();
  ctx.rect(span.leftPx, topPx, span.rightPx - span.leftPx, heightPx);
  ctx.clip();
  ctx.strokeStyle = color;
  ctx.lineWidth = lineWidth;
  ctx.beginPath();
  const reach = slant === 0 ? 0 : heightPx;
  // Strokes stand at whole multiples of their distance on the stage, so neighbouring shapes share one pattern.
  for (let x = Math.floor((span.leftPx - reach) / gapPx) * gapPx; x < span.rightPx + reach; x += gapPx) {
    ctx.moveTo(x, topPx + (slant === 1 ? heightPx : 0));
    ctx.lineTo(x + reach, topPx + (slant === 1 ? 0 : heightPx));
  }
  ctx.stroke();
  ctx.restore();
}

const SLANTS: readonly (-1 | 0 | 1)[] = [1, -1, 0];

function slantOf(iRow: number): -1 | 0 | 1 {
  return SLANTS[iRow % SLANTS.length] ?? 0;
}

function fillSpan(ctx: CanvasRenderingContext2D, span: PxSpan, topPx: number, heightPx: number, color: string): void {
  ctx.fillStyle = color;
  ctx.fillRect(span.leftPx, topPx, span.rightPx - span.leftPx, heightPx);
}

function paintBandInLane(ctx: CanvasRenderingContext2D, shape: DropoutShape, { lane, topPx, heightPx }: LaneBox, iRow: number, color: string, palette: Palette): void {
  const isSpo2 = lane.laneKey === 'spo2';
  fillSpan(ctx, shape.certain, topPx, heightPx, withAlpha(color, isSpo2 ? 0.14 : 0.08));
  if (!isSpo2) return;
  hatch(ctx, shape.certain, topPx, heightPx, withAlpha(color, 0.42), 7, slantOf(iRow), 1);
  for (const edge of [shape.onset, shape.restoration]) if (edge !== null) fillSpan(ctx, edge, topPx, heightPx, withAlpha(color, 0.07));
  ctx.strokeStyle = withAlpha(palette.lostInk, 0.55);
  ctx.lineWidth = 1;
  ctx.setLineDash([2, 2]);
  ctx.beginPath();
  for (const x of shape.isOpen ? [shape.certain.leftPx] : [shape.certain.leftPx, shape.certain.rightPx]) {
    ctx.moveTo(x, topPx);
    ctx.lineTo(x, topPx + heightPx);
  }
  ctx.stroke();
  ctx.setLineDash([]);
}

function paintRowGround(ctx: CanvasRenderingContext2D, row: Box, plotWidthPx: number, palette: Palette): void {
  ctx.strokeStyle = palette.line;
  ctx.lineWidth = 1;
  ctx.beginPath();
  ctx.moveTo(0, row.topPx + row.heightPx / 2 + 0.5);
  ctx.lineTo(plotWidthPx, row.topPx + row.heightPx / 2 + 0.5);
  ctx.stroke();
}

/** The full account of a loss: solid where it is certain, hatched where it may have begun or ended, arrows where it never ended. */
function paintLossInRow(ctx: CanvasRenderingContext2D, shape: LossShape, row: Box, iRow: number, color: string, palette: Palette): void {
  const topPx = row.topPx + 1;
  const heightPx = row.heightPx - 2;
  for (const edge of [shape.onset, shape.restoration]) {
    if (edge === null) continue;
    fillSpan(ctx, edge, topPx, heightPx, withAlpha(color, 0.18));
    hatch(ctx, edge, topPx, heightPx, color, 4, slantOf(iRow), 1);
  }
  fillSpan(ctx, shape.certain, topPx, heightPx, color);
  if (shape.isOpen) {
    ctx.strokeStyle = palette.panel;
    ctx.lineWidth = 1.6;
    ctx.beginPath();
    const endPx = shape.certain.rightPx;
    for (const back of [4, 9]) {
      if (endPx - back - 4 < shape.certain.leftPx) continue;
      ctx.moveTo(endPx - back - 4, topPx + 3);
      ctx.lineTo(endPx - back, topPx + heightPx / 2);
      ctx.lineTo(endPx - back - 4, topPx + heightPx - 3);
    }
    ctx.stroke();
  }
}

function paintBlind(ctx: CanvasRenderingContext2D, shape: LossShape, row: Box, palette: Palette): void {
  const topPx = row.topPx + 3;
  const heightPx = row.heightPx - 6;
  for (const edge of [shape.onset, shape.restoration]) if (edge !== null) hatch(ctx, edge, topPx, heightPx, palette.lostInk, 3, 0, 1);
  fillSpan(ctx, shape.certain, topPx, heightPx, palette.lostInk);
}

/** A hollow dropout: lost only when doubtful values count as lost. */
function paintDoubtful(ctx: CanvasRenderingContext2D, spans: readonly PxSpan[], row: Box, color: string): void {
  ctx.strokeStyle = color;
  ctx.lineWidth = 1;
  ctx.setLineDash([3, 2]);
  for (const span of spans) ctx.strokeRect(span.leftPx + 0.5, row.topPx + 3.5, Math.max(1, span.rightPx - span.leftPx - 1), row.heightPx - 7);
  ctx.setLineDash([]);
}

/** Each status has a pattern of its own: upright strokes, slanted ones, two flat lines (a display that stood still), a lattice, strokes the other way. */
function paintStatus(ctx: CanvasRenderingContext2D, status: ShownStatus, spans: readonly PxSpan[], row: Box, palette: Palette): void {
  const topPx = row.topPx + 2;
  const heightPx = row.heightPx - 5;
  const isDoubtful = status === 'weak' || status === 'disputed';
  for (const span of spans) {
    fillSpan(ctx, span, topPx, heightPx, isDoubtful ? palette.doubtfulFill : palette.panel);
    // A pattern does not show in a few pixels: there the outline alone says that something is.
    if (span.rightPx - span.leftPx >= 4) {
      if (status === 'held') {
        ctx.fillStyle = palette.lostInk;
        for (const share of [0.3, 0.62]) ctx.fillRect(span.leftPx, topPx + heightPx * share, span.rightPx - span.leftPx, 1);
      } else {
        for (const slant of STATUS_SLANTS[status]) hatch(ctx, span, topPx, heightPx, palette.lostInk, 4, slant, 0.9);
      }
    }
    ctx.strokeStyle = palette.lostInk;
    ctx.lineWidth = 0.75;
    ctx.strokeRect(span.leftPx, topPx, span.rightPx - span.leftPx, heightPx);
  }
}

const STATUS_SLANTS: Readonly<Record<Exclude<ShownStatus, 'held'>, readonly (-1 | 0 | 1)[]>> = { weak: [0], disputed: [1], flagged: [1, -1], implausible: [-1] };

/**
 * A faint region with a broken lower edge: nothing in it was seen. It is cut at the lane, so it may go on below. Its number is
 * written where there is room; that of the chosen dropout always, beyond the region too.
 */
function paintBound(ctx: CanvasRenderingContext2D, shape: BoundShape, { lane, topPx, heightPx }: LaneBox, color: string, scene: Scene, isChosen: boolean): void {
  const { palette, layout, widthOf } = scene;
  const first = shape.edge[0];
  const last = shape.edge[shape.edge.length - 1];
  if (first === undefined || last === undefined) return;
  const yOf = (pct: number): number => topPx + yToPx(lane.scale, pct, heightPx);
  ctx.save();
  ctx.beginPath();
  ctx.rect(0, topPx, layout.plotWidthPx, heightPx);
  ctx.clip();
  ctx.beginPath();
  ctx.moveTo(first.xPx, yOf(100));
  for (const point of shape.edge) ctx.lineTo(point.xPx, yOf(point.pct));
  ctx.lineTo(last.xPx, yOf(100));
  ctx.closePath();
  ctx.fillStyle = withAlpha(color, 0.17);
  ctx.fill();
  ctx.strokeStyle = withAlpha(palette.lostInk, 0.8);
  ctx.lineWidth = 1;
  ctx.setLineDash([1.5, 3]);
  ctx.beginPath();
  for (const [i, point] of shape.edge.entries()) {
    if (i === 0) ctx.moveTo(point.xPx, yOf(point.pct));
    else ctx.lineTo(point.xPx, yOf(point.pct));
  }
  ctx.stroke();
  ctx.setLineDash([]);
  const leftPx = Math.max(0, first.xPx);
  const rightPx = Math.min(layout.plotWidthPx, last.xPx);
  const textPx = widthOf(shape.label);
  const hasRoom = rightPx - leftPx >= textPx + 10;
  if (hasRoom || isChosen) {
    // Where the loss is too narrow the words stand beside it: over its edges the frame of the chosen one would run through them.
    const isRightFree = rightPx + textPx + 13 <= layout.plotWidthPx;
    const besidePx = isRightFree ? rightPx + 8 : Math.max(5, leftPx - textPx - 8);
    const atPx = hasRoom ? Math.max(leftPx + 5, Math.min(rightPx - textPx - 5, shape.lowest.xPx - textPx / 2)) : besidePx;
    const middlePx = Math.max(topPx + 9, Math.min(topPx + heightPx - 9, yOf(shape.lowest.pct) - 10));
    writeOnGround(ctx, shape.label, atPx, middlePx, scene, palette.ink);
  }
  ctx.restore();
}

/** A stop of the recorder runs through everything, dotted, with its name: not to be taken for a loss at one sensor. */
function paintRecordGap(ctx: CanvasRenderingContext2D, gap: RecordGapShape, layout: TimelineLayout, bottomPx: number, palette: Palette, widthOf: MeasureText): void {
  const topPx = (layout.blind ?? layout.lossRows[0] ?? layout.lanes[0])?.topPx ?? 0;
  fillSpan(ctx, gap, topPx, bottomPx - topPx, withAlpha(palette.recordGapFill, 0.6));
  ctx.save();
  ctx.beginPath();
  ctx.rect(gap.leftPx, topPx, gap.rightPx - gap.leftPx, bottomPx - topPx);
  ctx.clip();
  ctx.strokeStyle = withAlpha(palette.recordGapInk, 0.55);
  ctx.lineWidth = 1.5;
  ctx.setLineDash([1.5, 6.5]);
  ctx.beginPath();
  for (let y = topPx + 4, i = 0; y < bottomPx; y += 6, i++) {
    ctx.moveTo(Math.floor(gap.leftPx / 8) * 8 + (i % 2) * 4, y);
    ctx.lineTo(gap.rightPx, y);
  }
  ctx.stroke();
  ctx.restore();
  ctx.strokeStyle = palette.recordGapInk;
  ctx.lineWidth = 1;
  ctx.beginPath();
  for (const x of [gap.leftPx, gap.rightPx]) {
    ctx.moveTo(x, topPx);
    ctx.lineTo(x, bottomPx);
  }
  ctx.stroke();
  const left = Math.max(0, gap.leftPx);
  const right = Math.min(layout.plotWidthPx, gap.rightPx);
  const lane = layout.lanes[0] ?? null;
  const text = gap.label ?? RECORD_STOPPED;
  const half = widthOf(text) / 2 + 4;
  const isUpright = gap.label === null;
  if (lane === null || (isUpright && (right - left < 20 || lane.heightPx < 2 * half))) return;
  ctx.save();
  ctx.translate((left + right) / 2, lane.topPx + lane.heightPx / 2);
  if (isUpright) ctx.rotate(-Math.PI / 2);
  ctx.fillStyle = palette.panel;
  ctx.fillRect(-half, -9, half * 2, 18);
  ctx.fillStyle = palette.recordGapInk;
  ctx.textAlign = 'center';
  ctx.fillText(text, 0, 0.5);
  ctx.restore();
}

function paintSelection(ctx: CanvasRenderingContext2D, shape: DropoutShape, row: Box, spo2: Box | null, palette: Palette): void {
  const bottomPx = spo2 === null ? row.topPx + row.heightPx : spo2.topPx + spo2.heightPx;
  ctx.strokeStyle = palette.focus;
  ctx.lineWidth = 2;
  ctx.strokeRect(shape.whole.leftPx - 2, row.topPx - 1, shape.whole.rightPx - shape.whole.leftPx + 4, bottomPx - row.topPx);
}

const BRACKET_PX = 8;
const BRACKET_ROW_PX = 15;

/**
 * What a reader takes for lost: an angular bracket along the bottom of the lane, legs at first and last lost, dotted as far as the loss
 * can reach. Unlike every computed shape it is a line and no area. A draft is broken.
 */
function paintHandBracket(ctx: CanvasRenderingContext2D, { leftPx, rightPx, outer, isOpen, isDraft, text, row }: HandBracket, { topPx, heightPx }: LaneBox, color: string, scene: Scene): void {
  const { palette, widthOf, layout } = scene;
  const footPx = topPx + heightPx - 4 - row * BRACKET_ROW_PX;
  if (footPx - BRACKET_PX < topPx) return;
  const path = (): void => {
    ctx.beginPath();
    ctx.moveTo(leftPx, footPx - BRACKET_PX);
    ctx.lineTo(leftPx, footPx);
    ctx.lineTo(Math.max(leftPx, rightPx), footPx);
    if (!isOpen) ctx.lineTo(Math.max(leftPx, rightPx), footPx - BRACKET_PX);
  };
  ctx.lineJoin = 'miter';
  ctx.strokeStyle = palette.panel;
  ctx.lineWidth = 5;
  path();
  ctx.stroke();
  ctx.strokeStyle = color;
  ctx.lineWidth = 2;
  ctx.setLineDash(isDraft ? [4, 3] : []);
  path();
  ctx.stroke();
  ctx.setLineDash([1.5, 2.5]);
  ctx.lineWidth = 1.5;
  ctx.beginPath();
  ctx.moveTo(outer.leftPx, footPx);
  ctx.lineTo(leftPx, footPx);
  if (!isOpen) {
    ctx.moveTo(rightPx, footPx);
    ctx.lineTo(outer.rightPx, footPx);
  }
  ctx.stroke();
  ctx.setLineDash([]);
  const textPx = widthOf(text);
  const fromPx = Math.max(0, leftPx);
  const toPx = Math.min(layout.plotWidthPx, Math.max(leftPx, rightPx));
  if (toPx - fromPx >= textPx + 12) writeOnGround(ctx, text, (fromPx + toPx - textPx) / 2, footPx - 9, scene, palette.ink);
}

function paintCuff(ctx: CanvasRenderingContext2D, { lane, topPx, heightPx }: LaneBox, window: Interval, plotWidthPx: number, palette: Palette): void {
  ctx.save();
  ctx.beginPath();
  ctx.rect(0, topPx, plotWidthPx, heightPx);
  ctx.clip();
  ctx.strokeStyle = palette.pressureInk;
  ctx.fillStyle = palette.pressureInk;
  ctx.lineWidth = 1.4;
  let lastPx = -Infinity;
  for (const reading of lane.cuff) {
    const x = timeToPx(reading.atMs, window, plotWidthPx);
    // Readings nearer than a pixel would only be drawn over each other.
    if (x < -6 || x > plotWidthPx + 6 || x - lastPx < 1) continue;
    lastPx = x;
    paintCuffReading(ctx, reading, x, (value) => topPx + yToPx(lane.scale, value, heightPx));
  }
  ctx.restore();
}

function paintCuffReading(ctx: CanvasRenderingContext2D, { sys, dia, mean }: CuffReading, x: number, yOf: (value: number) => number): void {
  ctx.beginPath();
  if (sys !== null && dia !== null) {
    ctx.moveTo(x, yOf(sys));
    ctx.lineTo(x, yOf(dia));
  }
  for (const end of [sys, dia]) {
    if (end === null) continue;
    ctx.moveTo(x - 3, yOf(end));
    ctx.lineTo(x + 3, yOf(end));
  }
  ctx.stroke();
  if (mean !== null) ctx.fillRect(x - 2.5, yOf(mean) - 1.5, 5, 3);
}

/** A mark of an instant is a pennon on a pole; one of a span a bar between two poles. Its number stands beside, with as many words as fit. */
function paintMarks(ctx: CanvasRenderingContext2D, scene: Scene, box: Box, window: Interval): HitArea[] {
  const { palette, layout, widthOf } = scene;
  const shown = scene.marks.filter((mark) => mark.endMs >= window.startMs && mark.startMs <= window.endMs);
  return shown.map((mark) => {
    const topPx = box.topPx + mark.row * ROW_PX;
    const leftPx = timeToPx(mark.startMs, window, layout.plotWidthPx);
    const rightPx = Math.max(leftPx + 3, timeToPx(mark.endMs, window, layout.plotWidthPx));
    const isChosen = mark.markId === scene.chosenMarkId;
    ctx.strokeStyle = isChosen ? palette.focus : palette.accent;
    ctx.fillStyle = ctx.strokeStyle;
    ctx.lineWidth = isChosen ? 2 : 1.3;
    ctx.beginPath();
    ctx.moveTo(leftPx, topPx + 1);
    ctx.lineTo(leftPx, topPx + ROW_PX);
    if (mark.isSpan) {
      ctx.moveTo(rightPx, topPx + 1);
      ctx.lineTo(rightPx, topPx + ROW_PX);
      ctx.moveTo(leftPx, topPx + 3);
      ctx.lineTo(rightPx, topPx + 3);
    }
    ctx.stroke();
    if (!mark.isSpan) {
      ctx.beginPath();
      ctx.moveTo(leftPx, topPx + 1);
      ctx.lineTo(leftPx + 9, topPx + 5);
      ctx.lineTo(leftPx, topPx + 9);
      ctx.closePath();
      ctx.fill();
    }
    const next = shown.find((other) => other.row === mark.row && other.startMs > mark.startMs);
    const endPx = next === undefined ? layout.plotWidthPx : timeToPx(next.startMs, window, layout.plotWidthPx);
    const { text, textPx } = placeMarkText(mark, leftPx, rightPx, endPx, widthOf);
    if (text !== undefined) {
      ctx.fillStyle = palette.ink;
      ctx.fillText(text, textPx, topPx + ROW_PX / 2 + 2);
    }
    const hit = hitOf(scene, leftPx - 4, Math.max(rightPx + 2, textPx + (text === undefined ? 0 : widthOf(text))), { topPx, heightPx: ROW_PX }, '', mark.startMs);
    return { ...hit, target: { kind: 'mark', markId: mark.markId, text: mark.note === '' ? 'mark' : mark.note, atMs: mark.startMs } };
  });
}

/**
 * Returns what is written beside a mark and where: all of it where that fits, else its number, else nothing. In a span inside its poles or
 * right of them, never through one; it ends where the next mark of the row begins.
 */
export function placeMarkText(mark: Pick<DrawnMark, 'isSpan' | 'text'>, leftPx: number, rightPx: number, endPx: number, widthOf: MeasureText): { readonly text: string | undefined; readonly textPx: number } {
  // The number of the list, or of a note that is in none its first word, which says that more follows.
  const [first = ''] = mark.text.split(' ');
  const number = first === mark.text || /^\d+$|…/u.test(first) ? first : `${first}…`;
  const fits = (words: string, fromPx: number, toPx: number): boolean => words !== '' && widthOf(words) <= toPx - fromPx - 4;
  const besidePx = Math.max(2, (mark.isSpan ? rightPx : leftPx) + (mark.isSpan ? 5 : 12));
  const insidePx = Math.max(2, leftPx + 5);
  for (const words of [mark.text, number]) {
    if (mark.isSpan && fits(words, insidePx, Math.min(rightPx, endPx))) return { text: words, textPx: insidePx };
    if (fits(words, besidePx, endPx)) return { text: words, textPx: besidePx };
  }
  return { text: undefined, textPx: besidePx };
}

/** A phase is a line between two upright ends with its name on it; a broken line where its end is not on record or kept back. */
function paintPhases(ctx: CanvasRenderingContext2D, scene: Scene, box: Box, window: Interval): HitArea[] {
  const { palette, layout, widthOf } = scene;
  const hits: HitArea[] = [];
  const middlePx = box.topPx + box.heightPx / 2;
  for (const phase of scene.happenings.phases) {
    const placed = [phase.text, phase.shortText].map((text) => placeBar(phase, text, window, layout.plotWidthPx, widthOf));
    const bar = placed.find((one) => one !== null && one.text !== null) ?? placed[0] ?? null;
    if (bar === null) continue;
    ctx.strokeStyle = palette.eventInk;
    ctx.lineWidth = 1.2;
    ctx.beginPath();
    for (const x of phase.isOpen ? [bar.leftPx] : [bar.leftPx, bar.rightPx]) {
      ctx.moveTo(x, box.topPx + 3);
      ctx.lineTo(x, box.topPx + box.heightPx - 3);
    }
    ctx.stroke();
    ctx.setLineDash(phase.isOpen ? [4, 3] : []);
    ctx.beginPath();
    ctx.moveTo(bar.leftPx, middlePx);
    ctx.lineTo(bar.rightPx, middlePx);
    ctx.stroke();
    ctx.setLineDash([]);
    if (bar.text !== null) {
      const visible = Math.min(layout.plotWidthPx, bar.rightPx) - Math.max(0, bar.leftPx);
      const textPx = Math.max(0, bar.leftPx) + (visible - widthOf(bar.text)) / 2;
      ctx.fillStyle = palette.panel;
      ctx.fillRect(textPx - 4, box.topPx, widthOf(bar.text) + 8, box.heightPx);
      ctx.fillStyle = palette.eventInk;
      ctx.fillText(bar.text, textPx, middlePx + 0.5);
    }
    hits.push(hitOf(scene, bar.leftPx, bar.rightPx, box, phase.text, phase.startMs));
  }
  return hits;
}

function paintMoments(ctx: CanvasRenderingContext2D, scene: Scene, box: Box, window: Interval): HitArea[] {
  const { palette, layout } = scene;
  const placed = placeMarks<Moment>(scene.happenings.moments, ({ text }) => [text, cutText(text)], window, layout.plotWidthPx, Math.round(box.heightPx / ROW_PX), 5, scene.widthOf);
  ctx.strokeStyle = palette.eventInk;
  ctx.fillStyle = palette.eventInk;
  ctx.lineWidth = 1.2;
  return placed.map(({ mark, atPx, text, row }) => {
    const x = Math.round(atPx) + 0.5;
    ctx.beginPath();
    ctx.moveTo(x, box.topPx + 2 + row * ROW_PX);
    ctx.lineTo(x, box.topPx + box.heightPx);
    ctx.stroke();
    if (text !== null) writeOnGround(ctx, text, atPx + 5, box.topPx + (row + 0.5) * ROW_PX, scene, palette.eventInk);
    return hitOf(scene, atPx - 4, atPx + 5 + (text === null ? 0 : scene.widthOf(text)), box, mark.text, mark.atMs);
  });
}

function paintStates(ctx: CanvasRenderingContext2D, scene: Scene, box: Box, window: Interval): HitArea[] {
  const { palette, layout } = scene;
  const hits: HitArea[] = [];
  for (const state of scene.happenings.states) {
    const bar = placeBar(state, state.text, window, layout.plotWidthPx, scene.widthOf);
    if (bar === null) continue;
    const topPx = box.topPx + state.row * ROW_PX + 2;
    fillSpan(ctx, bar, topPx, ROW_PX - 4, palette.accentWash);
    ctx.strokeStyle = palette.accent;
    ctx.lineWidth = 1;
    if (state.isOpen) {
      ctx.beginPath();
      ctx.moveTo(bar.rightPx, topPx + 0.5);
      ctx.lineTo(bar.leftPx + 0.5, topPx + 0.5);
      ctx.lineTo(bar.leftPx + 0.5, topPx + ROW_PX - 4.5);
      ctx.lineTo(bar.rightPx, topPx + ROW_PX - 4.5);
      ctx.stroke();
    } else ctx.strokeRect(bar.leftPx + 0.5, topPx + 0.5, bar.rightPx - bar.leftPx - 1, ROW_PX - 5);
    if (bar.text !== null) {
      ctx.fillStyle = palette.ink;
      ctx.fillText(bar.text, bar.textPx, topPx + (ROW_PX - 4) / 2 + 0.5);
    }
    hits.push(hitOf(scene, bar.leftPx, bar.rightPx, { topPx, heightPx: ROW_PX - 4 }, state.text, state.startMs));
  }
  return hits;
}

/** A bar as long as the infusion runs, filled from below as high as the rate stands to the highest of the case. */
function paintInfusion(ctx: CanvasRenderingContext2D, scene: Scene, infusion: Infusion, box: Box, window: Interval): HitArea[] {
  const { palette, layout } = scene;
  const hits: HitArea[] = [];
  const fill = infusion.isVasopressor ? palette.vasopressorFill : palette.panelSunk;
  const ink = infusion.isVasopressor ? palette.vasopressorInk : palette.eventInk;
  for (const step of infusion.steps) {
    const bar = placeBar(step, step.text, window, layout.plotWidthPx, scene.widthOf);
    if (bar === null) continue;
    const share = step.rate === null || infusion.highestRate === 0 ? 1 : Math.max(0.2, step.rate / infusion.highestRate);
    const heightPx = box.heightPx - 2;
    fillSpan(ctx, bar, box.topPx + 1 + heightPx * (1 - share), heightPx * share, fill);
    ctx.strokeStyle = ink;
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.moveTo(bar.leftPx, box.topPx + 1 + heightPx);
    ctx.lineTo(bar.leftPx, box.topPx + 1 + heightPx * (1 - share) + 0.5);
    ctx.lineTo(bar.rightPx, box.topPx + 1 + heightPx * (1 - share) + 0.5);
    if (!(step.isOpen && scene.happenings.isLaterKeptBack)) ctx.lineTo(bar.rightPx, box.topPx + 1 + heightPx);
    ctx.stroke();
    if (bar.text !== null) {
      if (share > 0.85) {
        ctx.fillStyle = ink;
        ctx.fillText(bar.text, bar.textPx, box.topPx + box.heightPx / 2 + 0.5);
      } else writeOnGround(ctx, bar.text, bar.textPx, box.topPx + box.heightPx / 2, scene, ink);
    }
    hits.push(hitOf(scene, bar.leftPx, bar.rightPx, box, `${infusion.name} ${step.text}`, step.startMs));
  }
  return hits;
}

function paintBoluses(ctx: CanvasRenderingContext2D, scene: Scene, box: Box, window: Interval): HitArea[] {
  const { palette, layout } = scene;
  const placed = placeMarks<Bolus>(scene.happenings.boluses, ({ texts }) => texts, window, layout.plotWidthPx, Math.round(box.heightPx / ROW_PX), 8, scene.widthOf);
  return placed.map(({ mark, atPx, text, row }) => {
    const middle = box.topPx + (row + 0.5) * ROW_PX;
    const textWidth = text === null ? 0 : scene.widthOf(text);
    ctx.lineWidth = 1.2;
    ctx.strokeStyle = mark.isVasopressor ? palette.vasopressorInk : palette.eventInk;
    ctx.beginPath();
    ctx.moveTo(atPx, box.topPx + 2 + row * ROW_PX);
    ctx.lineTo(atPx, box.topPx + box.heightPx);
    ctx.stroke();
    if (mark.isVasopressor) {
      if (text !== null) {
        ctx.fillStyle = palette.vasopressorFill;
        ctx.fillRect(atPx, middle - 7.5, textWidth + 13, 15);
      }
      // A tag that points at its instant: the shape of a vasopressor dose, whatever its colour.
      ctx.fillStyle = palette.vasopressorInk;
      ctx.beginPath();
      ctx.moveTo(atPx - 4.5, middle - 7.5);
      ctx.lineTo(atPx + 4.5, middle - 7.5);
      ctx.lineTo(atPx + 4.5, middle + 2);
      ctx.lineTo(atPx, middle + 7.5);
      ctx.lineTo(atPx - 4.5, middle + 2);
      ctx.closePath();
      ctx.fill();
      ctx.fillStyle = palette.vasopressorInk;
    } else {
      ctx.fillStyle = palette.panel;
      ctx.beginPath();
      ctx.arc(atPx, middle, 3.5, 0, Math.PI * 2);
      ctx.fill();
      ctx.stroke();
      ctx.fillStyle = palette.eventInk;
    }
    if (text !== null) ctx.fillText(text, atPx + 8, middle + 0.5);
    return hitOf(scene, atPx - 6, atPx + 8 + textWidth, box, mark.texts[0] ?? '', mark.atMs);
  });
}

/** Writes a text on a patch of the ground, so that no grid line or edge runs through it. */
function writeOnGround(ctx: CanvasRenderingContext2D, text: string, leftPx: number, middlePx: number, scene: Scene, ink: string): void {
  ctx.fillStyle = withAlpha(scene.palette.panel, 0.86);
  ctx.fillRect(leftPx - 2, middlePx - 7, scene.widthOf(text) + 4, 14);
  ctx.fillStyle = ink;
  ctx.fillText(text, leftPx, middlePx + 0.5);
}

function hitOf(scene: Scene, leftPx: number, rightPx: number, box: Box, text: string, atMs: number): HitArea {
  const { plotLeftPx } = scene.layout;
  return { leftPx: plotLeftPx + leftPx, rightPx: plotLeftPx + rightPx, topPx: box.topPx, bottomPx: box.topPx + box.heightPx, target: { kind: 'text', text, atMs } };
}
