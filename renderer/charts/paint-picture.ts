/**
 * Paints a picture of `exportPicture` on a canvas. The page's policy loads no image but its own files, so the browser cannot
 * be asked to turn the text of a picture into pixels; the few shapes that such a picture has are painted here.
 * Errors   throws on a shape that it does not know: our bug.
 */
export function paintPicture(picture: SVGSVGElement, context: CanvasRenderingContext2D, scale: number): void {
  for (const shape of picture.children) {
    context.save();
    context.scale(scale, scale);
    const at = /^matrix\((.+)\)$/.exec(shape.getAttribute('transform') ?? '')?.[1]?.split(' ').map(Number);
    if (at !== undefined) context.transform(at[0] ?? 1, at[1] ?? 0, at[2] ?? 0, at[3] ?? 1, at[4] ?? 0, at[5] ?? 0);
    if (shape.localName === 'text') paintText(shape, context);
    else paintOutline(shape, outlineOf(shape), context);
    context.restore();
  }
}

/** Returns the picture as a PNG of `scale` times its size. */
export function pngOf(picture: SVGSVGElement, scale: number): Promise<Blob> {
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(numberOf(picture, 'width') * scale);
  canvas.height = Math.round(numberOf(picture, 'height') * scale);
  const context = canvas.getContext('2d');
  if (context === null) return Promise.reject(new Error('This browser gives no canvas to paint on.'));
  paintPicture(picture, context, scale);
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob === null ? reject(new Error('The picture is too large to be made into a PNG.')) : resolve(blob)), 'image/png');
  });
}

function numberOf(shape: Element, name: string, missing = 0): number {
  const value = Number.parseFloat(shape.getAttribute(name) ?? '');
  return Number.isFinite(value) ? value : missing;
}

function outlineOf(shape: Element): Path2D {
  const of = (name: string): number => numberOf(shape, name);
  const path = new Path2D();
  switch (shape.localName) {
    case 'path':
      return new Path2D(shape.getAttribute('d') ?? '');
    case 'line':
      path.moveTo(of('x1'), of('y1'));
      path.lineTo(of('x2'), of('y2'));
      return path;
    case 'rect':
      path.roundRect(of('x'), of('y'), of('width'), of('height'), of('rx'));
      return path;
    case 'circle':
      path.arc(of('cx'), of('cy'), of('r'), 0, 2 * Math.PI);
      return path;
    default:
      throw new Error(`a picture with a <${shape.localName}> cannot be painted`);
  }
}

function prepare(shape: Element, context: CanvasRenderingContext2D): { readonly fill: boolean; readonly stroke: boolean } {
  const fill = shape.getAttribute('fill') ?? 'none';
  const stroke = shape.getAttribute('stroke') ?? 'none';
  const width = numberOf(shape, 'stroke-width', 1);
  if (fill !== 'none') context.fillStyle = fill;
  if (stroke !== 'none') context.strokeStyle = stroke;
  context.lineWidth = width;
  const dash = shape.getAttribute('stroke-dasharray') ?? 'none';
  context.setLineDash(dash === 'none' ? [] : dash.split(/[\s,]+/).map(Number.parseFloat).filter(Number.isFinite));
  const cap = shape.getAttribute('stroke-linecap');
  if (cap === 'round' || cap === 'square') context.lineCap = cap;
  const join = shape.getAttribute('stroke-linejoin');
  if (join === 'round' || join === 'bevel') context.lineJoin = join;
  return { fill: fill !== 'none', stroke: stroke !== 'none' && width > 0 };
}

function opacityOf(shape: Element, of: 'fill-opacity' | 'stroke-opacity'): number {
  return numberOf(shape, 'opacity', 1) * numberOf(shape, of, 1);
}

function paintOutline(shape: Element, outline: Path2D, context: CanvasRenderingContext2D): void {
  const paints = prepare(shape, context);
  if (paints.fill) {
    context.globalAlpha = opacityOf(shape, 'fill-opacity');
    context.fill(outline);
  }
  if (paints.stroke) {
    context.globalAlpha = opacityOf(shape, 'stroke-opacity');
    context.stroke(outline);
  }
}

function paintText(shape: Element, context: CanvasRenderingContext2D): void {
  const text = shape.textContent ?? '';
  const style = shape.getAttribute('font-style') ?? 'normal';
  context.font = `${style} ${shape.getAttribute('font-weight') ?? '400'} ${shape.getAttribute('font-size') ?? '12px'} ${shape.getAttribute('font-family') ?? 'sans-serif'}`;
  const anchor = shape.getAttribute('text-anchor');
  context.textAlign = anchor === 'middle' ? 'center' : anchor === 'end' ? 'right' : 'left';
  const paints = prepare(shape, context);
  const [x, y] = [numberOf(shape, 'x'), numberOf(shape, 'y')];
  // A stroke under a text is its halo.
  if (paints.stroke) {
    context.globalAlpha = opacityOf(shape, 'stroke-opacity');
    context.strokeText(text, x, y);
  }
  if (paints.fill) {
    context.globalAlpha = opacityOf(shape, 'fill-opacity');
    context.fillText(text, x, y);
  }
}
