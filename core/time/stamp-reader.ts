import { DAY_MS } from './civil.ts';
import { parseDate, type DatePartOrder } from './parse-date.ts';

const ZERO = 48;
const COLON = 58;
const DOT = 46;
const COMMA = 44;
const SPACE = 32;
const PLUS = 43;
const MINUS = 45;
const MAX_STAMP_BYTES = 48;

function isDigit(byte: number | undefined): boolean {
  return byte !== undefined && byte >= 48 && byte <= 57;
}

/** Returns the byte's lower-case letter for A to Z, the byte itself otherwise. */
function lower(byte: number | undefined): number {
  if (byte === undefined) return 0;
  return byte >= 65 && byte <= 90 ? byte + 32 : byte;
}

/** Returns the text of bytes taken one by one; enough for dates, whose accents may come in two bytes. */
function textOf(buf: Uint8Array, start: number, end: number): string {
  let ascii = true;
  for (let i = start; i < end; i += 1) if ((buf[i] ?? 0) > 127) ascii = false;
  if (!ascii) {
    try {
      return new TextDecoder('utf-8', { fatal: true }).decode(buf.subarray(start, end));
    } catch {
      return new TextDecoder('windows-1252').decode(buf.subarray(start, end));
    }
  }
  let out = '';
  for (let i = start; i < end; i += 1) out += String.fromCharCode(buf[i] ?? 0);
  return out;
}

/**
 * Reads date-and-time stamps, dates and clock times from bytes of an ASCII-compatible encoding.
 * The last date's bytes are remembered, so a file of one day parses its date once. The fields describe the last stamp read.
 * Units    milliseconds; a stamp is wall-clock time counted as if it were UTC unless `offsetMin` is a number,
 *          in which case the offset has already been taken off and the result is UTC.
 * Missing  NaN when the text is not such a stamp.
 */
export class StampReader {
  readonly order: DatePartOrder;
  /** Minutes east of UTC written in the last stamp, NaN when none was. */
  offsetMin = NaN;
  /** The last stamp had seconds, and they (with their fraction) were not nought. */
  hasSeconds = false;
  secondsAreZero = true;
  /** The last stamp had hours and minutes. */
  hasClock = false;
  /** The last stamp used a 12-hour clock. */
  isTwelveHour = false;
  private readonly dateBytes = new Uint8Array(MAX_STAMP_BYTES);
  private dateLength = -1;
  private dateDays = NaN;

  constructor(order: DatePartOrder) {
    this.order = order;
  }

  /** Returns the instant of a date-and-time stamp in `buf[start, end)`. A date alone is its midnight. */
  readStamp(buf: Uint8Array, start: number, end: number): number {
    let s = start;
    let e = end;
    while (s < e && (buf[s] ?? 0) <= SPACE) s += 1;
    while (e > s && (buf[e - 1] ?? 0) <= SPACE) e -= 1;
    this.offsetMin = NaN;
    this.hasSeconds = false;
    this.secondsAreZero = true;
    this.hasClock = false;
    this.isTwelveHour = false;
    const length = e - s;
    if (length < 6 || length > MAX_STAMP_BYTES) return NaN;
    let colon = s;
    while (colon < e && buf[colon] !== COLON) colon += 1;
    if (colon === e) return this.readWithoutColon(buf, s, e);
    let hourStart = colon;
    while (hourStart > s && colon - hourStart < 2 && isDigit(buf[hourStart - 1])) hourStart -= 1;
    if (hourStart === colon || hourStart === s) return NaN;
    let dateEnd = hourStart;
    const before = buf[dateEnd - 1];
    if (isDigit(before)) return NaN;
    if (lower(before) === 116 && isDigit(buf[dateEnd - 2])) dateEnd -= 1;
    while (dateEnd > s) {
      const byte = buf[dateEnd - 1] ?? 0;
      if (byte > SPACE && byte !== COMMA && byte !== 95) break;
      dateEnd -= 1;
    }
    const days = this.daysOf(buf, s, dateEnd);
    if (Number.isNaN(days)) return NaN;
    const clock = this.readClock(buf, hourStart, e);
    if (Number.isNaN(clock)) return NaN;
    const wall = days * DAY_MS + clock;
    return Number.isNaN(this.offsetMin) ? wall : wall - this.offsetMin * 60_000;
  }

