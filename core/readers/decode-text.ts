import { fail, ok, type Result } from '../base/result.ts';

/** How the bytes of a file become text. */
export interface TextEncodingPlan {
  /** WHATWG label, as written in the report. */
  readonly label: string;
  /** Bytes of the byte-order mark at the start. */
  readonly bomBytes: number;
  /**
   * 'as is': every ASCII byte means itself and lines can be cut in the raw bytes.
   * 'convert': the stream is turned into UTF-8 first (UTF-16 and other encodings).
   */
  readonly way: 'as is' | 'convert';
  readonly note: string | null;
}

const BOMS: readonly { readonly bytes: readonly number[]; readonly label: string }[] = [
  { bytes: [0xef, 0xbb, 0xbf], label: 'utf-8' },
  { bytes: [0xff, 0xfe], label: 'utf-16le' },
  { bytes: [0xfe, 0xff], label: 'utf-16be' },
];

const UNPACK = 'Unpack it and import what it holds, or pack it as zip.';

/** First bytes of files that are no text, with what to do instead. Source: the formats' own published signatures, from memory. */
const NOT_TEXT: readonly { readonly at?: number; readonly bytes: readonly number[]; readonly what: string; readonly remedy: string }[] = [
  { bytes: [0xd0, 0xcf, 0x11, 0xe0], what: 'an old spreadsheet workbook, or one protected by a password', remedy: 'Save it as XLSX without a password, or as CSV, and import that.' },
  { at: 4, bytes: [0x31, 0x41, 0x59, 0x26, 0x53, 0x59], what: 'a bzip2 archive', remedy: UNPACK },
  { bytes: [0xfd, 0x37, 0x7a, 0x58, 0x5a, 0x00], what: 'an xz archive', remedy: UNPACK },
  { bytes: [0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c], what: 'a 7z archive', remedy: UNPACK },
  { bytes: [0x52, 0x61, 0x72, 0x21, 0x1a, 0x07], what: 'a rar archive', remedy: UNPACK },
  { bytes: [0x28, 0xb5, 0x2f, 0xfd], what: 'a Zstandard archive', remedy: UNPACK },
  { at: 257, bytes: [0x75, 0x73, 0x74, 0x61, 0x72, 0x00], what: 'a tar archive', remedy: UNPACK },
  { at: 257, bytes: [0x75, 0x73, 0x74, 0x61, 0x72, 0x20, 0x20], what: 'a tar archive', remedy: UNPACK },
  { bytes: [0x25, 0x50, 0x44, 0x46], what: 'a PDF', remedy: 'Ask for the export as a table (CSV); figures in a PDF cannot be read back.' },
  { bytes: [0x89, 0x50, 0x4e, 0x47], what: 'a picture', remedy: 'Leave it out of the folder.' },
  { bytes: [0xff, 0xd8, 0xff], what: 'a picture', remedy: 'Leave it out of the folder.' },
];

function startsWith(bytes: Uint8Array, start: readonly number[]): boolean {
  return bytes.length >= start.length && start.every((byte, i) => bytes[i] === byte);
}

/** Returns whether bytes are well-formed UTF-8; an unfinished last character is allowed when `isCut`. */
export function isUtf8(bytes: Uint8Array, isCut: boolean): boolean {
  let end = bytes.length;
  if (isCut) {
    let back = 0;
    while (back < 3 && end > 0 && ((bytes[end - 1] ?? 0) & 0xc0) === 0x80) {
      end -= 1;
      back += 1;
    }
    if (end > 0 && (bytes[end - 1] ?? 0) >= 0xc0) end -= 1;
    else end = bytes.length;
  }
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(0, end));
    return true;
  } catch {
    return false;
  }
}

/**
 * Returns how to turn a file into text, worked out from its first bytes.
 * Errors   `not-text` for archives, pictures, workbooks and binary data; `unknown-encoding` for a stated label that does not exist.
 */
