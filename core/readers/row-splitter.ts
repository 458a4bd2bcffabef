import Papa from 'papaparse';

const LF = 10;
const CR = 13;
const QUOTE = 34;
const SPACE = 32;

/** Longest record that is read. Longer ones are rejected as a whole and reading goes on after their end. */
export const MAX_RECORD_BYTES = 1_048_576;
/** A quoted cell longer than this is taken as a quote mark that was never closed. */
export const MAX_QUOTED_BYTES = 65_536;
export const MAX_QUOTED_LINES = 200;
const MAX_CELLS = 4096;
/** Of a record that is too long, this much is kept for the list of rejected rows. */
const KEPT_OF_LONG_RECORD = 400;

/** One record, valid only during the call it is handed to: the arrays are used again for the next one. */
export class RowView {
  /** Bytes that `starts` and `ends` point into. */
  buf: Uint8Array = new Uint8Array(0);
  starts = new Int32Array(64);
  ends = new Int32Array(64);
  n = 0;
  /** Physical line on which the record starts, from 1. */
  line = 1;
  /** The record as it stands in the file, without its line end. */
  rawBuf: Uint8Array = new Uint8Array(0);
  rawStart = 0;
  rawEnd = 0;

  /** Makes room for at least `count` cells; what is there is kept. */
  reserve(count: number): void {
    if (count <= this.starts.length) return;
    const size = Math.max(count, this.starts.length * 2);
    const starts = new Int32Array(size);
    const ends = new Int32Array(size);
    starts.set(this.starts);
    ends.set(this.ends);
    this.starts = starts;
    this.ends = ends;
  }

  /** Returns the start of cell `i`, blanks skipped. */
  trimmedStart(i: number): number {
    let s = this.starts[i] ?? 0;
    const e = this.ends[i] ?? 0;
    while (s < e && (this.buf[s] ?? 0) <= SPACE) s += 1;
    return s;
  }

  /** Returns the end of cell `i`, blanks skipped; never before its trimmed start. */
  trimmedEnd(i: number): number {
    const s = this.starts[i] ?? 0;
    let e = this.ends[i] ?? 0;
    while (e > s && (this.buf[e - 1] ?? 0) <= SPACE) e -= 1;
    return e;
  }

  /** Returns whether cell `i` holds nothing but blanks, or is not there. */
  isEmpty(i: number): boolean {
    if (i >= this.n) return true;
    const e = this.ends[i] ?? 0;
    for (let s = this.starts[i] ?? 0; s < e; s += 1) if ((this.buf[s] ?? 0) > SPACE) return false;
    return true;
  }
}

export type SplitProblem = 'quote mark not closed' | 'quote mark out of place' | 'line too long' | 'too many cells';

/** Takes the records of one file in order. */
export interface RowSink {
  row(row: RowView): void;
  /** A physical line (or over-long record) that cannot be cut into cells. */
  broken(line: number, problem: SplitProblem, buf: Uint8Array, start: number, end: number): void;
  /** A line with nothing but blanks. */
  blank(line: number): void;
}

export interface SplitRules {
  /** Byte between cells; -1: every line is one cell. */
  readonly delimiter: number;
  /** Whether `"` at the start of a cell quotes it. */
  readonly quotes: boolean;
  /** 'scan': plain records are cut from bytes and Papa Parse takes those with doubled quotes or line breaks; 'papa': it takes all. */
  readonly way: 'scan' | 'papa';
}

/** Returns bytes as text of one character per byte, so that cells can go through a text parser and come back unchanged. */
function bytesAsText(buf: Uint8Array, start: number, end: number): string {
  let out = '';
  for (let at = start; at < end; at += 8192) out += String.fromCharCode(...buf.subarray(at, Math.min(end, at + 8192)));
  return out;
}

