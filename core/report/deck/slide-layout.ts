import { SLIDE_SIZE, type DeckSlide } from '../../model/deck.ts';
import type { ReportBlock, ReportFigure, ReportTable } from '../../model/report-document.ts';
import { shareWidths } from '../document/share-widths.ts';
import { unbroken } from '../../base/unbroken.ts';

/** Where the parts of a slide stand, pt from its upper left corner. */
export const SLIDE_FRAME = {
  side: 36,
  header: { y: 12, height: 16, size: 11 },
  part: { y: 34, height: 16, size: 12 },
  title: { y: 50, height: 36, size: 26 },
  body: { y: 96, bottom: 506 },
  footer: { y: 516, height: 14, size: 9 },
} as const;
const BODY_WIDTH = SLIDE_SIZE.width - 2 * SLIDE_FRAME.side;
const BODY_HEIGHT = SLIDE_FRAME.body.bottom - SLIDE_FRAME.body.y;

/** Sizes of type on a slide, pt: what is read from the last row is 16 and more, what is looked up is less. */
const SLIDE_TYPE = { lead: 20, text: 17, soft: 12, heading: 18, facts: 14, table: 12.5, caption: 11, note: 11 } as const;
const LINE = 1.25;
const GAP = 8;
const CAPTION_GAP = 3;
const CELL_PADDING = { x: 10, y: 5 };
/**
 * Pictures of slides are made so wide, pt of their own, and fill the width: their smallest words are 12.7 pt then, whose capitals are a sixtieth
 * of the height of the slide. From six heights of the screen away that is 10 minutes of arc, twice what normal sight needs (derived).
 */
export const PICTURE_WIDTH = 420;
const PICTURE_SCALE = BODY_WIDTH / PICTURE_WIDTH;
/** Lines that a caption may take before the picture above it gives way. */
const CAPTION_LINES = 3;

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** A part of a slide in its place. */
export type PlacedPart =
  | (Box & { readonly kind: 'text'; readonly role: 'heading' | 'paragraph' | 'caption' | 'note'; readonly text: string; readonly size: number; readonly isBold: boolean; readonly isSoft: boolean })
  | (Box & { readonly kind: 'list'; readonly items: readonly string[]; readonly isNumbered: boolean; readonly size: number })
  | (Box & { readonly kind: 'facts'; readonly rows: readonly (readonly [string, string])[]; readonly size: number })
  | (Box & { readonly kind: 'table'; readonly table: ReportTable; readonly widths: readonly number[]; readonly rowHeights: readonly number[]; readonly size: number })
  | (Box & { readonly kind: 'figure'; readonly figure: ReportFigure });

/**
 * Narrow and wide signs of the usual faces without serifs, em; an estimate on the wide side, so that nothing overflows in either writer:
 * none is less than in the metrics of the common face (capitals to 0.722, G, O and Q 0.778, M 0.833, W 0.944, the sign of percent 0.889;
 * from memory).
 */
