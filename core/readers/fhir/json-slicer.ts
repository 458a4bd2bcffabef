/*
 * Cuts JSON text into the values that are resources, so that a file of any size is read one resource at a time:
 * one value per line (NDJSON), or a document whose `entry` list (a Bundle), or whose outermost list, holds them.
 * Source: ECMA-404 for the signs; HL7 FHIR R4 for Bundle.entry and for NDJSON in bulk data.
 */

/** A resource longer than this is not taken in. */
export const MAX_VALUE_BYTES = 16 * 1024 * 1024;
/** Values nested deeper than this are not taken in; resources in use stay below 20. */
export const MAX_DEPTH = 64;

const QUOTE = 34;
const BACKSLASH = 92;
const OPEN_OBJECT = 123;
const CLOSE_OBJECT = 125;
const OPEN_LIST = 91;
const CLOSE_LIST = 93;
const COMMA = 44;
const COLON = 58;
const LF = 10;
const CR = 13;

export type SliceProblem = 'too long' | 'too deep' | 'not finished' | 'no JSON';

/** What the slicers hand on. The bytes belong to the receiver until the next push. */
export interface SliceSink {
  value(bytes: Uint8Array, line: number): void;
  broken(problem: SliceProblem, line: number): void;
}

export interface JsonSlicer {
  push(chunk: Uint8Array): void;
  finish(): void;
}

/** Bytes gathered over chunks, up to a limit. */
class Gathered {
  private parts: Uint8Array[] = [];
  private size = 0;
  isTooLong = false;

  add(bytes: Uint8Array, limit: number): void {
    if (this.isTooLong) return;
    if (this.size + bytes.length > limit) {
      this.isTooLong = true;
      this.parts = [];
      return;
    }
    // A copy: the source may reuse its buffer for the next chunk.
    this.parts.push(bytes.slice());
    this.size += bytes.length;
  }

  take(): Uint8Array {
    const [only, ...more] = this.parts;
    let out = only ?? new Uint8Array(0);
    if (more.length > 0) {
      out = new Uint8Array(this.size);
      let at = 0;
      for (const part of this.parts) {
        out.set(part, at);
        at += part.length;
      }
    }
    this.clear();
    return out;
  }

  clear(): void {
    this.parts = [];
    this.size = 0;
    this.isTooLong = false;
  }
}

/** Returns how deep the brackets of a JSON text are nested, counted only as far as `limit` + 1. */
export function depthOf(bytes: Uint8Array, limit: number): number {
  let depth = 0;
  let deepest = 0;
  let inString = false;
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i] as number; // i < length
    if (inString) {
      if (byte === BACKSLASH) i += 1;
      else if (byte === QUOTE) inString = false;
    } else if (byte === QUOTE) inString = true;
    else if (byte === OPEN_OBJECT || byte === OPEN_LIST) {
      depth += 1;
      if (depth > deepest) deepest = depth;
      if (deepest > limit) return deepest;
    } else if (byte === CLOSE_OBJECT || byte === CLOSE_LIST) depth -= 1;
  }
  return deepest;
}

function isBlank(byte: number): boolean {
  return byte <= 32;
}

/** Cuts text in which every line is one value: a broken line costs that line only. */
export class LineSlicer implements JsonSlicer {
  private readonly gathered = new Gathered();
  private line = 1;
  private endedWithCr = false;

  constructor(private readonly sink: SliceSink) {}

  push(chunk: Uint8Array): void {
    let from = 0;
    for (let i = 0; i < chunk.length; i += 1) {
      const byte = chunk[i] as number; // i < length
      const isLfOfCrLf = byte === LF && this.endedWithCr;
      this.endedWithCr = byte === CR;
      if (isLfOfCrLf) {
        from = i + 1;
        continue;
      }
      if (byte !== LF && byte !== CR) continue;
      this.gathered.add(chunk.subarray(from, i), MAX_VALUE_BYTES);
      this.emit();
      this.line += 1;
      from = i + 1;
    }
    this.gathered.add(chunk.subarray(from), MAX_VALUE_BYTES);
  }

  finish(): void {
    this.emit();
  }

  private emit(): void {
    if (this.gathered.isTooLong) {
      this.gathered.clear();
      this.sink.broken('too long', this.line);
      return;
    }
    const bytes = this.gathered.take();
    if (bytes.every(isBlank)) return;
    if (depthOf(bytes, MAX_DEPTH) > MAX_DEPTH) this.sink.broken('too deep', this.line);
    else this.sink.value(bytes, this.line);
  }
}

/**
 * Cuts a document: the elements of an outermost list, those of the outermost object's `entry`, or the outermost object itself.
 * Several outermost values may follow one another. Brackets that do not pair up leave the rest of the file in one broken value.
 */
