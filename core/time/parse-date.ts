import { daysFromCivil, daysInMonth } from './civil.ts';

/** Order of the parts of a numeric date. The same words as `DateOrder` of the mapping. */
export type DatePartOrder = 'ymd' | 'dmy' | 'mdy';

/** The numbers of a date as written, before anyone decided which is which. */
export interface DateParts {
  /** Numbers in the order written; a month given by name is not among them. */
  readonly numbers: readonly number[];
  /** 1 to 12 when the month is given by name. */
  readonly namedMonth: number | null;
  /** Index among the written parts where the month's name stood. */
  readonly namedAt: number;
  /** Index in `numbers` of a part that can only be a year (three digits or more, or above 31); -1 when there is none. */
  readonly yearAt: number;
  /** First sign between two parts: '/', '.', '-' or ' '. */
  readonly separator: string;
}

/**
 * Month names by their first letters, accents removed.
 * Source: common practice without source (English, German, French, Spanish, Italian and Dutch calendars, from memory).
 */
const MONTH_STARTS: readonly (readonly string[])[] = [
  ['jan', 'jaen', 'janner', 'ene', 'gen'],
  ['feb', 'fev'],
  ['mar', 'maer', 'mrz', 'mrt', 'maa'],
  ['apr', 'avr', 'abr'],
  ['may', 'mai', 'mei', 'mag'],
  ['jun', 'juin', 'giu'],
  ['jul', 'juil', 'lug'],
  ['aug', 'aou', 'ago'],
  ['sep', 'set'],
  ['oct', 'okt', 'ott'],
  ['nov'],
  ['dec', 'dez', 'dic'],
];

const WEEKDAY_STARTS: readonly string[] = [
  'mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun', 'mo', 'di', 'mi', 'do', 'fr', 'sa', 'so', 'lun', 'mar', 'mer', 'jeu', 'ven', 'sam', 'dim',
];

/** Returns 1 to 12 for a month's name or its usual abbreviation in English, German, French and neighbours; null otherwise. */
export function parseMonthName(word: string): number | null {
  const plain = word
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase();
  if (plain.length < 3) return null;
  for (let month = 0; month < MONTH_STARTS.length; month += 1) {
    const starts = MONTH_STARTS[month] ?? [];
    if (starts.some((start) => plain.startsWith(start))) return month + 1;
  }
  return null;
}

/** Returns the parts of a date as written, or null when the text is no date. */
export function splitDate(text: string): DateParts | null {
  if (text.length > 40) return null;
  const words = text.match(/\d+|\p{L}+/gu);
  if (words === null) return null;
  if (/[^\d\p{L}\p{M}\s./,\-\u2010-\u2013]/u.test(text)) return null;
  const numbers: number[] = [];
  let namedMonth: number | null = null;
  let namedAt = -1;
  let yearAt = -1;
  let part = 0;
  for (const [index, word] of words.entries()) {
    if (/^\d/.test(word)) {
      if (word.length > 4) return null;
      const value = Number(word);
      if (word.length >= 3 || value > 31) {
        if (yearAt !== -1) return null;
        yearAt = numbers.length;
      }
      numbers.push(value);
      part += 1;
      continue;
    }
    const lower = word.toLowerCase();
    if (index === 0 && words.length > 3 && WEEKDAY_STARTS.some((start) => lower.startsWith(start))) continue;
    const month = parseMonthName(word);
    if (month === null) {
      if (/^(st|nd|rd|th|de|of)$/.test(lower)) continue;
      return null;
    }
    if (namedMonth !== null) return null;
    namedMonth = month;
    namedAt = part;
    part += 1;
  }
  if (numbers.length !== (namedMonth === null ? 3 : 2)) return null;
  const separator = /^[^\d\p{L}]*[\d\p{L}]+\s*([^\d\p{L}\s]|\s)/u.exec(text)?.[1] ?? ' ';
  return { numbers, namedMonth, namedAt, yearAt, separator };
}

/** Returns a four-digit year: 00–69 are 2000–2069, 70–99 are 1970–1999 (the convention of POSIX `strptime` is 69; from memory). */
export function fullYear(year: number, digitsMayBeTwo: boolean): number {
  if (!digitsMayBeTwo || year >= 100) return year;
  return year < 70 ? 2000 + year : 1900 + year;
}

/** Returns days since 1970-01-01 of a calendar date, or NaN when there is no such date. */
function civilDays(year: number, month: number, day: number): number {
  const y = fullYear(year, true);
  if (month < 1 || month > 12 || day < 1 || y > 9999 || day > daysInMonth(y, month)) return NaN;
  return daysFromCivil(y, month, day);
}

/**
 * Returns days since 1970-01-01 for date parts under a declared order.
 * Missing  NaN when the parts make no date in that order (31/02, month 13).
 */
export function daysOfParts(parts: DateParts, order: DatePartOrder): number {
  const [a = NaN, b = NaN, c = NaN] = parts.numbers;
  if (parts.namedMonth !== null) {
    if (parts.yearAt === 0) return civilDays(a, parts.namedMonth, b);
    if (parts.yearAt === 1) return civilDays(b, parts.namedMonth, a);
    return order === 'ymd' && parts.namedAt === 1 ? civilDays(a, parts.namedMonth, b) : civilDays(b, parts.namedMonth, a);
  }
  if (parts.yearAt === 0) return civilDays(a, b, c);
  if (parts.yearAt === 1) return NaN;
  if (order === 'mdy') return civilDays(c, a, b);
  if (order === 'dmy' || parts.yearAt === 2) return civilDays(c, b, a);
  return civilDays(a, b, c);
}

/** Returns whether more than one order of the parts makes a date and they differ. */
export function needsOrder(parts: DateParts): boolean {
  if (parts.namedMonth !== null) return false;
  return parts.yearAt !== 0 && parts.yearAt !== 1;
}

/** Returns days since 1970-01-01 of a date's text under a declared order, NaN when unreadable. Accepts `20310304`. */
export function parseDate(text: string, order: DatePartOrder): number {
  const compact = /^(\d{4})(\d{2})(\d{2})$/.exec(text);
  if (compact !== null) return civilDays(Number(compact[1]), Number(compact[2]), Number(compact[3]));
  const parts = splitDate(text);
  return parts === null ? NaN : daysOfParts(parts, order);
}
