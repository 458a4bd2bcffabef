/** How far two pictures lie apart. */
export interface PixelDifference {
  /** Pixels that differ by more than the eye and the rounding of antialiased edges allow. */
  readonly nPixels: number;
  /** The area that holds them, px; null where there are none. */
  readonly area: { readonly leftPx: number; readonly topPx: number; readonly rightPx: number; readonly bottomPx: number } | null;
  /** Sizes that differ make all other numbers meaningless. */
  readonly isSameSize: boolean;
}

/** Levels of 256 by which a channel may differ: a stored picture has rare colours up to 16 levels off, and processors round antialiased edges a little differently. */
const LEVELS = 24;

/** Returns how far two PNGs, given in base64, lie apart. */
export async function comparePixels(before: string, after: string): Promise<PixelDifference> {
  const [a, b] = await Promise.all([pixelsOf(before), pixelsOf(after)]);
  if (a.width !== b.width || a.height !== b.height) return { nPixels: Math.max(a.width * a.height, b.width * b.height), area: null, isSameSize: false };
  let nPixels = 0;
  let [left, top, right, bottom] = [Infinity, Infinity, -1, -1];
  for (let i = 0; i < a.data.length; i += 4) {
    const apart = Math.max(Math.abs((a.data[i] ?? 0) - (b.data[i] ?? 0)), Math.abs((a.data[i + 1] ?? 0) - (b.data[i + 1] ?? 0)), Math.abs((a.data[i + 2] ?? 0) - (b.data[i + 2] ?? 0)));
    if (apart <= LEVELS) continue;
    nPixels++;
    const [x, y] = [(i / 4) % a.width, Math.floor(i / 4 / a.width)];
    [left, top, right, bottom] = [Math.min(left, x), Math.min(top, y), Math.max(right, x), Math.max(bottom, y)];
  }
  return { nPixels, area: nPixels === 0 ? null : { leftPx: left, topPx: top, rightPx: right, bottomPx: bottom }, isSameSize: true };
}

async function pixelsOf(base64: string): Promise<ImageData> {
  const bytes = Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
  const bitmap = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  const ctx = canvas.getContext('2d');
  if (ctx === null) throw new Error('no canvas to compare on');
  ctx.drawImage(bitmap, 0, 0);
  return ctx.getImageData(0, 0, bitmap.width, bitmap.height);
}