function signWidth(sign: string): number {
  if (/[ijl.,:;|!'’()[\]ftI]/u.test(sign)) return 0.34;
  if (/[W%@—→]/u.test(sign)) return sign === 'W' || sign === '%' ? 0.95 : 1.02;
  if (/[mwM]/u.test(sign)) return 0.86;
  if (/[GOQÖ]/u.test(sign)) return 0.78;
  if (/[A-ZÄÜ]/u.test(sign)) return 0.73;
  if (/[0-9+<>=]/u.test(sign)) return 0.64;
  return sign === ' ' || sign === '\u00a0' ? 0.3 : 0.56;
}

/** Returns the width of a text, pt, estimated on the wide side. */
export function textWidth(text: string, size: number, isBold = false): number {
  let em = 0;
  for (const sign of text) em += signWidth(sign);
  return em * size * (isBold ? 1.17 : 1);
}

/** Returns how many lines a text takes in a width. */
export function lineCount(text: string, size: number, width: number, isBold = false): number {
  let lines = 0;
  for (const paragraph of unbroken(text).split('\n')) {
    let at = 0;
    lines += 1;
    for (const word of paragraph.split(/(?<= )/u)) {
      const own = textWidth(word, size, isBold);
      if (at > 0 && at + textWidth(word.trimEnd(), size, isBold) > width) {
        lines += 1;
        at = 0;
      }
      // A word that is wider than the column is broken.
      lines += Math.floor(own / width);
      at += own % width;
    }
  }
  return lines;
}

function textHeight(text: string, size: number, width: number, isBold = false): number {
  return lineCount(text, size, width, isBold) * size * LINE;
}

function columnWidths({ columns, rows }: Pick<ReportTable, 'columns' | 'rows'>, size: number): number[] {
  const widest = (texts: readonly string[], isBold = false): number => Math.max(0, ...texts.map((text) => textWidth(text, size, isBold)));
  const wanted = columns.map(({ heading }, i) => {
    const cells = rows.map((row) => unbroken(row[i] ?? ''));
    const least = Math.max(widest(heading.split(' '), true), widest(cells.flatMap((text) => text.split(' ')))) + 2 * CELL_PADDING.x;
    return { least, full: Math.max(least, widest(cells) + 2 * CELL_PADDING.x), withHeading: widest([heading], true) + 2 * CELL_PADDING.x };
  });
  // Headings stay on one line only where no cell has to give way for them.
  const roomy = wanted.map(({ least, full, withHeading }) => ({ least, full: Math.max(full, withHeading) }));
  return shareWidths(roomy.reduce((sum, { full }) => sum + full, 0) <= BODY_WIDTH ? roomy : wanted, BODY_WIDTH, () => 1.5);
}

function tableRows(table: ReportTable, widths: readonly number[], size: number): number[] {
  const height = (cells: readonly string[], isBold: boolean): number => Math.max(...cells.map((text, i) => textHeight(text === '' ? ' ' : text, size, (widths[i] ?? 0) - 2 * CELL_PADDING.x, isBold))) + 2 * CELL_PADDING.y;
  return [height(table.columns.map(({ heading }) => heading), true), ...table.rows.map((row) => height(row, false))];
}

/** Returns the height that is left for a picture with its caption below blocks, in pt of the picture itself. */
export function pictureRoom(blocks: readonly ReportBlock[]): number {
  const taken = blocks.reduce((sum, block) => sum + blockHeight(block), 0);
  return Math.floor((BODY_HEIGHT - taken - CAPTION_LINES * SLIDE_TYPE.caption * LINE - GAP - CAPTION_GAP) / PICTURE_SCALE);
}

/** Returns the height of a picture that fills the width; one that is higher than a slide is made smaller. */
function figureHeight({ scene, caption }: ReportFigure): number {
  return Math.min(BODY_HEIGHT - textHeight(caption, SLIDE_TYPE.caption, BODY_WIDTH) - GAP, (scene.height * BODY_WIDTH) / scene.width + CAPTION_GAP);
}

/** Returns the height that a block takes, pt. */
function blockHeight(block: ReportBlock): number {
  switch (block.kind) {
    case 'heading':
      return textHeight(block.text, SLIDE_TYPE.heading, BODY_WIDTH, true) + GAP;
    case 'paragraph':
      return textHeight(block.text, paragraphSize(block), BODY_WIDTH) + GAP;
    case 'list':
      return block.items.reduce((sum, text) => sum + textHeight(text, SLIDE_TYPE.text, BODY_WIDTH - 28) + 4, 0) + GAP;
    case 'facts':
      return block.rows.reduce((sum, [name, text]) => sum + textHeight(`${name}: ${text}`, SLIDE_TYPE.facts, BODY_WIDTH) + 4, 0) + GAP;
    case 'table':
      return tableHeight(block.table) + GAP;
    case 'figure':
      return figureHeight(block.figure) + textHeight(block.figure.caption, SLIDE_TYPE.caption, BODY_WIDTH) + GAP;
  }
}

/** How much larger words may be that have a slide to themselves, the largest first. */
const WORDS_SCALES = [1.4, 1.2] as const;

/** Returns how much larger the words of a slide are written than beside a picture: a slide of few words fills more of itself, and is read from farther away. */
export function wordsScale(blocks: readonly ReportBlock[]): number {
  const words = blocks.flatMap((block) => (block.kind === 'paragraph' ? [block] : []));
  if (words.length < blocks.length) return 1;
  return WORDS_SCALES.find((scale) => words.reduce((sum, block) => sum + textHeight(block.text, paragraphSize(block) * scale, BODY_WIDTH) + GAP, 0) <= BODY_HEIGHT) ?? 1;
}

function paragraphSize({ tone }: Extract<ReportBlock, { readonly kind: 'paragraph' }>): number {
  return tone === 'lead' ? SLIDE_TYPE.lead : tone === 'soft' ? SLIDE_TYPE.soft : SLIDE_TYPE.text;
}

function tableHeight(table: ReportTable): number {
  const widths = columnWidths(table, SLIDE_TYPE.table);
  const caption = textHeight(table.caption, SLIDE_TYPE.table, BODY_WIDTH, true) + 3;
  return caption + tableRows(table, widths, SLIDE_TYPE.table).reduce((sum, one) => sum + one, 0) + (table.note === '' ? 0 : textHeight(table.note, SLIDE_TYPE.note, BODY_WIDTH) + 4);
}

/**
 * Returns where everything of a slide stands. Both writers of slides take it as it is, so that a page of the one is a slide of the other.
 * Shape   in reading order, from top to bottom.
 */
export function layOutSlide({ blocks }: Pick<DeckSlide, 'blocks'>): readonly PlacedPart[] {
  const parts: PlacedPart[] = [];
  const larger = wordsScale(blocks);
  const x = SLIDE_FRAME.side;
  let y: number = SLIDE_FRAME.body.y;
  const text = (role: 'heading' | 'paragraph' | 'caption' | 'note', words: string, size: number, { isBold = false, isSoft = false } = {}): void => {
    const height = textHeight(words, size, BODY_WIDTH, isBold);
    parts.push({ kind: 'text', role, text: words, size, isBold, isSoft, x, y, width: BODY_WIDTH, height });
    y += height;
  };
  for (const block of blocks) {
    switch (block.kind) {
      case 'heading':
        text('heading', block.text, SLIDE_TYPE.heading, { isBold: true });
        break;
      case 'paragraph':
        text('paragraph', block.text, paragraphSize(block) * larger, { isSoft: block.tone === 'soft' });
        break;
      case 'list': {
        const height = blockHeight(block) - GAP;
        parts.push({ kind: 'list', items: block.items, isNumbered: block.isNumbered, size: SLIDE_TYPE.text, x, y, width: BODY_WIDTH, height });
        y += height;
        break;
      }
      case 'facts': {
        const height = blockHeight(block) - GAP;
        parts.push({ kind: 'facts', rows: block.rows, size: SLIDE_TYPE.facts, x, y, width: BODY_WIDTH, height });
        y += height;
        break;
      }
      case 'table': {
        const { table } = block;
        const widths = columnWidths(table, SLIDE_TYPE.table);
        const rowHeights = tableRows(table, widths, SLIDE_TYPE.table);
        text('heading', table.caption, SLIDE_TYPE.table, { isBold: true });
        y += 3;
        const height = rowHeights.reduce((sum, one) => sum + one, 0);
        parts.push({ kind: 'table', table, widths, rowHeights, size: SLIDE_TYPE.table, x, y, width: widths.reduce((sum, one) => sum + one, 0), height });
        y += height;
        if (table.note !== '') {
          y += 4;
          text('note', table.note, SLIDE_TYPE.note, { isSoft: true });
        }
        break;
      }
      case 'figure': {
        const { scene } = block.figure;
        const scale = Math.min(BODY_WIDTH / scene.width, (figureHeight(block.figure) - CAPTION_GAP) / scene.height);
        parts.push({ kind: 'figure', figure: block.figure, x, y, width: scene.width * scale, height: scene.height * scale });
        y += scene.height * scale + CAPTION_GAP;
        text('caption', block.figure.caption, SLIDE_TYPE.caption, { isSoft: true });
        break;
      }
    }
    y += GAP;
  }
  return parts;
}

/**
 * Returns a slide as so many slides as its blocks need: paragraphs and lists are divided between sentences and items, tables between rows.
 * Shape   a slide after the first bears `, continued` behind its title; nothing is left out and nothing is repeated but the head of a table.
 */
export function dividedSlide(slide: DeckSlide): DeckSlide[] {
  const pages: ReportBlock[][] = [[]];
  let room = BODY_HEIGHT;
  const put = (block: ReportBlock): void => {
    pages.at(-1)?.push(block);
    room -= blockHeight(block);
  };
  const turn = (): void => {
    if (pages.at(-1)?.length === 0) return;
    pages.push([]);
    room = BODY_HEIGHT;
  };
  const queue: ReportBlock[] = slide.blocks
    .flatMap((block): ReportBlock[] => (block.kind === 'figure' && block.table !== null ? [{ ...block, table: null }, { kind: 'table', table: block.table }] : [block]))
    .flatMap((block): ReportBlock[] => (block.kind === 'table' && isLongNote(block.table) ? [{ kind: 'table', table: { ...block.table, note: '' } }, { kind: 'paragraph', tone: 'soft', text: block.table.note }] : [block]));
  for (let block = queue.shift(); block !== undefined; block = queue.shift()) {
    if (blockHeight(block) <= room) {
      put(block);
      continue;
    }
    const [first, rest] = halves(block, room);
    if (first !== null) put(first);
    if (rest === null) continue;
    if (first === null && pages.at(-1)?.length === 0) put(rest); // it fits nowhere better
    else {
      turn();
      queue.unshift(rest);
    }
  }
  return pages.filter((blocks, i) => i === 0 || blocks.length > 0).map((blocks, i) => (i === 0 ? { ...slide, blocks } : { ...slide, slideId: `${slide.slideId}-${i + 1}`, title: `${slide.title}, continued`, blocks, notes: '' }));
}

/** A note stays with the last row of its table; one that fills much of a slide goes on by itself, where it can be divided. */
function isLongNote({ note }: ReportTable): boolean {
  return textHeight(note, SLIDE_TYPE.note, BODY_WIDTH) > BODY_HEIGHT / 4;
}

/** Returns what of a block fits in a height, and the rest; null for nothing. */
function halves(block: ReportBlock, room: number): readonly [ReportBlock | null, ReportBlock | null] {
  const divide = <T>(parts: readonly T[], made: (some: readonly T[]) => ReportBlock): readonly [ReportBlock | null, ReportBlock | null] => {
    let count = parts.length;
    while (count > 0 && blockHeight(made(parts.slice(0, count))) > room) count -= 1;
    if (count === 0 && parts.length <= 1) return [null, block];
    return [count === 0 ? null : made(parts.slice(0, count)), count === parts.length ? null : made(parts.slice(count))];
  };
  switch (block.kind) {
    case 'paragraph': {
      const sentences = block.text.split(/(?<=[.!?…]) +|(?<=\n)/u);
      const words = block.text.split(' ');
      // A sentence that fills a slide by itself is divided between words, a word that does between its signs.
      const isLong = (part: string | undefined): boolean => blockHeight({ ...block, text: part ?? '' }) > Math.min(room, BODY_HEIGHT) && room >= BODY_HEIGHT;
      if (isLong(words[0])) return divide([...block.text], (some) => ({ ...block, text: some.join('') }));
      return divide(isLong(sentences[0]) ? words : sentences, (some) => ({ ...block, text: some.join(' ').replace(/\n /gu, '\n').trim() }));
    }
    case 'list':
      return divide(block.items, (items) => ({ ...block, items }));
    case 'facts':
      return divide(block.rows, (rows) => ({ ...block, rows }));
    case 'table':
      return block.table.rows.length < 2 ? [null, block] : divide(block.table.rows, (rows) => ({ ...block, table: { ...block.table, rows, note: rows.at(-1) === block.table.rows.at(-1) ? block.table.note : '' } }));
    case 'heading':
    case 'figure':
      return [null, block];
  }
}
