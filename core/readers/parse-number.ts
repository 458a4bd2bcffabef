import type { DecimalMark } from '../model/mapping.ts';
import { ByteMap } from './byte-map.ts';
import { isFillerWord, saysSensorLost } from './cell-words.ts';
import type { CellDecoder } from './decode-text.ts';

/** What a value cell turned out to be. */
export const CELL = { number: 0, empty: 1, filler: 2, unreadable: 3, lostWord: 4 } as const;
export type CellCode = (typeof CELL)[keyof typeof CELL];

export interface ParsedNumber {
  readonly value: number;
  readonly code: CellCode;
  /** Marks stuck to the number (`*`), '' when there are none. */
  readonly marks: string;
  /** The decimal mark was not the one of the file. */
  readonly isOtherMark: boolean;
}

const POWERS: readonly number[] = [1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];
const UNITS_BEHIND = /\s*(?:%|‰|\/min|bpm|1\/min|min-1|mm\s?hg|kpa|°\s?[cf]|[cf]|pm|s|sec|mg|ml)\.?$/i;

/** Returns whether `text` is a plain number with thousands marks of the given kinds before `decimal`. */
function ungroup(text: string, decimal: DecimalMark): string | null {
  const pattern = decimal === '.' ? /^[+-]?\d{1,3}(?:[,'’ \u00a0\u202f]\d{3})+(?:\.\d+)?$/ : /^[+-]?\d{1,3}(?:[.'’ \u00a0\u202f]\d{3})+(?:,\d+)?$/;
  if (!pattern.test(text)) return null;
  return decimal === '.' ? text.replace(/[^\d.+-]/g, '') : text.replace(/[^\d,+-]/g, '').replace(',', '.');
}

const PLAIN_POINT = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i;
const PLAIN_COMMA = /^[+-]?(?:\d+,?\d*|,\d+)(?:e[+-]?\d+)?$/i;

/** Returns what the text of a value cell says under a decimal mark. Never guesses a value that is not written. */
export function parseNumberText(text: string, decimal: DecimalMark): ParsedNumber {
  let body = text.trim().replace(/^[\u2212\u2013](?=[\d.,])/, '-');
  if (body === '') return { value: NaN, code: CELL.empty, marks: '', isOtherMark: false };
  if (body.length > 64) return { value: NaN, code: saysSensorLost(body.slice(0, 200)) ? CELL.lostWord : CELL.unreadable, marks: '', isOtherMark: false };
  if (isFillerWord(body)) return { value: NaN, code: CELL.filler, marks: '', isOtherMark: false };
  const plain = readPlain(body, decimal);
  if (plain !== null) return { ...plain, code: CELL.number, marks: '' };
  let marks = '';
  const behind = /^(.*\d)\s*([*?!#†‡§+]+|[HL]|[↑↓])$/u.exec(body);
  if (behind !== null) {
    body = behind[1] ?? body;
    marks += behind[2] ?? '';
  }
  const before = /^([*<>~≈!?]+)\s*([+-]?[\d.,].*)$/u.exec(body);
  if (before !== null) {
    marks = (before[1] ?? '') + marks;
    body = before[2] ?? body;
  }
  body = body.replace(UNITS_BEHIND, '').trim();
  const marked = readPlain(body, decimal);
  if (marked !== null) return { ...marked, code: CELL.number, marks };
  return { value: NaN, code: saysSensorLost(text) ? CELL.lostWord : CELL.unreadable, marks: '', isOtherMark: false };
}

function readPlain(body: string, decimal: DecimalMark): { value: number; isOtherMark: boolean } | null {
  if (decimal === '.' ? PLAIN_POINT.test(body) : PLAIN_COMMA.test(body)) {
    const value = Number(decimal === '.' ? body : body.replace(',', '.'));
    return Number.isFinite(value) ? { value, isOtherMark: false } : null;
  }
  const grouped = ungroup(body, decimal);
  if (grouped !== null) return { value: Number(grouped), isOtherMark: false };
  if (decimal === '.' ? PLAIN_COMMA.test(body) : PLAIN_POINT.test(body)) {
    const value = Number(body.replace(',', '.'));
    return Number.isFinite(value) ? { value, isOtherMark: true } : null;
  }
  return null;
}

/**
 * Reads numbers from bytes. Plain numbers (`97`, `-1.25`) are read without making text; everything else goes through
 * `parseNumberText`, whose answers are remembered by bytes.
 * The two ways give the same double: up to 15 digits an integer divided by a power of ten is rounded once.
 */
export class NumberReader {
  /** Code of the last cell. */
  code: CellCode = CELL.empty;
  /** Marks stuck to the last number. */
  marks = '';
  nMarked = 0;
  nOtherMark = 0;
  private readonly decimalByte: number;
  private readonly known = new ByteMap<ParsedNumber>(5000);

  constructor(
    readonly decimal: DecimalMark,
    private readonly decoder: CellDecoder,
  ) {
    this.decimalByte = decimal === '.' ? 46 : 44;
  }

  /** Returns the number in `buf[start, end)`, NaN with `code` saying why when there is none. */
  read(buf: Uint8Array, start: number, end: number): number {
    let s = start;
    let e = end;
    while (s < e && (buf[s] as number) <= 32) s += 1; // s < e
    while (e > s && (buf[e - 1] as number) <= 32) e -= 1; // e > s
    this.marks = '';
    if (s === e) {
      this.code = CELL.empty;
      return NaN;
    }
    let i = s;
    let isNegative = false;
    const sign = buf[i];
    if (sign === 45 || sign === 43) {
      isNegative = sign === 45;
      i += 1;
    }
    let mantissa = 0;
    let digits = 0;
    let scale = -1;
    for (; i < e; i += 1) {
      const byte = buf[i] as number; // i < e
      if (byte >= 48 && byte <= 57) {
        mantissa = mantissa * 10 + (byte - 48);
        digits += 1;
        if (scale >= 0) scale += 1;
      } else if (byte === this.decimalByte && scale === -1) {
        scale = 0;
      } else {
        break;
      }
    }
    if (i === e && digits > 0 && digits <= 15) {
      this.code = CELL.number;
      const size = scale > 0 ? mantissa / (POWERS[scale] as number) : mantissa; // scale <= digits <= 15
      return isNegative ? -size : size;
    }
    return this.readSlowly(buf, s, e);
  }

  private readSlowly(buf: Uint8Array, start: number, end: number): number {
    let parsed = this.known.get(buf, start, end);
    if (parsed === undefined) {
      parsed = parseNumberText(this.decoder.decode(buf, start, end), this.decimal);
      this.known.set(buf, start, end, parsed);
    }
    this.code = parsed.code;
    this.marks = parsed.marks;
    if (parsed.marks !== '') this.nMarked += 1;
    if (parsed.isOtherMark) this.nOtherMark += 1;
    return parsed.value;
  }
}
