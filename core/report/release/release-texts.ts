import type { Deck } from '../../model/deck.ts';
import type { ReleaseContent } from '../../model/release.ts';
import type { ReportBlock, ReportDocument, ReportFigure, ReportTable } from '../../model/report-document.ts';

/** Gives what stands in the place of a text; `place` says in words where the text stands. */
export type ChangeText = (text: string, place: string) => string;

/** Where a report says of which case, or of which cases, it is. */
const SUBTITLE_PLACE = 'line below the title';

/** Returns whether a place is that line, of a report or of one of several sheets. */
export function isSubtitlePlace(place: string): boolean {
  return place === SUBTITLE_PLACE || /^sheet \d+: line below the title$/u.test(place);
}

/**
 * Returns the same content with every text of it changed. It is the only walk over what leaves: the list of words and the answers to
 * it go through here both, so that no text can be in one and not in the other. Inks, sizes and names of slides are no texts.
 */
export function mapContentTexts(content: ReleaseContent, change: ChangeText): ReleaseContent {
  switch (content.kind) {
    case 'deck':
      return { kind: 'deck', deck: mapDeckTexts(content.deck, change) };
    case 'report':
      return { kind: 'report', document: mapReportTexts(content.document, change) };
    case 'sheets': {
      const { title, documents } = content.sheets;
      return { kind: 'sheets', sheets: { title: change(title, 'title of the sheets'), documents: documents.map((document, i) => mapReportTexts(document, (text, place) => change(text, `sheet ${i + 1}: ${place}`))) } };
    }
  }
}

function mapDeckTexts(deck: Deck, change: ChangeText): Deck {
  return {
    ...deck,
    title: change(deck.title, 'title of the slides'),
    header: change(deck.header, 'head of each slide'),
    footer: change(deck.footer, 'foot of each slide'),
    slides: deck.slides.map((slide, i) => {
      const place = `slide ${i + 1}`;
      return { ...slide, part: change(slide.part, place), title: change(slide.title, place), blocks: slide.blocks.map((block) => mapBlockTexts(block, change, place)), notes: change(slide.notes, `notes of ${place}`) };
    }),
  };
}

function mapReportTexts(document: ReportDocument, change: ChangeText): ReportDocument {
  let part = 'beginning';
  return {
    ...document,
    title: change(document.title, 'title'),
    subtitle: change(document.subtitle, SUBTITLE_PLACE),
    header: change(document.header, 'head of each page'),
    footer: change(document.footer, 'foot of each page'),
    blocks: document.blocks.map((block) => {
      if (block.kind === 'heading') part = block.text;
      return mapBlockTexts(block, change, part);
    }),
  };
}

function mapBlockTexts(block: ReportBlock, change: ChangeText, place: string): ReportBlock {
  switch (block.kind) {
    case 'heading':
    case 'paragraph':
      return { ...block, text: change(block.text, place) };
    case 'list':
      return { ...block, items: block.items.map((text) => change(text, place)) };
    case 'facts':
      return { ...block, rows: block.rows.map(([name, text]) => [change(name, place), change(text, place)] as const) };
    case 'table':
      return { ...block, table: mapTableTexts(block.table, change, place) };
    case 'figure':
      return { ...block, figure: mapFigureTexts(block.figure, change, place), table: block.table === null ? null : mapTableTexts(block.table, change, place) };
  }
}

function mapTableTexts({ caption, columns, rows, note }: ReportTable, change: ChangeText, place: string): ReportTable {
  return {
    caption: change(caption, place),
    columns: columns.map((column) => ({ ...column, heading: change(column.heading, place) })),
    rows: rows.map((row) => row.map((text) => change(text, place))),
    note: change(note, place),
  };
}

function mapFigureTexts({ caption, alternative, scene }: ReportFigure, change: ChangeText, place: string): ReportFigure {
  return {
    caption: change(caption, place),
    alternative: change(alternative, `words for the picture, ${place}`),
    scene: { ...scene, shapes: scene.shapes.map((shape) => (shape.kind === 'text' ? { ...shape, text: change(shape.text, `in the picture, ${place}`) } : shape)) },
  };
}
