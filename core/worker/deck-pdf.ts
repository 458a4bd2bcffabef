import { SLIDE_SIZE, type Deck, type DeckSlide } from '../model/deck.ts';
import { INKS, type Ink } from '../model/report-document.ts';
import { layOutSlide, SLIDE_FRAME, type PlacedPart } from '../report/deck/slide-layout.ts';
import { openPdf, type WrittenPdf } from './pdf-file.ts';
import { drawScene } from './pdf-scene.ts';
import type { ReportFonts } from './report-fonts.ts';

const CELL = { x: 10, y: 4 };
/** How small a line may be set against what it should be: two lines of that stand where one was meant. */
const LEAST_SHARE = 0.5;

interface Writing {
  readonly pdf: PDFKit.PDFDocument;
  readonly root: PDFKit.PDFStructureElement;
  /** Text as the font can show it. */
  readonly shown: (text: string) => string;
}

/**
 * Returns slides as PDF, one page each, 16 to 9: text that can be selected, fonts embedded, language and structure marked.
 * Shape   the same deck gives the same bytes. Notes are not in it: a page has no place for what is not shown.
 */
export async function deckPdf(deck: Deck, fonts: ReportFonts): Promise<WrittenPdf> {
  const { pdf, root, shown, finish } = openPdf({ ...SLIDE_SIZE, margins: { top: 0, bottom: 0, left: 0, right: 0 } }, { title: deck.title, language: deck.language }, fonts);
  for (const [i, slide] of deck.slides.entries()) {
    pdf.addPage();
    writeSlide({ pdf, root, shown }, deck, slide, i);
  }
  root.end();
  return await finish(deck.slides.length);
}

interface LineLook {
  readonly size: number;
  readonly isBold?: boolean;
  readonly ink?: Ink;
  readonly align?: 'left' | 'right' | 'center';
}

/** Writes a text on one line, smaller where it is too long for it, and on more lines where it is too long even then: nothing is cut. */
function line({ pdf, shown }: Writing, text: string, x: number, y: number, width: number, { size, isBold = false, ink = 'ink', align = 'left' }: LineLook): void {
  const words = shown(text);
  pdf.font(isBold ? 'bold' : 'plain');
  let fitting = size;
  while (fitting > LEAST_SHARE * size && pdf.fontSize(fitting).widthOfString(words) > width) fitting -= 0.5;
  pdf.fontSize(fitting).fillColor(INKS[ink]).text(words, x, y, { width, align });
}

function tagged(writing: Writing, role: string, draw: () => void, parent: PDFKit.PDFStructureElement = writing.root, options: Parameters<typeof writing.pdf.struct>[1] = {}): void {
  const element = writing.pdf.struct(role, options, draw);
  parent.add(element);
  element.end();
}

function writeSlide(writing: Writing, deck: Deck, slide: DeckSlide, i: number): void {
  const { pdf } = writing;
  const { side, header, part, title, footer } = SLIDE_FRAME;
  const width = SLIDE_SIZE.width - 2 * side;
  pdf.markContent('Artifact', { type: 'Pagination' });
  if (deck.header !== '') line(writing, deck.header, side, header.y, width, { size: header.size, isBold: true, align: 'center' });
  pdf.moveTo(side, footer.y - 3).lineTo(side + width, footer.y - 3).lineWidth(0.5).strokeColor(INKS.rule).stroke();
  line(writing, deck.footer, side, footer.y, width - 90, { size: footer.size, ink: 'soft' });
  line(writing, `${i + 1} of ${deck.slides.length}`, side + width - 90, footer.y, 90, { size: footer.size, ink: 'soft', align: 'right' });
  pdf.endMarkedContent();
  if (slide.part !== '') tagged(writing, 'P', () => line(writing, slide.part, side, part.y, width, { size: part.size, ink: 'soft' }));
  tagged(writing, i === 0 ? 'H1' : 'H2', () => line(writing, slide.title, side, title.y, width, { size: title.size, isBold: true }));
  for (const placed of layOutSlide(slide)) writePart(writing, placed);
}

function writePart(writing: Writing, placed: PlacedPart): void {
  const { pdf, shown, root } = writing;
  const { x, y, width } = placed;
  switch (placed.kind) {
    case 'text':
      tagged(writing, placed.role === 'heading' ? 'H3' : placed.role === 'caption' ? 'Caption' : 'P', () => {
        pdf.font(placed.isBold ? 'bold' : 'plain').fontSize(placed.size).fillColor(placed.isSoft ? INKS.soft : INKS.ink).text(shown(placed.text), x, y, { width });
      });
      break;
    case 'list': {
      const list = pdf.struct('L');
      root.add(list);
      pdf.y = y;
      for (const [i, text] of placed.items.entries()) {
        const top = pdf.y;
        tagged(writing, 'LI', () => {
          pdf.font('plain').fontSize(placed.size).fillColor(INKS.ink).text(placed.isNumbered ? `${i + 1}.` : '•', x, top, { width: 24 });
          pdf.text(shown(text), x + 28, top, { width: width - 28 });
        }, list);
        pdf.y += 4;
      }
      list.end();
      break;
    }
    case 'facts':
      pdf.y = y;
      for (const [name, text] of placed.rows) {
        const top = pdf.y;
        tagged(writing, 'P', () => {
          pdf.font('bold').fontSize(placed.size).fillColor(INKS.ink).text(`${shown(name)}: `, x, top, { width, continued: true }).font('plain').text(shown(text), { width });
        });
        pdf.y += 4;
      }
      break;
    case 'table':
      writeTable(writing, placed);
      break;
    case 'figure':
      tagged(writing, 'Figure', () => drawScene(pdf, placed.figure.scene, { x, y, scale: width / placed.figure.scene.width }, shown), root, { alt: shown(placed.figure.alternative), ...({ bbox: [x, y, x + width, y + placed.height] } as object) }); // the types do not know `bbox`
      break;
  }
}

function writeTable({ pdf, shown, root }: Writing, { table, widths, rowHeights, size, x, y, width }: Extract<PlacedPart, { readonly kind: 'table' }>): void {
  const element = pdf.struct('Table');
  root.add(element);
  let top = y;
  for (const [r, cells] of [table.columns.map(({ heading }) => heading), ...table.rows].entries()) {
    const height = rowHeights[r] ?? 0;
    const row = pdf.struct('TR');
    element.add(row);
    let left = x;
    for (const [c, text] of cells.entries()) {
      const at = left;
      const cellWidth = widths[c] ?? 0;
      const cell = pdf.struct(r === 0 || c === 0 ? 'TH' : 'TD', {}, () => {
        pdf.font(r === 0 ? 'bold' : 'plain').fontSize(size).fillColor(r === 0 ? INKS.soft : INKS.ink).text(shown(text), at + (c === 0 ? 0 : CELL.x), top + CELL.y, { width: cellWidth - 2 * CELL.x + (c === 0 ? CELL.x : 0), align: table.columns[c]?.align === 'end' ? 'right' : 'left' });
      });
      row.add(cell);
      cell.end();
      left += cellWidth;
    }
    row.end();
    top += height;
    pdf.markContent('Artifact', { type: 'Layout' });
    pdf.moveTo(x, top).lineTo(x + width, top).lineWidth(r === 0 ? 0.8 : 0.4).strokeColor(r === 0 ? INKS.rule : INKS.faint).stroke();
    pdf.endMarkedContent();
  }
  element.end();
}
