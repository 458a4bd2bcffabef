import type { Paper, ReportBlock, ReportDocument, ReportTable, Scene } from '../model/report-document.ts';
import { INKS, PAPERS } from '../model/report-document.ts';
import { shareWidths } from '../report/document/share-widths.ts';
import { unbroken } from '../base/unbroken.ts';
import { openPdf, type WrittenPdf } from './pdf-file.ts';
import { drawScene } from './pdf-scene.ts';
import type { ReportFonts } from './report-fonts.ts';

/** Pt from the edge of the paper; the foot holds footer and page number. */
const MARGIN = { side: 36, top: 34, bottom: 40 };

interface Sizes {
  readonly text: number;
  readonly soft: number;
  readonly facts: number;
  readonly table: number;
  readonly gap: number;
}
const SIZES: Readonly<Record<'dense' | 'open', Sizes>> = { dense: { text: 7.4, soft: 6.2, facts: 7, table: 6.6, gap: 4 }, open: { text: 9, soft: 7.8, facts: 9, table: 7.6, gap: 7 } };

/** Everything that the parts of one PDF are written with. */
interface Writing {
  readonly pdf: PDFKit.PDFDocument;
  readonly sizes: Sizes;
  readonly left: number;
  readonly width: number;
  readonly bottom: number;
  /** Text as the font can show it. */
  readonly shown: (text: string) => string;
  readonly root: PDFKit.PDFStructureElement;
}

/** Reports in one file, with the pages of each. */
export interface WrittenPdfs extends WrittenPdf {
  readonly pagesOf: readonly number[];
}

/** Returns a report as PDF; see `reportsPdf`. */
export async function reportPdf(document: ReportDocument, fonts: ReportFonts): Promise<WrittenPdf> {
  return await reportsPdf(`${document.title}: ${document.subtitle}`, [document], fonts);
}

/**
 * Returns reports as one PDF, each beginning on a page of its own and with its own foot: text that can be selected and searched, fonts embedded, language and structure marked for who has it read out.
 * Shape   the same document gives the same bytes: there is no date of making and no chance in it.
 */
export async function reportsPdf(title: string, documents: readonly ReportDocument[], fonts: ReportFonts): Promise<WrittenPdfs> {
  const [first] = documents;
  if (first === undefined) throw new Error('there is nothing to write');
  const paper = PAPERS[first.paper];
  const margins = { top: MARGIN.top, bottom: MARGIN.bottom, left: MARGIN.side, right: MARGIN.side };
  const { pdf, root, shown, finish } = openPdf({ ...paper, margins }, { title, language: first.language }, fonts);
  const pagesOf: number[] = [];
  let before = 0;
  for (const document of documents) {
    const writing: Writing = { pdf, sizes: SIZES[document.isDense ? 'dense' : 'open'], left: MARGIN.side, width: paper.width - 2 * MARGIN.side, bottom: paper.height - MARGIN.bottom, shown, root };
    pdf.addPage();
    writeDocument(writing, document);
    const pages = pdf.bufferedPageRange().count;
    pagesOf.push(pages - before);
    before = pages;
  }
  root.end();
  let page = 0;
  for (const [i, { header, footer }] of documents.entries()) {
    for (const last = page + (pagesOf[i] ?? 0); page < last; page++) writeEdges({ pdf, shown, width: paper.width - 2 * MARGIN.side }, { header, footer, paper, page, pages: before });
  }
  return { ...(await finish(before)), pagesOf };
}

function writeDocument(writing: Writing, document: ReportDocument): void {
  const { pdf } = writing;
  if (document.header !== '') pdf.y = MARGIN.top + 6;
  writeText(writing, 'H1', document.title, { size: document.isDense ? 13 : 17, isBold: true });
  writeText(writing, 'P', document.subtitle, { size: writing.sizes.text, ink: 'soft' });
  pdf.y += writing.sizes.gap;
  for (const [i, block] of document.blocks.entries()) writeBlock(writing, block, document.blocks.slice(i + 1));
}

/** Writes head and foot of a page. */
function writeEdges({ pdf, shown, width }: Pick<Writing, 'pdf' | 'shown' | 'width'>, { header, footer, paper, page, pages }: Pick<ReportDocument, 'header' | 'footer'> & { readonly paper: (typeof PAPERS)[Paper]; readonly page: number; readonly pages: number }): void {
  pdf.switchToPage(page);
  pdf.page.margins.bottom = 0; // the foot lies below it
  pdf.markContent('Artifact', { type: 'Pagination' });
  if (header !== '') pdf.font('bold').fontSize(7.5).fillColor(INKS.ink).text(shown(header), MARGIN.side, 20, { width, align: 'center', lineBreak: true, height: 10, ellipsis: true });
  pdf.font('plain').fontSize(6).fillColor(INKS.soft);
  pdf.text(shown(footer), MARGIN.side, paper.height - 30, { width: width - 70, height: 8, ellipsis: true });
  pdf.text(`page ${page + 1} of ${pages}`, MARGIN.side, paper.height - 30, { width, align: 'right' });
  pdf.endMarkedContent();
}