/**
 * Cuts a stream of bytes in an ASCII-compatible encoding into records and cells, counting physical lines (LF, CR and CRLF alike).
 * Chunk borders change nothing. Memory stays within one chunk plus one record.
 *
 * Two traps of the text parser are kept away from it: its row numbers are not line numbers, so lines are counted here; and a quote
 * that is never closed would swallow the rest of the file, so a quoted cell must close within limits, be followed by a
 * delimiter or line end, and must not contain lines that look like records themselves. Otherwise its first line is
 * reported as broken and reading goes on with the next one.
 */
export class RowSplitter {
  private readonly rules: SplitRules;
  private readonly sink: RowSink;
  private readonly row = new RowView();
  private carry: Uint8Array = new Uint8Array(0);
  private line = 1;
  private isSkipping = false;
  private skipEndsInCr = false;
  private readonly delimiterText: string;
  private scratch = new Uint8Array(1024);

  constructor(rules: SplitRules, sink: RowSink) {
    this.rules = rules;
    this.sink = sink;
    this.delimiterText = rules.delimiter === -1 ? '' : String.fromCharCode(rules.delimiter);
  }

  /** Takes the next bytes and hands on every record that is complete. The bytes may be reused by the caller afterwards. */
  push(chunk: Uint8Array): void {
    let bytes = chunk;
    if (this.carry.length > 0) {
      bytes = new Uint8Array(this.carry.length + chunk.length);
      bytes.set(this.carry);
      bytes.set(chunk, this.carry.length);
    }
    const used = this.consume(bytes, false);
    this.carry = bytes.slice(used);
  }

  /** Hands on what is left after the last byte. */
  finish(): void {
    if (this.carry.length > 0) this.consume(this.carry, true);
    this.carry = new Uint8Array(0);
  }

  /** Ends what was handed in so far and goes on as if the next byte were the first of `line`: what lies between is left out. */
  leapTo(line: number): void {
    this.finish();
    this.isSkipping = false;
    this.line = line;
  }

  /** Lines seen so far. */
  get lines(): number {
    return this.line;
  }

  private consume(buf: Uint8Array, isLast: boolean): number {
    let at = 0;
    if (this.isSkipping) {
      at = this.skipRest(buf, isLast);
      if (this.isSkipping) return at;
    }
    while (at < buf.length) {
      const next = this.takeRecord(buf, at, isLast);
      if (next === -1) {
        if (buf.length - at <= MAX_RECORD_BYTES) return at;
        const broken = this.breakLine(buf, at, 'line too long', isLast);
        if (broken !== -1) {
          at = broken;
          continue;
        }
        this.sink.broken(this.line, 'line too long', buf, at, at + KEPT_OF_LONG_RECORD);
        this.isSkipping = true;
        this.skipEndsInCr = false;
        at = this.skipRest(buf.subarray(at), isLast) + at;
        if (this.isSkipping) return at;
        continue;
      }
      at = next;
    }
    return at;
  }

  /** Drops bytes up to the end of the line that was too long. */
  private skipRest(buf: Uint8Array, isLast: boolean): number {
    if (this.skipEndsInCr) {
      if (buf.length === 0) return 0;
      this.isSkipping = false;
      this.skipEndsInCr = false;
      this.line += 1;
      return buf[0] === LF ? 1 : 0;
    }
    for (let i = 0; i < buf.length; i += 1) {
      const byte = buf[i];
      if (byte !== LF && byte !== CR) continue;
      if (byte === CR && i + 1 === buf.length && !isLast) {
        this.skipEndsInCr = true;
        return buf.length;
      }
      this.isSkipping = false;
      this.line += 1;
      return byte === CR && buf[i + 1] === LF ? i + 2 : i + 1;
    }
    return buf.length;
  }

