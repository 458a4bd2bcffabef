import { drawnOn } from './canvas-recorder.ts';
import type { Drawn } from './canvas-recorder.ts';

/** A line of the account: neighbours of one kind and height stand on one line. */
interface Row {
  readonly head: string;
  readonly tail: string;
}

const SHAPES = 'path, rect, circle, ellipse, line, polyline, polygon';

/**
 * Returns what is drawn in an element as text that can be read in a difference: every text with its place, boxes and how far paths reach.
 * Units    CSS px from the top left of the page, rounded; those of a canvas from its own corner.
 * Shape    in the order of drawing; `+N` after a place is a height, `a..b` an extent.
 */
export function geometryOf(root: Element): string {
  const lines: string[] = [];
  const colors = new Set<string>();
  let rows: Row[] = [];
  const flush = (): void => {
    for (let i = 0; i < rows.length;) {
      const { head } = rows[i] ?? { head: '' };
      const tails: string[] = [];
      for (; rows[i]?.head === head; i++) tails.push(rows[i]?.tail ?? '');
      lines.push(...wrapped(head, tails));
    }
    rows = [];
  };
  const walk = (node: Node): void => {
    if (node instanceof Text) {
      const words = node.data.replaceAll(/\s+/g, ' ').trim();
      const box = boxOf(node);
      if (words !== '' && box !== null && isSeen(node.parentElement)) rows.push({ head: `  words ${middle(box)}`, tail: `${whole(box.left)} ${JSON.stringify(words)}` });
      return;
    }
    if (!(node instanceof Element) || node.closest('defs, clipPath') !== null) return;
    if (node instanceof HTMLCanvasElement) {
      const box = node.getBoundingClientRect();
      flush();
      lines.push(`canvas ${nameOf(node)} ${whole(box.left)},${whole(box.top)} ${whole(box.width)}×${whole(box.height)}`);
      for (const drawn of drawnOn(node)) {
        colors.add(drawn.color);
        rows.push(rowOf(drawn));
      }
      flush();
      return;
    }
    if (node.matches(SHAPES)) {
      const box = node.getBoundingClientRect();
      const style = getComputedStyle(node);
      if (isSeen(node) && (box.width > 0 || box.height > 0)) {
        for (const paint of [style.fill, style.stroke]) if (paint !== 'none') colors.add(paint);
        rows.push({ head: `  ${node.localName} ${whole(box.top)}+${whole(box.height)}`, tail: `${whole(box.left)}..${whole(box.right)}` });
      }
      return;
    }
    // An element with nothing in it is there for its own look: a band, a line, a handle.
    if (node.childNodes.length === 0 && node instanceof HTMLElement) {
      const box = node.getBoundingClientRect();
      if (isSeen(node) && box.width > 0 && box.height > 0) rows.push({ head: `  blank ${nameOf(node)} ${whole(box.top)}+${whole(box.height)}`, tail: `${whole(box.left)}..${whole(box.right)}` });
    }
    for (const child of node.childNodes) walk(child);
  };
  walk(root);
  flush();
  return [...lines, `colours ${[...colors].map(plainColor).sort().filter((color, i, all) => all.indexOf(color) === i).join(' ')}`, ''].join('\n');
}

function rowOf({ op, leftPx, topPx, rightPx, bottomPx, text }: Drawn): Row {
  if (op === 'text') return { head: `  text ${whole((topPx + bottomPx) / 2)}`, tail: `${whole(leftPx)} ${JSON.stringify(text)}` };
  return { head: `  ${op} ${whole(topPx)}+${whole(bottomPx - topPx)}`, tail: `${whole(leftPx)}..${whole(rightPx)}` };
}

/** A line of more than this many characters goes on in the next: a difference then shows the part that changed. */
const LINE_LENGTH = 160;

function wrapped(head: string, tails: readonly string[]): string[] {
  const lines: string[] = [];
  let line = head;
  for (const tail of tails) {
    if (line !== head && line.length + tail.length > LINE_LENGTH) {
      lines.push(line);
      line = head;
    }
    line = `${line}${line === head ? '  ' : ' · '}${tail}`;
  }
  return [...lines, line];
}

function boxOf(text: Text): DOMRect | null {
  const range = document.createRange();
  range.selectNodeContents(text);
  const box = range.getBoundingClientRect();
  return box.width > 0 && box.height > 0 ? box : null;
}

function isSeen(element: Element | null): boolean {
  return element !== null && element.closest('.tl-unseen, .visually-hidden') === null && element.checkVisibility({ visibilityProperty: true });
}

function middle(box: DOMRect): number {
  return whole(box.top + box.height / 2);
}

/** Rounds with a bias that no half falls on: coordinates of strokes lie on halves by design. */
function whole(value: number): number {
  return Math.round(value + 0.01) || 0;
}

function nameOf(element: Element): string {
  return element.getAttribute('class')?.split(' ')[0] ?? element.localName;
}

function plainColor(color: string): string {
  return color.replaceAll(' ', '');
}