  /** Returns days since 1970-01-01 of a date without a clock time. */
  readDate(buf: Uint8Array, start: number, end: number): number {
    let s = start;
    let e = end;
    while (s < e && (buf[s] ?? 0) <= SPACE) s += 1;
    while (e > s && (buf[e - 1] ?? 0) <= SPACE) e -= 1;
    if (e - s < 6 || e - s > MAX_STAMP_BYTES) return NaN;
    const days = this.daysOf(buf, s, e);
    if (!Number.isNaN(days)) return days;
    const stamp = this.readStamp(buf, s, e);
    return Number.isNaN(stamp) || stamp % DAY_MS !== 0 ? NaN : stamp / DAY_MS;
  }

  /**
   * Returns milliseconds after midnight of `h:mm[:ss[.fff]] [AM|PM] [Z|±hh:mm]`, `24:00` included.
   * With `isElapsed` hours may exceed 24 and minutes are not limited to 59 where they come first (`75:30` is not read so).
   */
  readClock(buf: Uint8Array, start: number, end: number, isElapsed = false): number {
    let s = start;
    let e = end;
    while (s < e && (buf[s] ?? 0) <= SPACE) s += 1;
    while (e > s && (buf[e - 1] ?? 0) <= SPACE) e -= 1;
    this.offsetMin = NaN;
    this.hasSeconds = false;
    this.secondsAreZero = true;
    this.hasClock = false;
    this.isTwelveHour = false;
    let i = s;
    let hour = 0;
    let digits = 0;
    while (i < e && isDigit(buf[i]) && digits < 5) {
      hour = hour * 10 + (buf[i] ?? ZERO) - ZERO;
      i += 1;
      digits += 1;
    }
    if (digits === 0 || (digits > 2 && !isElapsed)) return NaN;
    if (buf[i] !== COLON || !isDigit(buf[i + 1]) || !isDigit(buf[i + 2]) || i + 3 > e) return NaN;
    const minute = ((buf[i + 1] ?? ZERO) - ZERO) * 10 + (buf[i + 2] ?? ZERO) - ZERO;
    i += 3;
    let ms = 0;
    if (i < e && buf[i] === COLON) {
      if (!isDigit(buf[i + 1]) || !isDigit(buf[i + 2]) || i + 3 > e) return NaN;
      const second = ((buf[i + 1] ?? ZERO) - ZERO) * 10 + (buf[i + 2] ?? ZERO) - ZERO;
      if (second > 60) return NaN;
      i += 3;
      ms = second * 1000;
      this.hasSeconds = true;
      const mark = buf[i];
      if (i < e && (mark === DOT || mark === COMMA || mark === 95 || mark === COLON)) {
        let scale = 100;
        let fraction = 0;
        let j = i + 1;
        while (j < e && isDigit(buf[j])) {
          fraction += ((buf[j] ?? ZERO) - ZERO) * scale;
          scale /= 10;
          j += 1;
        }
        if (j === i + 1) return NaN;
        ms += Math.round(fraction);
        i = j;
      }
      this.secondsAreZero = ms === 0;
    }
    if (minute > 59) return NaN;
    while (i < e && (buf[i] ?? 0) <= SPACE) i += 1;
    const letter = lower(buf[i]);
    if (i < e && (letter === 97 || letter === 112)) {
      let j = i + 1;
      if (buf[j] === DOT) j += 1;
      if (j < e && lower(buf[j]) === 109) j += 1;
      if (j < e && buf[j] === DOT) j += 1;
      if (hour < 1 || hour > 12) return NaN;
      hour = (hour % 12) + (letter === 112 ? 12 : 0);
      this.isTwelveHour = true;
      i = j;
      while (i < e && (buf[i] ?? 0) <= SPACE) i += 1;
    }
    if (i < e) {
      const after = this.readOffset(buf, i, e);
      if (!after) return NaN;
    }
    if (!isElapsed && (hour > 24 || (hour === 24 && (minute > 0 || ms > 0)))) return NaN;
    this.hasClock = true;
    return hour * 3_600_000 + minute * 60_000 + ms;
  }

