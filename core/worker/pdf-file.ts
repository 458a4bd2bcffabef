import PDFDocument from 'pdfkit';
import { fontText, type ReportFonts } from './report-fonts.ts';

/** What was written as PDF. */
export interface WrittenPdf {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly pages: number;
  /** Characters that the font does not have, each once; a sign stands in their place. The HTML has them all. */
  readonly notInFont: string;
}

/** Sizes in pt. */
export interface PdfPaper {
  readonly width: number;
  readonly height: number;
  readonly margins: { readonly top: number; readonly bottom: number; readonly left: number; readonly right: number };
}

/** A PDF that is being written. */
export interface PdfFile {
  readonly pdf: PDFKit.PDFDocument;
  readonly root: PDFKit.PDFStructureElement;
  /** Text as the font can show it. */
  readonly shown: (text: string) => string;
  /** Ends the file; `root` has to be ended by then. */
  finish(pages: number): Promise<WrittenPdf>;
}

/**
 * Returns a PDF without a page: fonts embedded (`plain`, `bold`), language and structure marked.
 * Shape   the same content gives the same bytes: there is no date of making and no chance in it.
 */
export function openPdf(paper: PdfPaper, { title, language }: { readonly title: string; readonly language: string }, fonts: ReportFonts): PdfFile {
  const pdf = new PDFDocument({
    size: [paper.width, paper.height], margins: paper.margins,
    pdfVersion: '1.7', lang: language, tagged: true, displayTitle: true, bufferPages: true, autoFirstPage: false,
    // A date has to be there; the beginning of the computers' count stands for none, so that the same document gives the same bytes.
    info: { Title: title, Creator: 'Lacuna', Producer: 'Lacuna', CreationDate: new Date(0) },
    // The types know neither: PDF/UA, and no standard font, which would be read from the disk.
    ...({ subset: 'PDF/UA', font: null } as object), // see above
  });
  const chunks: Uint8Array[] = [];
  pdf.on('data', (chunk: Uint8Array) => chunks.push(chunk));
  const ended = new Promise<void>((resolve, reject) => pdf.on('end', resolve).on('error', reject));
  pdf.registerFont('plain', fonts.plain);
  pdf.registerFont('bold', fonts.bold);
  const { shown, notInFont } = fontText(fonts);
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  return {
    pdf,
    root,
    shown,
    async finish(pages) {
      pdf.end();
      await ended;
      return { bytes: joined(chunks), pages, notInFont: notInFont() };
    },
  };
}

function joined(chunks: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(chunks.reduce((sum, { byteLength }) => sum + byteLength, 0));
  let at = 0;
  for (const chunk of chunks) {
    bytes.set(chunk, at);
    at += chunk.byteLength;
  }
  return bytes;
}
