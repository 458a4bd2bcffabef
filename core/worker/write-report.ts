import type { ReportDocument, ReportWishes } from '../model/report-document.ts';
import type { AnalyzedCase } from '../report/case-context.ts';
import { caseSheet, SHEET_ROOMS } from '../report/document/case-sheet.ts';
import { reportHtml } from '../report/document/report-html.ts';
import type { ReportFonts } from './report-fonts.ts';
import { reportPdf } from './report-pdf.ts';

/** A report in both forms, from one document. */
export interface WrittenReport {
  readonly document: ReportDocument;
  readonly html: string;
  readonly pdf: Uint8Array<ArrayBuffer>;
  readonly pages: number;
  /** Characters that the fonts of the PDF do not have; '' for none. */
  readonly notInFont: string;
}

/** Returns a document in both forms. */
export async function writeReport(document: ReportDocument, fonts: ReportFonts): Promise<WrittenReport> {
  const { bytes, pages, notInFont } = await reportPdf(document, fonts);
  return { document, html: reportHtml(document), pdf: bytes, pages, notInFont };
}

/** Returns the sheet of a case with as many losses as one page holds; with sensors that fill a page by themselves it is longer. */
export async function writeCaseSheet(analyzed: AnalyzedCase, wishes: ReportWishes, fonts: ReportFonts): Promise<WrittenReport> {
  let written: WrittenReport | null = null;
  for (const room of SHEET_ROOMS) {
    written = await writeReport(caseSheet(analyzed, wishes, room), fonts);
    if (written.pages === 1) break;
  }
  if (written === null) throw new Error('nothing was tried');
  return written;
}