interface TextLook {
  readonly size: number;
  readonly isBold?: boolean;
  readonly ink?: keyof typeof INKS;
  readonly indent?: number;
}

function writeText(writing: Writing, role: string, text: string, look: TextLook, parent: PDFKit.PDFStructureElement = writing.root): void {
  const { pdf, left, width, shown } = writing;
  const indent = look.indent ?? 0;
  pdf.font(look.isBold === true ? 'bold' : 'plain').fontSize(look.size);
  const words = shown(text);
  keepTogether(writing, Math.min(pdf.heightOfString(words, { width: width - indent }), 3 * look.size));
  const element = pdf.struct(role, {}, () => {
    pdf.font(look.isBold === true ? 'bold' : 'plain').fontSize(look.size).fillColor(INKS[look.ink ?? 'ink']);
    pdf.text(words, left + indent, pdf.y, { width: width - indent });
  });
  parent.add(element);
  element.end();
}

/** Begins a new page where fewer than `height` pt are left. */
function keepTogether({ pdf, bottom }: Writing, height: number): void {
  if (pdf.y + height > bottom && pdf.y > MARGIN.top + 1) pdf.addPage();
}

/** Returns the height that a heading must find below it: a heading never stands alone at the foot of a page. */
function followingHeight({ width }: Writing, next: readonly ReportBlock[]): number {
  let height = 0;
  for (const block of next) {
    if (block.kind === 'figure') return height + (block.figure.scene.height * width) / block.figure.scene.width + 24;
    if (block.kind === 'heading' || block.kind === 'paragraph') height += 26;
    else return height + 60;
  }
  return height;
}

function writeBlock(writing: Writing, block: ReportBlock, next: readonly ReportBlock[]): void {
  const { pdf, sizes, root } = writing;
  switch (block.kind) {
    case 'heading':
      pdf.y += sizes.gap * (block.level === 2 ? 1.2 : 0.5);
      keepTogether(writing, 20 + followingHeight(writing, next));
      writeText(writing, `H${block.level}`, block.text, { size: block.level === 2 ? sizes.text * 1.35 : sizes.text * 1.1, isBold: true });
      pdf.y += 2;
      break;
    case 'paragraph':
      writeText(writing, 'P', block.text, block.tone === 'soft' ? { size: sizes.soft, ink: 'soft' } : { size: block.tone === 'lead' ? sizes.text * 1.08 : sizes.text });
      pdf.y += sizes.gap * 0.6;
      break;
    case 'list': {
      const list = pdf.struct('L');
      root.add(list);
      for (const [i, text] of block.items.entries()) writeText(writing, 'LI', `${block.isNumbered ? `${i + 1}.` : '•'} ${text}`, { size: sizes.text, indent: 8 }, list);
      list.end();
      pdf.y += sizes.gap * 0.6;
      break;
    }
    case 'facts':
      for (const [name, text] of block.rows) writeText(writing, 'P', `${name}: ${text}`, { size: sizes.facts });
      pdf.y += sizes.gap * 0.6;
      break;
    case 'table':
      writeTable(writing, block.table);
      break;
    case 'figure':
      writeFigure(writing, block.figure.scene, block.figure.alternative, block.figure.caption);
      if (block.table !== null) writeTable(writing, block.table);
      break;
  }
}

function writeFigure(writing: Writing, scene: Scene, alternative: string, caption: string): void {
  const { pdf, left, width, sizes, shown, root } = writing;
  const scale = width / scene.width;
  const height = scene.height * scale;
  pdf.font('plain').fontSize(sizes.soft);
  keepTogether(writing, height + pdf.heightOfString(shown(caption), { width }) + 3);
  const y = pdf.y;
  const figure = pdf.struct('Figure', { alt: shown(alternative), ...({ bbox: [left, y, left + width, y + height] } as object) }, () => drawScene(pdf, scene, { x: left, y, scale }, shown)); // the types do not know `bbox`
  root.add(figure);
  figure.end();
  pdf.x = left;
  pdf.y = y + height + 2;
  writeText(writing, 'Caption', caption, { size: sizes.soft, ink: 'soft' });
  pdf.y += sizes.gap * 0.6;
}

const CELL_GAP = 7;