  /** Returns where the record after `start` ends (line end included), or -1 when more bytes are needed. */
  private takeRecord(buf: Uint8Array, start: number, isLast: boolean): number {
    const row = this.row;
    const length = buf.length;
    const delimiter = this.rules.delimiter;
    const quotes = this.rules.quotes;
    let n = 0;
    let i = start;
    let isPlain = true;
    // Most bytes of a table lie above every special one, so one comparison is enough for them.
    const highest = delimiter > CR ? delimiter : CR;
    let extraLines = 0;
    let end = -1;
    let next = -1;
    let starts = row.starts;
    let ends = row.ends;
    for (;;) {
      if (n === starts.length) {
        if (n >= MAX_CELLS) return this.breakLine(buf, start, 'too many cells', isLast);
        row.n = n;
        row.reserve(n + 1);
        starts = row.starts;
        ends = row.ends;
      }
      let cellStart = i;
      let cellEnd = -1;
      if (quotes && i < length && buf[i] === QUOTE) {
        let j = i + 1;
        let lines = 0;
        let isClosed = false;
        let hasDouble = false;
        while (j < length) {
          const byte = buf[j];
          if (byte === QUOTE) {
            if (j + 1 >= length && !isLast) return this.needMore(buf, start, i, isLast);
            if (buf[j + 1] === QUOTE) {
              hasDouble = true;
              j += 2;
              continue;
            }
            isClosed = true;
            break;
          }
          if (byte === LF || (byte === CR && buf[j + 1] !== LF)) {
            lines += 1;
            if (lines > MAX_QUOTED_LINES) return this.breakLine(buf, start, 'quote mark not closed', isLast);
          }
          j += 1;
          if (j - i > MAX_QUOTED_BYTES) return this.breakLine(buf, start, 'quote mark not closed', isLast);
        }
        if (!isClosed) {
          if (!isLast) return this.needMore(buf, start, i, isLast);
          return this.breakLine(buf, start, 'quote mark not closed', isLast);
        }
        cellStart = i + 1;
        cellEnd = j;
        j += 1;
        while (j < length && buf[j] === SPACE) j += 1;
        if (j >= length && !isLast) return -1;
        const after = j < length ? buf[j] : LF;
        if (after !== delimiter && after !== LF && after !== CR) return this.breakLine(buf, start, lines > 0 ? 'quote mark not closed' : 'quote mark out of place', isLast);
        if (lines > 0) {
          const verdict = this.swallowsRecords(buf, start, j, isLast);
          if (verdict === 'more') return -1;
          if (verdict === 'yes') return this.breakLine(buf, start, 'quote mark not closed', isLast);
        }
        if (lines > 0 || hasDouble) isPlain = false;
        extraLines += lines;
        i = j;
      } else {
        while (i < length) {
          const byte = buf[i] as number; // i < length
          if (byte <= highest && (byte === delimiter || byte === LF || byte === CR)) break;
          i += 1;
        }
        cellEnd = i;
      }
      starts[n] = cellStart;
      ends[n] = cellEnd;
      n += 1;
      if (i >= length) {
        if (!isLast) return -1;
        end = length;
        next = length;
        break;
      }
      const byte = buf[i];
      if (byte === delimiter) {
        i += 1;
        continue;
      }
      end = i;
      if (byte === CR) {
        if (i + 1 >= length && !isLast) return -1;
        next = buf[i + 1] === LF ? i + 2 : i + 1;
      } else {
        next = i + 1;
      }
      break;
    }
    if (end - start > MAX_RECORD_BYTES) return this.breakLine(buf, start, 'line too long', isLast);
    if (isBlank(buf, start, end)) {
      this.sink.blank(this.line);
      this.line += 1;
      return next;
    }
    row.n = n;
    row.buf = buf;
    row.rawBuf = buf;
    row.rawStart = start;
    row.rawEnd = end;
    row.line = this.line;
    if ((!isPlain || this.rules.way === 'papa') && !this.splitByPapa(buf, start, end)) {
      return this.breakLine(buf, start, 'quote mark out of place', isLast);
    }
    this.line += 1 + extraLines;
    this.sink.row(row);
    return next;
  }

  /** Returns -1 (more bytes needed) unless an open quote has already gone on for too long. */
  private needMore(buf: Uint8Array, start: number, quoteAt: number, isLast: boolean): number {
    if (buf.length - quoteAt > MAX_QUOTED_BYTES) return this.breakLine(buf, start, 'quote mark not closed', isLast);
    return -1;
  }

