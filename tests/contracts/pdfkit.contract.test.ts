import { create } from 'fontkit';
import PDFDocument from 'pdfkit';
import { getDocumentProxy } from 'unpdf';
import { expect, test } from 'vitest';
import { readReportFonts } from '../../core/worker/report-fonts.ts';

/* What is relied on in pdfkit 0.20.2 and fontkit 2.0.4, read back with pdf.js (unpdf). */
async function made(write: (pdf: PDFKit.PDFDocument) => void): Promise<Buffer> {
  const { plain } = await readReportFonts();
  const pdf = new PDFDocument({ size: [300, 200], pdfVersion: '1.7', lang: 'en', tagged: true, info: { Title: 'T', CreationDate: new Date(0) }, ...({ subset: 'PDF/UA', font: null } as object) });
  const chunks: Buffer[] = [];
  pdf.on('data', (chunk: Buffer) => chunks.push(chunk));
  const ended = new Promise((resolve) => pdf.on('end', resolve));
  pdf.registerFont('plain', plain).font('plain');
  write(pdf);
  pdf.end();
  await ended;
  return Buffer.concat(chunks);
}

test('text comes out as it went in, also beyond Latin', async () => {
  const text = 'SpO₂ ≥ 90 % → Überdruck Ж';
  const pdf = await getDocumentProxy(new Uint8Array(await made((doc) => doc.fontSize(8).text(text, { lineBreak: false }))));
  const { items } = await (await pdf.getPage(1)).getTextContent();
  expect(items.map((one) => ('str' in one ? one.str : '')).join('').trim()).toBe(text);
});

test('structure, words for a picture and language are in the file', async () => {
  const bytes = await made((doc) => {
    const root = doc.struct('Document');
    doc.addStructure(root);
    root.add(doc.struct('Figure', { alt: 'a bar' }, () => doc.rect(10, 10, 5, 5).fill('#000')));
    root.end();
  });
  const pdf = await getDocumentProxy(new Uint8Array(bytes));
  expect(JSON.stringify(await (await pdf.getPage(1)).getStructTree())).toContain('"role":"Figure","children":[{"type":"content"');
  expect(JSON.stringify(await (await pdf.getPage(1)).getStructTree())).toContain('"alt":"a bar"');
  expect(((await pdf.getMetadata()).info as Record<string, unknown>)['Language']).toBe('en');
  // PDF/UA names itself in the metadata.
  expect(bytes.toString('latin1')).toContain('pdfuaid');
});

test('with a fixed date the same calls give the same bytes', async () => {
  const write = (doc: PDFKit.PDFDocument): void => void doc.text('the same').rect(0, 0, 5, 5).stroke();
  expect(Buffer.compare(await made(write), await made(write))).toBe(0);
});

test('fontkit says which characters a font has', async () => {
  const font = create((await readReportFonts()).plain);
  expect([font.hasGlyphForCodePoint(0x41), font.hasGlyphForCodePoint(0x0416), font.hasGlyphForCodePoint(0x6f22)]).toEqual([true, true, false]);
});
