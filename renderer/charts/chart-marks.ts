import { dot, rect, type Markish, type SymbolType } from '@observablehq/plot';
import type { MarkShape, SeriesLook } from './chart-types.ts';

/** Names that the sheet and the page know parts of a picture by. */
export const HIT_CLASS = 'chart-hit';

/** Radius of what takes presses, px: 24 px across and a little more (WCAG 2.2, 2.5.8). */
const HIT_RADIUS = 12.5;

/** Colours of the theme by what they say; see styles/tokens.css. */
export const INK = {
  text: 'var(--ink)',
  soft: 'var(--ink-soft)',
  line: 'var(--line)',
  lineStrong: 'var(--line-strong)',
  accent: 'var(--accent)',
  wash: 'var(--accent-wash)',
  panel: 'var(--panel)',
  sunk: 'var(--panel-sunk)',
  signal: 'var(--focus)',
} as const;

/** The look of a series that is alone in its picture. */
export const ONLY_SERIES: SeriesLook = { color: INK.accent, dashPx: [], shape: 'circle' };

/** A triangle on its tip, which the library does not have; of the same area as its upright one. */
const DOWNWARD = {
  draw(context: { moveTo(x: number, y: number): void; lineTo(x: number, y: number): void; closePath(): void }, size: number): void {
    const half = Math.sqrt(size / Math.sqrt(3));
    context.moveTo(0, half * 1.15);
    context.lineTo(half, -half * 0.58);
    context.lineTo(-half, -half * 0.58);
    context.closePath();
  },
};

const SYMBOLS: Readonly<Record<MarkShape, SymbolType | typeof DOWNWARD>> = {
  'circle': 'circle', 'square': 'square', 'triangle': 'triangle', 'triangle-down': DOWNWARD, 'diamond': 'diamond', 'cross': 'cross', 'hexagon': 'hexagon',
};

/** Returns what the library calls a shape. */
export function symbolOf(shape: MarkShape): SymbolType {
  // Its types know names only; it takes any object that draws, as `tests/contracts/plot.contract.test.ts` holds it to.
  return SYMBOLS[shape] as SymbolType;
}

/** Returns a dash as an attribute has it. */
export function dashOf(look: SeriesLook): string {
  return look.dashPx.length === 0 ? 'none' : look.dashPx.join(' ');
}

/** Returns the layer that takes presses: one clear disc over every place, in the order of the drawing's points. */
export function hitDots(places: readonly { readonly x: number | string; readonly y: number | string }[]): Markish {
  return dot(places, { x: 'x', y: 'y', r: HIT_RADIUS, fill: 'transparent', stroke: 'none', className: HIT_CLASS, clip: false });
}

/** The same for places that are boxes. */
export function hitBoxes(boxes: readonly { readonly x1: number; readonly x2: number; readonly y1: number; readonly y2: number }[]): Markish {
  return rect(boxes, { x1: 'x1', x2: 'x2', y1: 'y1', y2: 'y2', fill: 'transparent', stroke: 'none', className: HIT_CLASS });
}

/** A letter of the widest of the families in styles/tokens.css at the size of a picture's texts. */
const LETTER_PX = 7.3;

/** Room that a text takes, px: an upper estimate that needs no page, for margins. */
export function textRoomPx(text: string): number {
  return Math.ceil(text.length * LETTER_PX);
}

/** Returns `text` cut to about `roomPx`, with an ellipsis where it was cut. */
export function fitted(text: string, roomPx: number): string {
  if (textRoomPx(text) <= roomPx) return text;
  return `${text.slice(0, Math.max(1, Math.floor(roomPx / LETTER_PX) - 1)).trimEnd()}…`;
}

/** Returns the labels moved apart along `y` so that none lies on another, between 0 and `most`, in ascending order. */
export function spread<T extends { readonly y: number }>(labels: readonly T[], least: number, most: number): T[] {
  const sorted = [...labels].sort((a, b) => a.y - b.y);
  let below = -least;
  const raised = sorted.map((label) => {
    below = Math.max(label.y, below + least);
    return { ...label, y: below };
  });
  let above = most + least;
  return raised
    .reverse()
    .map((label) => {
      above = Math.min(label.y, above - least);
      return { ...label, y: above };
    })
    .reverse();
}
