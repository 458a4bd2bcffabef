import { crc32, deflateSync, inflateSync } from 'node:zlib';

/** The most levels of 256 by which a channel of the packed picture may differ from the given one. */
const MOST_LEVELS = 16;
const MOST_COLORS = 256;
const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/**
 * Returns a screenshot as a PNG with a palette, about a third of the browser's size: pictures lie in the repository for good.
 * Shape    the commonest colours are kept as they are; a rare one (the edge of a letter) becomes the nearest kept one, at most 16 levels
 *          away. Where 256 colours do not suffice for that, the picture is returned as it came.
 * Errors   throws on a PNG that is not 8-bit RGB or RGBA without interlacing: the browser writes no other.
 */
export function packPng(png: Uint8Array): Buffer {
  const { width, height, rgb } = pixelsOf(Buffer.from(png));
  const counts = new Map<number, number>();
  for (const color of rgb) counts.set(color, (counts.get(color) ?? 0) + 1);
  const colors = [...counts].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([color]) => color);
  for (let levels = 4; levels <= MOST_LEVELS; levels += 2) {
    const palette = paletteOf(colors, levels);
    if (palette !== null) return writeIndexed(width, height, rgb, palette, colors);
  }
  return Buffer.from(png);
}

/** Returns colours of which one lies within `levels` of every colour, commonest first; null where more than a palette holds are needed. */
function paletteOf(colors: readonly number[], levels: number): number[] | null {
  const kept: number[] = [];
  for (const color of colors) {
    if (kept.some((other) => apart(color, other) <= levels)) continue;
    if (kept.length === MOST_COLORS) return null;
    kept.push(color);
  }
  return kept;
}

function apart(a: number, b: number): number {
  return Math.max(Math.abs((a >> 16) - (b >> 16)), Math.abs(((a >> 8) & 255) - ((b >> 8) & 255)), Math.abs((a & 255) - (b & 255)));
}

function writeIndexed(width: number, height: number, rgb: Uint32Array, palette: readonly number[], colors: readonly number[]): Buffer {
  const indexOf = new Map(colors.map((color) => [color, palette.reduce((best, other, i) => (apart(color, other) < apart(color, palette[best] ?? 0) ? i : best), 0)]));
  const rows = Buffer.alloc((width + 1) * height);
  rgb.forEach((color, i) => {
    rows[i + Math.floor(i / width) + 1] = indexOf.get(color) ?? 0;
  });
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  // 8 bits for each index into a palette; the packing, filtering and interlacing that every reader knows.
  header.set([8, 3, 0, 0, 0], 8);
  const entries = Buffer.from(palette.flatMap((color) => [color >> 16, (color >> 8) & 255, color & 255]));
  return Buffer.concat([SIGNATURE, chunkOf('IHDR', header), chunkOf('PLTE', entries), chunkOf('IDAT', deflateSync(rows, { level: 9, memLevel: 9 })), chunkOf('IEND', Buffer.alloc(0))]);
}

function chunkOf(kind: string, content: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(kind, 'latin1'), content]);
  const chunk = Buffer.alloc(body.length + 8);
  chunk.writeUInt32BE(content.length, 0);
  body.copy(chunk, 4);
  chunk.writeUInt32BE(crc32(body), body.length + 4);
  return chunk;
}

/** Returns the pixels of a PNG as 0xRRGGBB, row by row. Source: PNG specification (W3C, third edition), 9 (filtering) and 11 (chunks). */
function pixelsOf(png: Buffer): { readonly width: number; readonly height: number; readonly rgb: Uint32Array } {
  const width = png.readUInt32BE(16);
  const height = png.readUInt32BE(20);
  const bytesPerPixel = png[25] === 6 ? 4 : 3;
  if (png[24] !== 8 || (png[25] !== 2 && png[25] !== 6) || png[28] !== 0) throw new Error('a PNG of another kind than the browser writes');
  const parts: Buffer[] = [];
  for (let at = SIGNATURE.length; at < png.length; at += png.readUInt32BE(at) + 12) if (png.toString('latin1', at + 4, at + 8) === 'IDAT') parts.push(png.subarray(at + 8, at + 8 + png.readUInt32BE(at)));
  const packed = inflateSync(Buffer.concat(parts));
  const stride = width * bytesPerPixel;
  const plain = Buffer.alloc(stride * height);
  for (let y = 0; y < height; y++) {
    const filter = packed[y * (stride + 1)] ?? 0;
    for (let i = 0; i < stride; i++) {
      const left = i >= bytesPerPixel ? (plain[y * stride + i - bytesPerPixel] ?? 0) : 0;
      const up = y > 0 ? (plain[(y - 1) * stride + i] ?? 0) : 0;
      const corner = y > 0 && i >= bytesPerPixel ? (plain[(y - 1) * stride + i - bytesPerPixel] ?? 0) : 0;
      plain[y * stride + i] = (packed[y * (stride + 1) + 1 + i] ?? 0) + predicted(filter, left, up, corner);
    }
  }
  const rgb = new Uint32Array(width * height);
  for (let i = 0; i < rgb.length; i++) {
    const at = i * bytesPerPixel;
    rgb[i] = ((plain[at] ?? 0) << 16) | ((plain[at + 1] ?? 0) << 8) | (plain[at + 2] ?? 0);
  }
  return { width, height, rgb };
}

function predicted(filter: number, left: number, up: number, corner: number): number {
  if (filter === 1) return left;
  if (filter === 2) return up;
  if (filter === 3) return (left + up) >> 1;
  if (filter !== 4) return 0;
  const [byLeft, byUp, byCorner] = [Math.abs(up - corner), Math.abs(left - corner), Math.abs(left + up - 2 * corner)];
  return byLeft <= byUp && byLeft <= byCorner ? left : byUp <= byCorner ? up : corner;
}
