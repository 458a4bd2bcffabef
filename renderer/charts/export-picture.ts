import { HIT_CLASS } from './chart-marks.ts';
import type { DrawChart } from './chart-types.ts';
import { drawPicture } from './plot-svg.ts';

const SVG = 'http://www.w3.org/2000/svg';
const WIDTH_PX = 960;
const MARGIN_PX = 24;
/** What a shape looks like, with what it is without being said; read as the page has it and written out, since a file has no style sheet. */
const LOOKS = [
  ['fill', ''], ['fill-opacity', '1'], ['stroke', ''], ['stroke-opacity', '1'], ['stroke-width', '1px'], ['stroke-dasharray', 'none'], ['stroke-linecap', 'butt'], ['stroke-linejoin', 'miter'], ['opacity', '1'],
] as const;
const TEXT_LOOKS = [['font-family', ''], ['font-size', ''], ['font-style', 'normal'], ['font-weight', '400'], ['text-anchor', 'start'], ['paint-order', 'normal']] as const;
const SHAPES = 'path, line, rect, circle, text';

/** What goes into a file of a picture beside the picture: nothing of it is left to memory. */
export interface PictureWords {
  readonly title: string;
  readonly description: string;
  /** Definition, cautions, method of the interval: each its own paragraph. */
  readonly notes: readonly string[];
}

/**
 * Returns the picture as it goes into a file: of a fixed width, in the bright theme whatever the screen shows, with title,
 * description and notes written into it, every shape with its own attributes and its own place.
 */
export function exportPicture(draw: DrawChart, words: PictureWords): SVGSVGElement {
  const root = document.documentElement;
  const theme = root.dataset['theme'];
  const bench = document.createElement('div');
  bench.className = 'chart-bench';
  // Nothing is shown in between: the theme is back before the page is painted.
  root.dataset['theme'] = 'light';
  try {
    const inner = WIDTH_PX - 2 * MARGIN_PX;
    const picture = drawPicture(draw(inner), words.title);
    document.body.append(bench);
    bench.append(picture);
    const out = document.createElementNS(SVG, 'svg');
    const page = getComputedStyle(root);
    const ink = page.getPropertyValue('--ink').trim();
    const soft = page.getPropertyValue('--ink-soft').trim();
    const family = getComputedStyle(picture).fontFamily;
    const title = paragraph(words.title, { sizePx: 17, weight: 600, color: ink, family, topPx: MARGIN_PX });
    const description = paragraph(words.description, { sizePx: 13, weight: 400, color: soft, family, topPx: title.bottomPx + 4 });
    const pictureTop = description.bottomPx + 10;
    const pictureHeight = Number(picture.getAttribute('height'));
    let bottom = pictureTop + pictureHeight + 12;
    const notes = words.notes.flatMap((note) => {
      const lines = paragraph(note, { sizePx: 12, weight: 400, color: soft, family, topPx: bottom });
      bottom = lines.bottomPx + 4;
      return lines.elements;
    });
    const height = Math.ceil(bottom + MARGIN_PX - 4);
    for (const [name, value] of [['xmlns', SVG], ['width', WIDTH_PX], ['height', height], ['viewBox', `0 0 ${WIDTH_PX} ${height}`], ['role', 'img'], ['aria-label', words.title]] as const) out.setAttribute(name, String(value));
    const ground = document.createElementNS(SVG, 'rect');
    for (const [name, value] of [['width', WIDTH_PX], ['height', height], ['fill', page.getPropertyValue('--panel').trim()], ['stroke', 'none']] as const) ground.setAttribute(name, String(value));
    out.append(ground, ...title.elements, ...description.elements, ...shapesOf(picture, MARGIN_PX, pictureTop), ...notes);
    return out;
  } finally {
    bench.remove();
    if (theme === undefined) delete root.dataset['theme'];
    else root.dataset['theme'] = theme;
  }
}

/** Returns every shape of a picture that is in the page, alone, moved by the given px. */
function shapesOf(picture: SVGSVGElement, byX: number, byY: number): SVGElement[] {
  return [...picture.querySelectorAll<SVGGraphicsElement>(SHAPES)].flatMap((shape) => {
    if (shape.closest(`.${HIT_CLASS}`) !== null) return [];
    const at = shape.getCTM();
    if (at === null) return [];
    const copy = document.createElementNS(SVG, shape.localName);
    for (const { name, value } of shape.attributes) if (/^(d|x|y|x1|x2|y1|y2|cx|cy|r|rx|ry|width|height)$/.test(name)) copy.setAttribute(name, value);
    copy.setAttribute('transform', `matrix(${at.a} ${at.b} ${at.c} ${at.d} ${at.e + byX} ${at.f + byY})`);
    const style = getComputedStyle(shape);
    for (const [look, unsaid] of shape.localName === 'text' ? [...LOOKS, ...TEXT_LOOKS] : LOOKS) {
      const value = style.getPropertyValue(look);
      if (value !== unsaid) copy.setAttribute(look, value);
    }
    if (shape.localName === 'text') {
      // "0.32em" becomes px: not every reader of the file has the same notion of an em.
      copy.setAttribute('y', String(lengthPx(shape.getAttribute('y'), Number.parseFloat(style.fontSize))));
      copy.textContent = [...shape.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE).map((node) => node.textContent).join('');
      if (copy.textContent === '') return [];
    }
    return [copy];
  });
}

function lengthPx(length: string | null, emPx: number): number {
  if (length === null) return 0;
  const value = Number.parseFloat(length);
  return Number.isFinite(value) ? (length.endsWith('em') ? value * emPx : value) : 0;
}

interface ParagraphLook {
  readonly sizePx: number;
  readonly weight: number;
  readonly color: string;
  readonly family: string;
  readonly topPx: number;
}

/** Returns a text in lines that fit the file, as elements, and where it ends. */
function paragraph(text: string, look: ParagraphLook): { readonly elements: SVGElement[]; readonly bottomPx: number } {
  const lines = text === '' ? [] : wrapped(text, WIDTH_PX - 2 * MARGIN_PX, measureIn(`${look.weight} ${look.sizePx}px ${look.family}`));
  const stepPx = look.sizePx * 1.35;
  const elements = lines.map((line, i) => {
    const element = document.createElementNS(SVG, 'text');
    const attributes = [
      ['x', MARGIN_PX], ['y', (look.topPx + look.sizePx + i * stepPx).toFixed(1)], ['fill', look.color], ['stroke', 'none'],
      ['font-family', look.family], ['font-size', `${look.sizePx}px`], ['font-weight', look.weight], ['text-anchor', 'start'],
    ] as const;
    for (const [name, value] of attributes) element.setAttribute(name, String(value));
    element.textContent = line;
    return element;
  });
  return { elements, bottomPx: look.topPx + lines.length * stepPx };
}

function measureIn(font: string): (text: string) => number {
  const context = document.createElement('canvas').getContext('2d');
  if (context === null) return (text) => text.length * 7;
  context.font = font;
  return (text) => context.measureText(text).width;
}

/** Returns `text` in lines of at most `mostPx`, broken between words; a longer word stands alone. */
export function wrapped(text: string, mostPx: number, measure: (text: string) => number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/).filter((part) => part !== '')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && measure(longer) > mostPx) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return line === '' ? lines : [...lines, line];
}

/** Returns the text of a picture's file. */
export function svgText(picture: SVGSVGElement): string {
  return `<?xml version="1.0" encoding="UTF-8"?>\n${new XMLSerializer().serializeToString(picture)}\n`;
}