export function sniffEncoding(head: Uint8Array, isWhole: boolean, stated: string | null): Result<TextEncodingPlan> {
  for (const kind of NOT_TEXT) {
    if (startsWith(head.subarray(kind.at ?? 0), kind.bytes)) return fail({ code: 'not-text', message: `This file is ${kind.what}, not a text table.`, line: 1, remedy: kind.remedy });
  }
  const bom = BOMS.find((entry) => startsWith(head, entry.bytes));
  if (stated !== null) {
    let label: string;
    try {
      label = new TextDecoder(stated).encoding;
    } catch {
      return fail({ code: 'unknown-encoding', message: `The encoding "${stated}" is not known.`, remedy: 'Use a name such as utf-8, utf-16le or windows-1252.' });
    }
    const bomBytes = bom !== undefined && bom.label === label ? bom.bytes.length : 0;
    const way = label === 'utf-8' || label === 'windows-1252' ? 'as is' : 'convert';
    return ok({ label, bomBytes, way, note: null });
  }
  if (bom !== undefined) {
    return ok({ label: bom.label, bomBytes: bom.bytes.length, way: bom.label === 'utf-8' ? 'as is' : 'convert', note: 'The file starts with a byte-order mark.' });
  }
  let evenNuls = 0;
  let oddNuls = 0;
  for (let i = 0; i < head.length; i += 1) {
    if (head[i] !== 0) continue;
    if (i % 2 === 0) evenNuls += 1;
    else oddNuls += 1;
  }
  const half = head.length / 2;
  if (half >= 2 && oddNuls > half * 0.6 && evenNuls < half * 0.05) {
    return ok({ label: 'utf-16le', bomBytes: 0, way: 'convert', note: 'Read as UTF-16 (little-endian) because every second byte is 0; there is no byte-order mark.' });
  }
  if (half >= 2 && evenNuls > half * 0.6 && oddNuls < half * 0.05) {
    return ok({ label: 'utf-16be', bomBytes: 0, way: 'convert', note: 'Read as UTF-16 (big-endian) because every second byte is 0; there is no byte-order mark.' });
  }
  // A run of NUL bytes at the end is what a power cut leaves behind a text.
  let textEnd = head.length;
  while (textEnd > 0 && head[textEnd - 1] === 0) textEnd -= 1;
  let control = textEnd === 0 ? head.length : 0;
  let hasC1 = false;
  let hasHigh = false;
  for (const byte of head.subarray(0, textEnd)) {
    if (byte < 9 || (byte > 13 && byte < 32 && byte !== 27 && byte !== 26)) control += 1;
    if (byte >= 0x80) hasHigh = true;
    if (byte >= 0x80 && byte < 0xa0) hasC1 = true;
  }
  if (control > Math.max(8, head.length * 0.02)) {
    return fail({ code: 'not-text', message: 'This file holds binary data, not a text table.', line: 1, remedy: 'Leave it out of the folder, or export it as text (CSV).' });
  }
  if (!hasHigh || isUtf8(head, !isWhole)) return ok({ label: 'utf-8', bomBytes: 0, way: 'as is', note: null });
  return ok({
    label: hasC1 ? 'windows-1252' : 'iso-8859-1',
    bomBytes: 0,
    way: 'as is',
    note: `Read as ${hasC1 ? 'Windows-1252' : 'Latin-1'} because its bytes are no valid UTF-8.`,
  });
}

/** Turns the raw chunks of one file into chunks in which every ASCII byte means itself, in order. */
export class ByteNormalizer {
  private readonly plan: TextEncodingPlan;
  private toSkip: number;
  private readonly decoder: TextDecoder | null;
  private readonly encoder = new TextEncoder();

  constructor(plan: TextEncodingPlan) {
    this.plan = plan;
    this.toSkip = plan.bomBytes;
    this.decoder = plan.way === 'convert' ? new TextDecoder(plan.label, { ignoreBOM: true }) : null;
  }

  /** Returns the next stretch of normalized bytes; the input is not modified and may be aliased by the result. */
  push(chunk: Uint8Array): Uint8Array {
    let bytes = chunk;
    if (this.toSkip > 0) {
      const skip = Math.min(this.toSkip, bytes.length);
      bytes = bytes.subarray(skip);
      this.toSkip -= skip;
    }
    if (this.decoder === null) return bytes;
    return this.encoder.encode(this.decoder.decode(bytes, { stream: true }));
  }

  /** Returns what was left of an unfinished character at the end of the file (as U+FFFD), usually nothing. */
  finish(): Uint8Array {
    if (this.decoder === null) return new Uint8Array(0);
    return this.encoder.encode(this.decoder.decode());
  }

  /** Label of the encoding of the normalized bytes. */
  get cellEncoding(): 'utf-8' | 'windows-1252' {
    return this.plan.way === 'convert' || this.plan.label === 'utf-8' ? 'utf-8' : 'windows-1252';
  }
}

/** Whether a byte and the one behind it can begin a letter of more than one byte in UTF-8. In single bytes they are two signs that no one writes side by side. */
function beginsLetter(buf: Uint8Array, at: number): boolean {
  const lead = buf[at] ?? 0;
  return lead >= 0xc2 && lead <= 0xf4 && ((buf[at + 1] ?? 0) & 0xc0) === 0x80;
}

/** Turns the bytes of single cells into text. */
export class CellDecoder {
  /** Cells that were no valid UTF-8 in a file taken as UTF-8 and were read as Windows-1252. */
  nOtherEncoding = 0;
  /** Cells of a file of single bytes that are UTF-8 all the same, and were read so. */
  nAsUtf8 = 0;
  private readonly isUtf8: boolean;
  private readonly strict = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
  private readonly single = new TextDecoder('windows-1252');

  constructor(encoding: 'utf-8' | 'windows-1252') {
    this.isUtf8 = encoding === 'utf-8';
  }

  /** Returns the text of `buf[start, end)`, blanks at both ends kept. */
  decode(buf: Uint8Array, start: number, end: number): string {
    let firstHigh = end;
    for (let i = start; i < end; i += 1) {
      if ((buf[i] ?? 0) > 127) {
        firstHigh = i;
        break;
      }
    }
    const ascii = firstHigh === end;
    if (ascii && end - start < 64) {
      let out = '';
      for (let i = start; i < end; i += 1) out += String.fromCharCode(buf[i] ?? 0);
      return out;
    }
    const bytes = buf.subarray(start, end);
    if (!this.isUtf8 && (ascii || !beginsLetter(buf, firstHigh))) return this.single.decode(bytes);
    try {
      const text = this.strict.decode(bytes);
      if (!this.isUtf8) this.nAsUtf8 += 1;
      return text;
    } catch {
      if (this.isUtf8) this.nOtherEncoding += 1;
      return this.single.decode(bytes);
    }
  }
}
