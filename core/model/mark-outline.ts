import type { Point, Shape } from './report-document.ts';

/** Returns the corners of a mark, for a cross its two strokes; null for a circle. */
export function markOutline({ form, x, y, size }: Extract<Shape, { readonly kind: 'mark' }>): readonly (readonly Point[])[] | null {
  const r = size / 2;
  const at = (dx: number, dy: number): Point => [hundredths(x + dx * r), hundredths(y + dy * r)];
  switch (form) {
    case 'circle':
      return null;
    case 'square':
      return [[at(-0.9, -0.9), at(0.9, -0.9), at(0.9, 0.9), at(-0.9, 0.9)]];
    case 'triangle':
      return [[at(0, -1.1), at(1.1, 0.9), at(-1.1, 0.9)]];
    case 'triangle down':
      return [[at(0, 1.1), at(1.1, -0.9), at(-1.1, -0.9)]];
    case 'diamond':
      return [[at(0, -1.2), at(1.2, 0), at(0, 1.2), at(-1.2, 0)]];
    case 'cross':
      return [[at(-1, -1), at(1, 1)], [at(-1, 1), at(1, -1)]];
  }
}

function hundredths(value: number): number {
  return Math.round(value * 100) / 100;
}
