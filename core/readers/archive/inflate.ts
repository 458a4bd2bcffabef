import { Gunzip, Inflate } from 'fflate/browser';
import type { Allowance } from './allowance.ts';
import { BrokenContainer } from './broken-container.ts';
import type { ByteRange } from './byte-range.ts';
import { crc32 } from './crc32.ts';
import { dataStartOf, type ZipEntry } from './zip-directory.ts';

/** Packed bytes are unpacked in pieces of this size: what one piece can swell to (1032 : 1 at most) is all that is held at a time. */
const PIECE_BYTES = 16_384;
/** Headings of gzip members with longer names and comments than this are not looked for. */
const TAIL_BYTES = 131_072;
const STORED = 0;
const DEFLATED = 8;

const METHOD_NAMES: Readonly<Record<number, string>> = { 9: 'Deflate64', 12: 'bzip2', 14: 'LZMA', 93: 'Zstandard', 95: 'XZ', 98: 'PPMd', 99: 'AES encryption' };

/** Charges an allowance for the farthest point reached in one file, however often the file is opened. */
export class Meter {
  private charged = 0;

  constructor(private readonly allowance: Allowance) {}

  /** Errors  throws BrokenContainer when the allowance is used up. */
  reach(total: number): void {
    if (total <= this.charged) return;
    const more = total - this.charged;
    this.charged = total;
    this.allowance.takeBytes(more);
  }
}

function damaged(): BrokenContainer {
  return new BrokenContainer('The packed bytes are damaged or cut off.', 'Copy or export the archive again; check that the copy was finished.');
}

async function* inPieces(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  for await (const chunk of chunks) for (let at = 0; at < chunk.length; at += PIECE_BYTES) yield chunk.subarray(at, at + PIECE_BYTES);
}

/** Runs one step of the unpacking library, whose errors all mean bad bytes. */
function orDamaged(step: () => void): void {
  try {
    step();
  } catch (error) {
    if (error instanceof BrokenContainer) throw error;
    throw damaged();
  }
}

/**
 * Returns the bytes of one entry of a zip archive, unpacked piece by piece and held against the size and checksum of the table of contents.
 * Errors  throws BrokenContainer when the entry is protected, packed in a way that is not read, damaged, or beyond the allowance.
 */
export async function* openZipEntry(range: ByteRange, entry: ZipEntry, meter: Meter): AsyncGenerator<Uint8Array> {
  if (entry.isProtected) throw new BrokenContainer('The file is protected by a password.', 'Unpack the archive with its password and import what it holds.');
  if (entry.method !== STORED && entry.method !== DEFLATED) {
    const name = METHOD_NAMES[entry.method] ?? `method ${entry.method}`;
    throw new BrokenContainer(`The file is packed in a way that is not read (${name}).`, 'Unpack the archive and import what it holds, or pack it anew in the ordinary way (Deflate).');
  }
  const start = await dataStartOf(range, entry);
  const packed = range.openRange(start, start + entry.packedBytes);
  let size = 0;
  let crc = 0;
  const check = (bytes: Uint8Array): Uint8Array => {
    size += bytes.length;
    meter.reach(size);
    if (size > entry.byteLength) throw damaged();
    crc = crc32(bytes, crc);
    return bytes;
  };
  if (entry.method === STORED) for await (const chunk of packed) yield check(chunk);
  else for await (const bytes of inflated(packed)) yield check(bytes);
  if (size !== entry.byteLength || crc !== entry.crc32) throw damaged();
}

async function* inflated(packed: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const out: Uint8Array[] = [];
  const inflate = new Inflate((bytes) => {
    if (bytes.length > 0) out.push(bytes);
  });
  for await (const piece of inPieces(packed)) {
    orDamaged(() => inflate.push(piece));
    yield* out.splice(0);
  }
  orDamaged(() => inflate.push(new Uint8Array(0), true));
  yield* out.splice(0);
}

/**
 * Returns the bytes of a gzip file, all its members one after the other, each held against its own checksum and size.
 * Errors  throws BrokenContainer when it is damaged or beyond the allowance.
 * Source  RFC 1952, section 2.3.1 (trailer: CRC-32 and size, four bytes each, least significant first).
 */
export async function* openGzip(chunks: AsyncIterable<Uint8Array>, meter: Meter): AsyncGenerator<Uint8Array> {
  const out: Uint8Array[] = [];
  const tail = new Tail();
  let total = 0;
  let size = 0;
  let crc = 0;
  const closeMember = (end: number): void => {
    const trailer = tail.before(end);
    if (trailer === null || trailer.getUint32(0, true) !== crc || trailer.getUint32(4, true) !== size % 2 ** 32) throw damaged();
    size = 0;
    crc = 0;
  };
  const gunzip = new Gunzip((bytes) => {
    if (bytes.length === 0) return;
    total += bytes.length;
    size += bytes.length;
    meter.reach(total);
    crc = crc32(bytes, crc);
    out.push(bytes);
  });
  gunzip.onmember = closeMember;
  for await (const piece of inPieces(chunks)) {
    tail.push(piece);
    orDamaged(() => gunzip.push(piece));
    yield* out.splice(0);
  }
  orDamaged(() => gunzip.push(new Uint8Array(0), true));
  yield* out.splice(0);
  closeMember(tail.length);
}

/** The last packed bytes seen, so that the trailer of a member can be looked up once the next one is recognised. */
class Tail {
  length = 0;
  private kept: Uint8Array = new Uint8Array(0);

  push(piece: Uint8Array): void {
    const from = Math.max(0, this.kept.length + piece.length - TAIL_BYTES);
    const next = new Uint8Array(this.kept.length + piece.length - from);
    next.set(this.kept.subarray(from));
    next.set(piece, this.kept.length - from);
    this.kept = next;
    this.length += piece.length;
  }

  /** Returns the eight bytes before `end`, null when they are no longer there. */
  before(end: number): DataView | null {
    const at = this.kept.length - (this.length - end) - 8;
    if (at < 0) return null;
    return new DataView(this.kept.buffer, this.kept.byteOffset + at, 8);
  }
}
