import { markOutline } from '../../model/mark-outline.ts';
import type { Scene, Shape } from '../../model/report-document.ts';
import { INKS } from '../../model/report-document.ts';
import { escapeText } from './escape-text.ts';

/** Returns a picture as SVG that needs nothing from outside. Shape the same scene gives the same text. */
export function sceneSvg({ width, height, shapes }: Scene, alternative: string): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escapeText(alternative)}">${shapes.map(shapeSvg).join('')}</svg>`;
}

const FAMILY = "'DejaVu Sans Condensed','Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif";

function shapeSvg(shape: Shape): string {
  switch (shape.kind) {
    case 'line':
      return `<polyline points="${points(shape.points)}" fill="none" stroke="${INKS[shape.ink]}" stroke-width="${shape.width}" stroke-linejoin="round"${dashes(shape.dash)}/>`;
    case 'area':
      return `<polygon points="${points(shape.points)}" fill="${INKS[shape.fill]}"/>`;
    case 'box':
      return `<rect x="${shape.x}" y="${shape.y}" width="${shape.width}" height="${shape.height}" fill="${shape.fill === null ? 'none' : INKS[shape.fill]}"${shape.edge === null ? '' : ` stroke="${INKS[shape.edge]}" stroke-width="0.6"`}${dashes(shape.dash)}/>`;
    case 'text':
      return `<text x="${shape.x}" y="${shape.y}" font-family="${FAMILY}" font-size="${shape.size}" fill="${INKS[shape.ink]}"${shape.align === 'start' ? '' : ` text-anchor="${shape.align}"`}${shape.isBold === true ? ' font-weight="700"' : ''}>${escapeText(shape.text)}</text>`;
    case 'mark': {
      const outline = markOutline(shape);
      const paint = shape.isHollow === true ? `fill="#fff" stroke="${INKS[shape.ink]}" stroke-width="0.9"` : `fill="${INKS[shape.ink]}"`;
      if (outline === null) return `<circle cx="${shape.x}" cy="${shape.y}" r="${shape.size / 2}" ${paint}/>`;
      if (shape.form === 'cross') return `<path d="${outline.map((part) => `M${part.map((point) => point.join(' ')).join('L')}`).join('')}" fill="none" stroke="${INKS[shape.ink]}" stroke-width="1.1"/>`;
      return `<polygon points="${points(outline[0] ?? [])}" ${paint}/>`;
    }
  }
}

function points(list: readonly (readonly [number, number])[]): string {
  return list.map(([x, y]) => `${x},${y}`).join(' ');
}

function dashes(dash: readonly number[] | undefined): string {
  return dash === undefined || dash.length === 0 ? '' : ` stroke-dasharray="${dash.join(' ')}"`;
}