  /** Reports the physical line at `start` as broken and returns where the next one starts (-1 when its end is not there yet). */
  private breakLine(buf: Uint8Array, start: number, problem: SplitProblem, isLast: boolean): number {
    let i = start;
    while (i < buf.length && buf[i] !== LF && buf[i] !== CR) i += 1;
    if (i >= buf.length - 1 && !isLast && (i === buf.length || buf[i] === CR)) return -1;
    const isLong = i - start > MAX_RECORD_BYTES;
    this.sink.broken(this.line, isLong ? 'line too long' : problem, buf, start, isLong ? start + KEPT_OF_LONG_RECORD : i);
    this.line += 1;
    if (i >= buf.length) return buf.length;
    return buf[i] === CR && buf[i + 1] === LF ? i + 2 : i + 1;
  }

  /**
   * Returns whether a quoted cell over several lines, in a record that starts at `start`, holds lines that are records themselves:
   * as many delimiters as the record's own first line, and a first cell of the same shape (`99:99:99`).
   */
  private swallowsRecords(buf: Uint8Array, start: number, closeAt: number, isLast: boolean): 'yes' | 'no' | 'more' {
    if (this.rules.delimiter === -1) return 'no';
    let own = '';
    let at = start;
    while (at <= closeAt && at < buf.length) {
      let end = at;
      let delimiters = 0;
      let firstEnd = -1;
      while (end < buf.length && buf[end] !== LF && buf[end] !== CR) {
        if (buf[end] === this.rules.delimiter) {
          delimiters += 1;
          if (firstEnd === -1) firstEnd = end;
        }
        end += 1;
      }
      if (end >= buf.length && !isLast) return 'more';
      const signature = delimiters === 0 ? '' : `${delimiters} ${shapeOf(buf, at, Math.min(firstEnd, at + 40))}`;
      if (at === start) {
        if (delimiters < 1 || !/9/.test(signature.slice(signature.indexOf(' ')))) return 'no';
        own = signature;
      } else if (signature === own) return 'yes';
      at = buf[end] === CR && buf[end + 1] === LF ? end + 2 : end + 1;
    }
    return 'no';
  }

  /** Fills the row with the cells that Papa Parse finds in one record; false when it finds other than one clean record. */
  private splitByPapa(buf: Uint8Array, start: number, end: number): boolean {
    const text = bytesAsText(buf, start, end);
    const parsed = Papa.parse<string[]>(text, { delimiter: this.delimiterText, newline: '\n', quoteChar: this.rules.quotes ? '"' : '\u0000', header: false });
    const [cells] = parsed.data;
    if (cells === undefined || parsed.data.length !== 1 || parsed.errors.some((error) => error.type === 'Quotes')) return false;
    if (cells.length > MAX_CELLS) return false;
    let size = 0;
    for (const cell of cells) size += cell.length;
    if (this.scratch.length < size) this.scratch = new Uint8Array(size * 2);
    const row = this.row;
    row.reserve(cells.length);
    let at = 0;
    for (const [i, cell] of cells.entries()) {
      row.starts[i] = at;
      for (let k = 0; k < cell.length; k += 1) this.scratch[at + k] = cell.charCodeAt(k);
      at += cell.length;
      row.ends[i] = at;
    }
    row.buf = this.scratch;
    row.n = cells.length;
    return true;
  }
}

/** Returns whether a stretch of bytes holds nothing but blanks and control characters. */
function isBlank(buf: Uint8Array, start: number, end: number): boolean {
  for (let i = start; i < end; i += 1) if ((buf[i] ?? 0) > SPACE) return false;
  return true;
}

/** Returns the shape of a cell: digits as 9, letters as a, the rest as it is, runs of letters shortened. */
function shapeOf(buf: Uint8Array, start: number, end: number): string {
  let out = '';
  for (let i = start; i < end; i += 1) {
    const byte = buf[i] ?? 0;
    if (byte >= 48 && byte <= 57) out += '9';
    else if ((byte | 32) >= 97 && (byte | 32) <= 122) {
      if (!out.endsWith('a')) out += 'a';
    } else out += String.fromCharCode(byte);
  }
  return out;
}
