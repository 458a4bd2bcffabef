import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { createHash } from 'node:crypto';
import type { Deck, DeckForm, ReportForm } from '../model/deck.ts';
import { openFailure } from '../model/release-answers.ts';
import { tallyOf, type ReleaseAnswer, type ReleaseContent, type ReleaseTally } from '../model/release.ts';
import type { ReportDocument, ReportSheets } from '../model/report-document.ts';
import { deckHtml } from '../report/deck/deck-html.ts';
import { deckPictures, pictureSvg } from '../report/deck/picture.ts';
import { reportHtml, sheetsHtml } from '../report/document/report-html.ts';
import { releaseOf } from '../report/release/release-list.ts';
import { deckPdf } from './deck-pdf.ts';
import { deckPptx } from './deck-pptx.ts';
import { fontText, type ReportFonts } from './report-fonts.ts';
import { reportPdf, reportsPdf } from './report-pdf.ts';
import { svgPng } from './scene-png.ts';

/** A file before it leaves a worker. */
export interface ReleasedFile {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly mediaType: string;
  /** With its point. */
  readonly ending: string;
  /** Characters that the fonts do not have; '' for none. */
  readonly notInFont: string;
  readonly tally: ReleaseTally;
}

export const MEDIA_TYPES = {
  pdf: 'application/pdf', html: 'text/html', pptx: 'application/vnd.openxmlformats-officedocument.presentationml.presentation', svg: 'image/svg+xml', png: 'image/png',
} as const;

/** Returns the content with its answers and what was said of its words, or why it may not leave: the one way to a file. */
export function answered<T extends ReleaseContent>(content: T, answers: readonly ReleaseAnswer[]): Result<{ readonly content: T; readonly tally: ReleaseTally }> {
  const release = releaseOf(content, answers);
  return release.list.open === 0 ? ok({ content: release.content as T, tally: tallyOf(release.list) }) : fail(openFailure(release.list)); // answers change texts, never the kind of a content
}



/** Returns a report in one form, with the answers in it. Errors  `release-open`. */
export async function releaseReport(document: ReportDocument, answers: readonly ReleaseAnswer[], form: ReportForm, fonts: ReportFonts): Promise<Result<ReleasedFile>> {
  const content = answered({ kind: 'report', document }, answers);
  if (!content.ok) return content;
  const { content: { document: released }, tally } = content.value;
  if (form === 'html') return ok({ bytes: new TextEncoder().encode(reportHtml(released)), mediaType: MEDIA_TYPES.html, ending: '.html', notInFont: '', tally });
  const { bytes, notInFont } = await reportPdf(released, fonts);
  return ok({ bytes, mediaType: MEDIA_TYPES.pdf, ending: '.pdf', notInFont, tally });
}

/** Returns sheets of several cases as one file, with the answers in it. Errors  `release-open`. */
export async function releaseSheets(sheets: ReportSheets, answers: readonly ReleaseAnswer[], form: ReportForm, fonts: ReportFonts): Promise<Result<ReleasedFile>> {
  const content = answered({ kind: 'sheets', sheets }, answers);
  if (!content.ok) return content;
  const { content: { sheets: released }, tally } = content.value;
  if (form === 'html') return ok({ bytes: new TextEncoder().encode(sheetsHtml(released)), mediaType: MEDIA_TYPES.html, ending: '.html', notInFont: '', tally });
  const { bytes, notInFont } = await reportsPdf(released.title, released.documents, fonts);
  return ok({ bytes, mediaType: MEDIA_TYPES.pdf, ending: '.pdf', notInFont, tally });
}

/** Returns slides in one form, with the answers in them; for `svg` and `png` the picture of that number, from 0. Errors  `release-open`, `no-picture`. */
export async function releaseDeck(deck: Deck, answers: readonly ReleaseAnswer[], form: DeckForm, picture: number, fonts: ReportFonts): Promise<Result<ReleasedFile>> {
  const content = answered({ kind: 'deck', deck }, answers);
  if (!content.ok) return content;
  const { content: { deck: released }, tally } = content.value;
  const text = (words: string): Uint8Array<ArrayBuffer> => new TextEncoder().encode(words);
  const file = (bytes: Uint8Array<ArrayBuffer>, notInFont = ''): Result<ReleasedFile> => ok({ bytes, mediaType: MEDIA_TYPES[form], ending: `.${form}`, notInFont, tally });
  switch (form) {
    case 'html':
      return file(text(deckHtml(released, (script) => createHash('sha256').update(script).digest('base64'))));
    case 'pdf': {
      const { bytes, notInFont } = await deckPdf(released, fonts);
      return file(bytes, notInFont);
    }
    case 'pptx':
      return file(await deckPptx(released, fonts));
    case 'svg':
    case 'png': {
      const pictures = deckPictures(released);
      const own = pictures[picture];
      if (own === undefined) return fail({ code: 'no-picture', message: `There is no picture ${picture + 1}: these slides have ${pictures.length === 0 ? 'none' : pictures.length}.`, remedy: 'Choose another number, or another form.' });
      const svg = pictureSvg(own, released);
      if (form === 'svg') return file(text(svg));
      const { shown, notInFont } = fontText(fonts);
      return file(await svgPng(shown(svg), fonts), notInFont());
    }
  }
}
