import { readRange, type ByteRange } from './byte-range.ts';
import { BrokenContainer } from './broken-container.ts';
import { decodeEntryName } from './entry-name.ts';

/*
 * The table of contents of a zip archive.
 * Source: APPNOTE.TXT 6.3.10, sections 4.3.6 to 4.3.16 (structures), 4.4.4 (flags), 4.4.5 (methods), 4.5.3 (64-bit sizes).
 */

/** One file or folder in a zip archive, as the table of contents has it. */
export interface ZipEntry {
  /** As the archive has it. */
  readonly name: string;
  readonly method: number;
  readonly isProtected: boolean;
  readonly crc32: number;
  readonly packedBytes: number;
  readonly byteLength: number;
  /** Where the entry's own heading starts. */
  readonly offset: number;
}

const END = 0x06054b50;
const END_64 = 0x06064b50;
const END_64_LOCATOR = 0x07064b50;
const ENTRY = 0x02014b50;
const LOCAL = 0x04034b50;
const END_BYTES = 22;
const LOCATOR_BYTES = 20;
const LONGEST_COMMENT = 65_535;
const MAX_ENTRIES = 20_000;
const MAX_DIRECTORY_BYTES = 16 * 2 ** 20;

const CUT_OFF = 'The archive is cut off or damaged: its table of contents, which stands at its end, cannot be read.';
const COPY_AGAIN = 'Copy or export it again; check that the copy was finished.';

function damaged(what: string): BrokenContainer {
  return new BrokenContainer(`The archive is damaged: ${what}.`, COPY_AGAIN);
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

interface End {
  readonly entries: number;
  readonly start: number;
  readonly size: number;
}

/**
 * Returns the entries of a zip archive in the order in which they lie in it.
 * Errors  throws BrokenContainer for an archive that is cut off, damaged, split over several files, or whose entries overlap.
 */
export async function readZipDirectory(range: ByteRange): Promise<ZipEntry[]> {
  const end = await findEnd(range);
  if (end.entries > MAX_ENTRIES || end.size > MAX_DIRECTORY_BYTES) throw new BrokenContainer(`The archive holds more than ${MAX_ENTRIES} entries.`, 'Unpack it and import its folders one after the other.');
  if (end.start + end.size > range.byteLength) throw new BrokenContainer(CUT_OFF, COPY_AGAIN);
  const bytes = await readRange(range, end.start, end.start + end.size);
  const view = viewOf(bytes);
  const entries: ZipEntry[] = [];
  let at = 0;
  for (let i = 0; i < end.entries; i += 1) {
    if (at + 46 > bytes.length || view.getUint32(at, true) !== ENTRY) throw new BrokenContainer(CUT_OFF, COPY_AGAIN);
    const nameEnd = at + 46 + view.getUint16(at + 28, true);
    const extraEnd = nameEnd + view.getUint16(at + 30, true);
    const next = extraEnd + view.getUint16(at + 32, true);
    if (next > bytes.length) throw new BrokenContainer(CUT_OFF, COPY_AGAIN);
    const flags = view.getUint16(at + 8, true);
    const sizes = { byteLength: view.getUint32(at + 24, true), packedBytes: view.getUint32(at + 20, true), offset: view.getUint32(at + 42, true) };
    entries.push({
      name: decodeEntryName(bytes.subarray(at + 46, nameEnd), (flags & 0x800) !== 0),
      method: view.getUint16(at + 10, true),
      isProtected: (flags & 0x2041) !== 0,
      crc32: view.getUint32(at + 16, true),
      ...withLongSizes(sizes, viewOf(bytes.subarray(nameEnd, extraEnd))),
    });
    at = next;
  }
  entries.sort((a, b) => a.offset - b.offset);
  let free = 0;
  for (const entry of entries) {
    if (entry.offset < free) throw damaged('two of its entries lie in the same place');
    free = entry.offset + 30 + entry.packedBytes;
    if (free > end.start) throw damaged('one of its entries lies outside of it');
  }
  return entries;
}

/** Finds the record that ends every zip archive. */
async function findEnd(range: ByteRange): Promise<End> {
  const tailStart = Math.max(0, range.byteLength - END_BYTES - LONGEST_COMMENT - LOCATOR_BYTES);
  const tail = await readRange(range, tailStart, range.byteLength);
  const view = viewOf(tail);
  for (let at = tail.length - END_BYTES; at >= 0; at -= 1) {
    if (view.getUint32(at, true) !== END || at + END_BYTES + view.getUint16(at + 20, true) !== tail.length) continue;
    if (at >= LOCATOR_BYTES && view.getUint32(at - LOCATOR_BYTES, true) === END_64_LOCATOR) return readLongEnd(range, safe(view.getBigUint64(at - LOCATOR_BYTES + 8, true)));
    if (view.getUint16(at + 4, true) !== 0 || view.getUint16(at + 6, true) !== 0) throw new BrokenContainer('The archive is one of several parts.', 'Put the parts together with the program that made them, unpack them, and import what they hold.');
    return { entries: view.getUint16(at + 10, true), size: view.getUint32(at + 12, true), start: view.getUint32(at + 16, true) };
  }
  throw new BrokenContainer(CUT_OFF, COPY_AGAIN);
}

async function readLongEnd(range: ByteRange, at: number): Promise<End> {
  const bytes = await readRange(range, at, at + 56);
  const view = viewOf(bytes);
  if (bytes.length < 56 || view.getUint32(0, true) !== END_64) throw new BrokenContainer(CUT_OFF, COPY_AGAIN);
  return { entries: safe(view.getBigUint64(32, true)), size: safe(view.getBigUint64(40, true)), start: safe(view.getBigUint64(48, true)) };
}

function safe(value: bigint): number {
  if (value > BigInt(Number.MAX_SAFE_INTEGER)) throw damaged('a size in it cannot be true');
  return Number(value);
}

/** Takes the sizes that do not fit into 32 bits from the extra field, in which they stand in a fixed order. */
function withLongSizes(sizes: { byteLength: number; packedBytes: number; offset: number }, extra: DataView): { byteLength: number; packedBytes: number; offset: number } {
  const long = { ...sizes };
  for (let at = 0; at + 4 <= extra.byteLength; ) {
    const end = at + 4 + extra.getUint16(at + 2, true);
    if (end > extra.byteLength) break;
    if (extra.getUint16(at, true) === 1) {
      let place = at + 4;
      for (const field of ['byteLength', 'packedBytes', 'offset'] as const) {
        if (sizes[field] !== 0xffffffff) continue;
        if (place + 8 > end) throw damaged('a size is missing in its table of contents');
        long[field] = safe(extra.getBigUint64(place, true));
        place += 8;
      }
    }
    at = end;
  }
  return long;
}

/**
 * Returns where the packed bytes of an entry start.
 * Errors  throws BrokenContainer when the entry's own heading is not there.
 */
export async function dataStartOf(range: ByteRange, entry: ZipEntry): Promise<number> {
  const bytes = await readRange(range, entry.offset, entry.offset + 30);
  const view = viewOf(bytes);
  if (bytes.length < 30 || view.getUint32(0, true) !== LOCAL) throw damaged('an entry does not lie where its table of contents says');
  return entry.offset + 30 + view.getUint16(26, true) + view.getUint16(28, true);
}
