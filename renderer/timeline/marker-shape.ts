import type { MarkerShape } from './site-style.ts';

/** Returns the outline of a marker around (0, 0) as SVG path text, fitting a circle of `radius` px; '' for none. */
export function markerPath(shape: MarkerShape, radius: number): string {
  const r = radius;
  const at = (angleDeg: number): string => {
    const angle = (angleDeg * Math.PI) / 180;
    return `${(r * 1.15 * Math.cos(angle)).toFixed(2)} ${(r * 1.15 * Math.sin(angle)).toFixed(2)}`;
  };
  switch (shape) {
    case 'circle':
      return `M${r} 0A${r} ${r} 0 1 1 ${-r} 0A${r} ${r} 0 1 1 ${r} 0Z`;
    case 'square':
      return `M${-r * 0.9} ${-r * 0.9}H${r * 0.9}V${r * 0.9}H${-r * 0.9}Z`;
    case 'triangle':
      return `M${at(-90)}L${at(30)}L${at(150)}Z`;
    case 'triangle-down':
      return `M${at(90)}L${at(210)}L${at(330)}Z`;
    case 'diamond':
      return `M${at(-90)}L${at(0)}L${at(90)}L${at(180)}Z`;
    case 'hexagon':
      return `M${at(0)}L${at(60)}L${at(120)}L${at(180)}L${at(240)}L${at(300)}Z`;
    case 'cross':
      return `M${-r} ${-r}L${r} ${r}M${-r} ${r}L${r} ${-r}`;
    case 'none':
      return '';
  }
}