  /** Sets `offsetMin` from `Z`, `UTC`, `+01:00`, `+0100`, `+01`; false when the bytes are none of these. */
  private readOffset(buf: Uint8Array, start: number, end: number): boolean {
    let i = start;
    const first = lower(buf[i]);
    if (first === 122 && end - i === 1) {
      this.offsetMin = 0;
      return true;
    }
    if (end - i >= 3 && ((first === 117 && lower(buf[i + 1]) === 116 && lower(buf[i + 2]) === 99) || (first === 103 && lower(buf[i + 1]) === 109 && lower(buf[i + 2]) === 116))) {
      i += 3;
      if (i === end) {
        this.offsetMin = 0;
        return true;
      }
    }
    let sign = 0;
    if (buf[i] === PLUS) sign = 1;
    else if (buf[i] === MINUS) sign = -1;
    else if (end - i >= 4 && buf[i] === 0xe2 && buf[i + 1] === 0x88 && buf[i + 2] === 0x92) {
      sign = -1;
      i += 2;
    }
    if (sign === 0) return false;
    i += 1;
    const digits: number[] = [];
    for (; i < end; i += 1) {
      const byte = buf[i] ?? 0;
      if (isDigit(byte)) digits.push(byte - ZERO);
      else if (byte !== COLON || digits.length !== 2) return false;
    }
    const [h1 = 0, h2 = 0, m1 = 0, m2 = 0] = digits;
    if (digits.length !== 2 && digits.length !== 4) return false;
    const hours = h1 * 10 + h2;
    const minutes = m1 * 10 + m2;
    if (hours > 18 || minutes > 59) return false;
    this.offsetMin = sign * (hours * 60 + minutes);
    return true;
  }

  private daysOf(buf: Uint8Array, start: number, end: number): number {
    const length = end - start;
    if (length === this.dateLength) {
      let i = 0;
      while (i < length && this.dateBytes[i] === buf[start + i]) i += 1;
      if (i === length) return this.dateDays;
    }
    if (length < 1 || length > MAX_STAMP_BYTES) return NaN;
    const days = parseDate(textOf(buf, start, end), this.order);
    this.dateBytes.set(buf.subarray(start, end));
    this.dateLength = length;
    this.dateDays = days;
    return days;
  }

  /** Dates alone, `20310304T101500`, `20310304101500`, `4.3.2031 10.15.00`, `04/03/2031 10h15`. */
  private readWithoutColon(buf: Uint8Array, start: number, end: number): number {
    const text = textOf(buf, start, end);
    const compact = /^(\d{8})[T _-]?(\d{2})(\d{2})(\d{2})?([.,]\d+)?\s*(Z|[+-]\d{2}(?:\d{2})?)?$/i.exec(text);
    const spaced = compact ?? /^(.*\d)[T ,]+(\d{1,2})[.h](\d{2})(?:[.m](\d{2})s?)?()()$/.exec(text);
    if (spaced !== null) {
      const [, date = '', hour = '', minute = '', second, fraction, zone] = spaced;
      const days = parseDate(date.trim(), this.order);
      if (Number.isNaN(days)) return NaN;
      const clockText = `${hour}:${minute}${second === undefined || second === '' ? '' : `:${second}${fraction ?? ''}`}${zone ?? ''}`;
      const bytes = new TextEncoder().encode(clockText);
      const clock = this.readClock(bytes, 0, bytes.length);
      const wall = days * DAY_MS + clock;
      return Number.isNaN(this.offsetMin) ? wall : wall - this.offsetMin * 60_000;
    }
    const days = this.daysOf(buf, start, end);
    return days * DAY_MS;
  }
}

/** Returns a stamp's milliseconds from its text, NaN when unreadable. For headings, sniffing and single values. */
export function readStampText(reader: StampReader, text: string): number {
  const bytes = new TextEncoder().encode(text);
  return reader.readStamp(bytes, 0, bytes.length);
}
