import type { Deck } from '../../model/deck.ts';
import type { ReportFigure, Scene } from '../../model/report-document.ts';
import { escapeText } from '../document/escape-text.ts';
import { label, roughWidth, rounded } from '../document/plot-frame.ts';
import { sceneSvg } from '../document/scene-svg.ts';

/** A picture of a deck with what belongs to it. */
export interface DeckPicture {
  readonly title: string;
  readonly figure: ReportFigure;
}

/** Returns the pictures of slides in their order. */
export function deckPictures({ slides }: Pick<Deck, 'slides'>): readonly DeckPicture[] {
  return slides.flatMap(({ title, blocks }) => blocks.flatMap((block) => (block.kind === 'figure' ? [{ title, figure: block.figure }] : [])));
}

const MARGIN = 10;
const LINE = 9;

/** Returns lines of a text that fit in a width. */
function wrapped(text: string, size: number, width: number): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/u)) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (line !== '' && roughWidth(longer, size) > width) {
      lines.push(line);
      line = word;
    } else line = longer;
  }
  return line === '' ? lines : [...lines, line];
}

/**
 * Returns a picture as it leaves by itself: with the confidentiality text above it, its title, what has to be known of it, and where it
 * comes from below. White behind it, so that it can be put anywhere.
 */
function standAloneScene({ title, figure }: DeckPicture, { header, footer }: Pick<Deck, 'header' | 'footer'>): Scene {
  const { scene, caption } = figure;
  const width = scene.width + 2 * MARGIN;
  const shapes: Scene['shapes'][number][] = [];
  let y = MARGIN;
  if (header !== '') {
    shapes.push(label(width / 2, (y += 6), header, { size: 6.5, ink: 'ink', align: 'middle', isBold: true }));
    y += 4;
  }
  for (const text of wrapped(title, 10, scene.width)) shapes.push(label(MARGIN, (y += 11), text, { size: 10, ink: 'ink', isBold: true }));
  y += 6;
  const top = y;
  shapes.push(...scene.shapes.map((shape) => moved(shape, MARGIN, top)));
  y += scene.height + 2;
  for (const text of wrapped(caption, 6, scene.width)) shapes.push(label(MARGIN, (y += LINE - 1), text, { size: 6 }));
  for (const text of wrapped(footer, 5.5, scene.width)) shapes.push(label(MARGIN, (y += LINE), text, { size: 5.5 }));
  const height = rounded(y + MARGIN);
  return { width, height, shapes: [{ kind: 'area', points: [[0, 0], [width, 0], [width, height], [0, height]], fill: 'paper' }, ...shapes] };
}

function moved(shape: Scene['shapes'][number], dx: number, dy: number): Scene['shapes'][number] {
  if (shape.kind === 'line' || shape.kind === 'area') return { ...shape, points: shape.points.map(([x, y]) => [rounded(x + dx), rounded(y + dy)] as const) };
  return { ...shape, x: rounded(shape.x + dx), y: rounded(shape.y + dy) };
}

/** Returns a picture as one SVG file with its title and its words for whoever cannot see it; it needs nothing from outside. */
export function pictureSvg(picture: DeckPicture, deck: Pick<Deck, 'header' | 'footer'>): string {
  const scene = standAloneScene(picture, deck);
  const svg = sceneSvg(scene, picture.figure.alternative);
  // Put in by a function: in a text that replaces, “$” and what follows it would be signs of their own.
  return `<?xml version="1.0" encoding="UTF-8"?>\n${svg.replace('>', () => ` width="${scene.width * 2}" height="${scene.height * 2}"><title>${escapeText(picture.title)}</title><desc>${escapeText(picture.figure.alternative)}</desc>`)}\n`;
}
