/** A longer segment is not taken in; an observation has some hundred characters. */
export const MAX_SEGMENT_BYTES = 1024 * 1024;

const LF = 10;
const VT = 11;
const CR = 13;
const FS = 28;

export interface SegmentSink {
  segment(bytes: Uint8Array, line: number): void;
  tooLong(line: number): void;
}

/**
 * Cuts a stream into segments at carriage returns, and at line feeds, which files often have instead or besides. The frame of
 * the lower layer protocol (bytes 11 and 28 around each message) is taken off.
 * Source: HL7 v2, chapter 2, and its minimal lower layer protocol, from memory.
 */
export class SegmentCutter {
  private parts: Uint8Array[] = [];
  private size = 0;
  private isTooLong = false;
  private line = 1;
  private before = 0;

  constructor(private readonly sink: SegmentSink) {}

  push(chunk: Uint8Array): void {
    let from = 0;
    for (let i = 0; i < chunk.length; i += 1) {
      const byte = chunk[i] as number; // i < length
      if (byte === LF || byte === CR || byte === VT || byte === FS) {
        this.keep(chunk.subarray(from, i));
        this.emit();
        if (byte === CR || (byte === LF && this.before !== CR)) this.line += 1;
        from = i + 1;
      }
      this.before = byte;
    }
    this.keep(chunk.subarray(from));
  }

  finish(): void {
    this.emit();
  }

  private keep(bytes: Uint8Array): void {
    if (bytes.length === 0 || this.isTooLong) return;
    this.size += bytes.length;
    if (this.size > MAX_SEGMENT_BYTES) {
      this.isTooLong = true;
      this.parts = [];
      return;
    }
    // A copy: the source may reuse its buffer for the next chunk.
    this.parts.push(bytes.slice());
  }

  private emit(): void {
    const { parts, size, isTooLong } = this;
    this.parts = [];
    this.size = 0;
    this.isTooLong = false;
    if (isTooLong) {
      this.sink.tooLong(this.line);
      return;
    }
    const [only = new Uint8Array(0), ...more] = parts;
    let bytes = only;
    if (more.length > 0) {
      bytes = new Uint8Array(size);
      let at = 0;
      for (const part of parts) {
        bytes.set(part, at);
        at += part.length;
      }
    }
    if (bytes.some((byte) => byte > 32)) this.sink.segment(bytes, this.line);
  }
}