export class DocumentSlicer implements JsonSlicer {
  /** What stands around the entries of each object that had some. */
  readonly shells: Uint8Array[] = [];
  /** The file ended inside an outermost value. */
  isUnfinished = false;
  private readonly element = new Gathered();
  private readonly shell = new Gathered();
  private line = 1;
  private startLine = 1;
  private before = 0;
  private depth = 0;
  private deepest = 0;
  private inString = false;
  private isEscaped = false;
  private isList = false;
  private hasEntries = false;
  /** Depth at which the elements of a list stand that are cut out; 0 outside such a list. */
  private elementDepth = 0;
  private isInElement = false;
  private isInJunk = false;
  /** The last string among the outermost object's keys and values, its first letters. */
  private word = '';
  private key = '';

  constructor(private readonly sink: SliceSink) {}

  push(chunk: Uint8Array): void {
    let from = 0;
    for (let i = 0; i < chunk.length; i += 1) {
      const byte = chunk[i] as number; // i < length
      if (byte === LF ? this.before !== CR : byte === CR) this.line += 1;
      this.before = byte;
      if (this.inString) {
        this.passStringByte(byte);
        continue;
      }
      if (isBlank(byte)) continue;
      if (this.depth === 0) {
        if (byte === OPEN_OBJECT || byte === OPEN_LIST) {
          this.open(byte);
          from = this.isList ? i + 1 : i;
        } else if (byte !== COMMA) this.startJunk();
        continue;
      }
      const isAtElement = this.elementDepth > 0 && this.depth === this.elementDepth;
      if (byte === CLOSE_OBJECT || byte === CLOSE_LIST) {
        if (isAtElement) {
          if (this.isInElement) this.endElement(chunk.subarray(from, i));
          from = i;
          this.elementDepth = 0;
        }
        this.depth -= 1;
        if (this.depth === 0) {
          if (!this.isList) this.endObject(chunk.subarray(from, i + 1));
          from = i + 1;
        }
        continue;
      }
      if (isAtElement) {
        if (byte === COMMA) {
          if (this.isInElement) this.endElement(chunk.subarray(from, i));
          continue;
        }
        if (!this.isInElement) {
          this.isInElement = true;
          this.startLine = this.line;
          this.deepest = this.depth;
          from = i;
        }
      }
      if (byte === QUOTE) {
        this.inString = true;
        if (this.depth === 1) this.word = '';
      } else if (byte === COLON) {
        if (this.depth === 1) this.key = this.word;
      } else if (byte === OPEN_OBJECT || byte === OPEN_LIST) {
        this.depth += 1;
        if (this.depth > this.deepest) this.deepest = this.depth;
        if (this.depth === 2 && byte === OPEN_LIST && !this.isList && this.key === 'entry') {
          this.shell.add(chunk.subarray(from, i + 1), MAX_VALUE_BYTES);
          this.elementDepth = 2;
          this.hasEntries = true;
        }
      }
    }
    if (this.isInElement) this.element.add(chunk.subarray(from), MAX_VALUE_BYTES);
    else if (this.depth > 0 && this.elementDepth === 0) this.shell.add(chunk.subarray(from), MAX_VALUE_BYTES);
  }

  finish(): void {
    this.endJunk();
    if (this.depth === 0) return;
    this.isUnfinished = true;
    if (this.isInElement || !(this.hasEntries || this.isList)) this.sink.broken('not finished', this.startLine);
  }

  private passStringByte(byte: number): void {
    if (this.isEscaped) this.isEscaped = false;
    else if (byte === BACKSLASH) this.isEscaped = true;
    else if (byte === QUOTE) {
      this.inString = false;
      return;
    }
    if (this.depth === 1 && this.word.length < 16) this.word += String.fromCharCode(byte);
  }

  private open(byte: number): void {
    this.endJunk();
    this.isList = byte === OPEN_LIST;
    this.elementDepth = this.isList ? 1 : 0;
    this.depth = 1;
    this.deepest = 1;
    this.key = '';
    this.hasEntries = false;
    this.startLine = this.line;
    this.shell.clear();
  }

  private endElement(last: Uint8Array): void {
    this.isInElement = false;
    this.element.add(last, MAX_VALUE_BYTES);
    this.hand(this.element, this.deepest - this.elementDepth);
  }

  private endObject(last: Uint8Array): void {
    this.shell.add(last, MAX_VALUE_BYTES);
    if (!this.hasEntries) {
      this.hand(this.shell, this.deepest);
      return;
    }
    if (!this.shell.isTooLong) this.shells.push(this.shell.take());
    this.shell.clear();
  }

  private hand(gathered: Gathered, depth: number): void {
    if (gathered.isTooLong) this.sink.broken('too long', this.startLine);
    else if (depth > MAX_DEPTH) this.sink.broken('too deep', this.startLine);
    else this.sink.value(gathered.take(), this.startLine);
    gathered.clear();
  }

  private startJunk(): void {
    if (this.isInJunk) return;
    this.isInJunk = true;
    this.startLine = this.line;
  }

  private endJunk(): void {
    if (this.isInJunk) this.sink.broken('no JSON', this.startLine);
    this.isInJunk = false;
  }
}
