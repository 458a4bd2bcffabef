import { markOutline } from '../model/mark-outline.ts';
import type { Scene } from '../model/report-document.ts';
import { INKS } from '../model/report-document.ts';

/** Draws a picture with its upper left corner at a place of the page. `shown` gives text as the font can show it. */
export function drawScene(pdf: PDFKit.PDFDocument, scene: Scene, { x, y, scale }: { readonly x: number; readonly y: number; readonly scale: number }, shown: (text: string) => string): void {
  pdf.save();
  pdf.translate(x, y).scale(scale, scale);
  for (const shape of scene.shapes) {
    switch (shape.kind) {
      case 'line':
        dashed(pdf, shape.dash);
        path(pdf, shape.points);
        pdf.lineWidth(shape.width).lineJoin('round').strokeColor(INKS[shape.ink]).stroke();
        pdf.undash();
        break;
      case 'area':
        path(pdf, shape.points);
        pdf.closePath().fill(INKS[shape.fill]);
        break;
      case 'box':
        dashed(pdf, shape.dash);
        pdf.rect(shape.x, shape.y, shape.width, shape.height);
        pdf.lineWidth(0.6);
        if (shape.fill !== null && shape.edge !== null) pdf.fillAndStroke(INKS[shape.fill], INKS[shape.edge]);
        else if (shape.fill !== null) pdf.fill(INKS[shape.fill]);
        else if (shape.edge !== null) pdf.strokeColor(INKS[shape.edge]).stroke();
        pdf.undash();
        break;
      case 'text': {
        const text = shown(shape.text);
        pdf.font(shape.isBold === true ? 'bold' : 'plain').fontSize(shape.size).fillColor(INKS[shape.ink]);
        const width = pdf.widthOfString(text);
        const start = shape.align === 'start' ? shape.x : shape.align === 'end' ? shape.x - width : shape.x - width / 2;
        pdf.text(text, start, shape.y, { lineBreak: false, baseline: 'alphabetic' });
        break;
      }
      case 'mark': {
        const outline = markOutline(shape);
        if (outline === null) pdf.circle(shape.x, shape.y, shape.size / 2);
        else for (const part of outline) path(pdf, part);
        if (shape.form === 'cross') pdf.lineWidth(1.1).strokeColor(INKS[shape.ink]).stroke();
        else {
          if (outline !== null) pdf.closePath();
          if (shape.isHollow === true) pdf.lineWidth(0.9).fillAndStroke('#ffffff', INKS[shape.ink]);
          else pdf.fill(INKS[shape.ink]);
        }
        break;
      }
    }
  }
  pdf.restore();
}

function path(pdf: PDFKit.PDFDocument, points: readonly (readonly [number, number])[]): void {
  for (const [i, [x, y]] of points.entries()) {
    if (i === 0) pdf.moveTo(x, y);
    else pdf.lineTo(x, y);
  }
}

function dashed(pdf: PDFKit.PDFDocument, dash: readonly number[] | undefined): void {
  const [on, ...rest] = dash ?? [];
  if (on !== undefined) pdf.dash([on, ...(rest.length === 0 ? [on] : rest)] as unknown as number, {}); // the types know a length only; it takes a list
}
