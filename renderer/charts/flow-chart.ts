import { arrow, rect, text, type Markish } from '@observablehq/plot';
import { fitted, hitBoxes, INK } from './chart-marks.ts';
import type { ChartDrawing } from './chart-types.ts';

/** One stage of the way of the cases, with what is left out after it. */
export interface FlowStage {
  readonly key: string;
  readonly label: string;
  readonly cases: number;
  readonly leftOut: readonly { readonly key: string; readonly reason: string; readonly cases: number }[];
}

const BOX_PX = 40;
const LINE_PX = 20;
const BETWEEN_PX = 34;

/** Returns the stages one below the other; beside the way from each to the next stands what was left out and why. */
export function flowChart(stages: readonly FlowStage[], countText: (cases: number) => string, widthPx: number): ChartDrawing {
  const width = Math.min(widthPx, 900);
  const mainWidth = Math.min(300, width * 0.45);
  const sideX = mainWidth + 56;
  const sideWidth = width - sideX - 2;
  const boxes: { x1: number; x2: number; y1: number; y2: number; key: string; words: string; isSide: boolean }[] = [];
  const marks: Markish[] = [];
  let y = 2;
  stages.forEach((stage, i) => {
    boxes.push({ x1: 2, x2: mainWidth, y1: y, y2: y + BOX_PX, key: stage.key, words: `${stage.label}: ${countText(stage.cases)}`, isSide: false });
    const bottom = y + BOX_PX;
    const sideHeight = stage.leftOut.length * LINE_PX;
    const gap = Math.max(BETWEEN_PX, sideHeight + 22);
    const isLast = i === stages.length - 1;
    if (!isLast) marks.push(arrow([0], { x1: mainWidth / 2, x2: mainWidth / 2, y1: bottom, y2: bottom + gap, stroke: INK.lineStrong, headLength: 7, strokeWidth: 1.4 }));
    if (stage.leftOut.length > 0) {
      const top = bottom + (isLast ? 8 : (gap - sideHeight) / 2);
      const middle = top + sideHeight / 2;
      marks.push(arrow([0], { x1: mainWidth / 2, x2: sideX - 4, y1: middle, y2: middle, stroke: INK.lineStrong, headLength: 7, strokeWidth: 1.4 }));
      stage.leftOut.forEach((left, line) => boxes.push({ x1: sideX, x2: sideX + sideWidth, y1: top + line * LINE_PX, y2: top + (line + 1) * LINE_PX, key: left.key, words: `${left.reason}: ${countText(left.cases)}`, isSide: true }));
    }
    y = bottom + (isLast ? (stage.leftOut.length > 0 ? sideHeight + 12 : 4) : gap);
  });
  const main = boxes.filter((box) => !box.isSide);
  const side = boxes.filter((box) => box.isSide);
  marks.push(
    rect(main, { x1: 'x1', x2: 'x2', y1: 'y1', y2: 'y2', fill: INK.wash, stroke: INK.accent, rx: 4 }),
    text(main, { x: (box: (typeof main)[number]) => (box.x1 + box.x2) / 2, y: (box: (typeof main)[number]) => (box.y1 + box.y2) / 2, text: (box: (typeof main)[number]) => fitted(box.words, mainWidth - 10), fill: INK.text, fontWeight: 600 }),
    text(side, { x: (box: (typeof side)[number]) => box.x1 + 6, y: (box: (typeof side)[number]) => (box.y1 + box.y2) / 2, textAnchor: 'start', text: (box: (typeof side)[number]) => fitted(box.words, Math.max(40, sideWidth - 8)), fill: INK.text }),
    hitBoxes(boxes),
  );
  return {
    options: {
      width, height: Math.ceil(y) + 2, margin: 0,
      x: { type: 'identity' }, y: { type: 'identity' }, axis: null, marks,
    },
    points: boxes.map((box) => ({ key: box.key, label: box.words })),
  };
}