function writeTable(writing: Writing, { caption, columns, rows, note }: ReportTable): void {
  const { pdf, sizes, left, width, root, shown, bottom } = writing;
  const size = sizes.table;
  const widths = columnWidths(writing, { columns, rows });
  const total = widths.reduce((sum, one) => sum + one, 0);
  const heading = columns.map((column) => shown(column.heading));
  const texts = rows.map((row) => row.map(shown));
  const heightOf = (cells: readonly string[], font: 'plain' | 'bold'): number => {
    pdf.font(font).fontSize(size);
    return Math.max(...cells.map((text, i) => pdf.heightOfString(text === '' ? ' ' : text, { width: (widths[i] ?? 0) - CELL_GAP }))) + 2.2;
  };
  const table = pdf.struct('Table');
  root.add(table);
  const row = (cells: readonly string[], kind: 'head' | 'body' | 'head again'): void => {
    const font = kind === 'body' ? 'plain' : 'bold';
    const height = heightOf(cells, font);
    const y = pdf.y;
    const draw = (text: string, i: number): void => {
      pdf.font(font).fontSize(size).fillColor(kind === 'body' ? INKS.ink : INKS.soft);
      const x = left + widths.slice(0, i).reduce((sum, one) => sum + one, 0);
      pdf.text(text, x, y + 0.8, { width: (widths[i] ?? 0) - CELL_GAP, align: columns[i]?.align === 'end' ? 'right' : 'left' });
    };
    if (kind === 'head again') {
      pdf.markContent('Artifact', { type: 'Layout' });
      cells.forEach(draw);
      pdf.endMarkedContent();
    } else {
      const element = pdf.struct('TR');
      table.add(element);
      cells.forEach((text, i) => {
        const cell = pdf.struct(kind === 'head' || i === 0 ? 'TH' : 'TD', {}, () => draw(text, i));
        element.add(cell);
        cell.end();
      });
      element.end();
    }
    pdf.markContent('Artifact', { type: 'Layout' });
    pdf.moveTo(left, y + height).lineTo(left + total, y + height).lineWidth(kind === 'body' ? 0.3 : 0.6).strokeColor(kind === 'body' ? INKS.faint : INKS.rule).stroke();
    pdf.endMarkedContent();
    pdf.x = left;
    pdf.y = y + height;
  };
  const headHeight = heightOf(heading, 'bold');
  pdf.font('plain').fontSize(sizes.soft);
  const noteHeight = note === '' ? 0 : 2 + pdf.heightOfString(shown(note), { width });
  // Caption, headings and two rows belong together, and so do the last row and the note.
  keepTogether(writing, size * 2 + headHeight + texts.slice(0, 2).reduce((sum, cells) => sum + heightOf(cells, 'plain'), texts.length < 3 ? noteHeight : 0));
  writeText(writing, 'Caption', caption, { size: size + 0.4, isBold: true }, table);
  pdf.y += 1;
  row(heading, 'head');
  for (const [i, cells] of texts.entries()) {
    if (pdf.y + heightOf(cells, 'plain') + (i === texts.length - 1 ? noteHeight : 0) > bottom) {
      pdf.addPage();
      row(heading, 'head again');
    }
    row(cells, 'body');
  }
  table.end();
  if (note !== '') {
    pdf.y += 2;
    writeText(writing, 'P', note, { size: sizes.soft, ink: 'soft' });
  }
  pdf.y += sizes.gap;
}

/** Returns the widths of columns, as this font measures their words. */
function columnWidths({ pdf, sizes, width, shown }: Writing, { columns, rows }: Pick<ReportTable, 'columns' | 'rows'>): number[] {
  pdf.fontSize(sizes.table);
  const wanted = columns.map(({ heading }, i) => {
    // The space behind a word counts when lines are broken.
    const longest = (texts: readonly string[]): number => Math.max(0, ...texts.map((text) => pdf.widthOfString(`${shown(text)} `)));
    pdf.font('bold');
    // A heading may break between its words, and is no reason for a wide column.
    const head = longest(heading.split(' '));
    const wholeHead = longest([heading]);
    pdf.font('plain');
    const cells = rows.map((row) => unbroken(row[i] ?? ''));
    return { full: Math.max(head, longest(cells)) + CELL_GAP + 0.5, least: Math.max(head, longest(cells.flatMap((text) => text.split(' ')))) + CELL_GAP + 0.5, withHeading: wholeHead + CELL_GAP + 0.5 };
  });
  // Headings stay on one line only where no cell has to give way for them.
  const roomy = wanted.map(({ least, full, withHeading }) => ({ least, full: Math.max(full, withHeading) }));
  const wished = roomy.reduce((sum, { full }) => sum + full, 0) <= width ? roomy : wanted;
  // A small table is not torn apart to fill the page.
  return shareWidths(wished, width, (share) => (share < 0.6 ? 1.3 : Infinity));
}
