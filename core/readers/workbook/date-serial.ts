import { civilFromDays, DAY_MS } from '../../time/civil.ts';
import type { NumberKind } from './number-format.ts';

/**
 * Day 0 of the two date systems, in days from 1970-01-01.
 * Source  ECMA-376 part 1, section 18.17.4.1: the 1900 system counts 1900-01-01 as 1 and takes 1900 for a leap year, so that from
 *         1900-03-01 (61) on days count from 1899-12-30; the 1904 system counts 1904-01-01 as 0.
 */
const DAY_0_OF_1900 = -25_569;
const DAY_0_OF_1904 = -24_107;
const FALSE_LEAP_DAY = 60;
/** A number shown as a clock time is one with a date behind it from here on: the spreadsheet day of a year after the first. */
const FIRST_DATED = 366;
/** 10000-01-01 in the 1900 system. */
const FIRST_TOO_LATE = 2_958_466;

function two(value: number): string {
  return String(value).padStart(2, '0');
}

function clockText(ms: number): string {
  const text = `${two(Math.floor(ms / 3_600_000))}:${two(Math.floor(ms / 60_000) % 60)}:${two(Math.floor(ms / 1000) % 60)}`;
  return ms % 1000 === 0 ? text : `${text}.${String(ms % 1000).padStart(3, '0')}`;
}

/**
 * Returns the text of a number that is shown as a date or a time, to the millisecond; null when it is none (negative, or beyond the year 9999).
 * A date is written year first. A date that has a clock time behind it keeps it; a clock time that has a date behind it keeps that.
 */
export function dateText(serial: number, kind: Exclude<NumberKind, 'number' | 'percent'>, is1904: boolean): string | null {
  if (!(serial >= 0) || serial >= FIRST_TOO_LATE) return null;
  const ms = Math.round(serial * DAY_MS);
  if (kind === 'elapsed') return clockText(ms);
  if (kind === 'time' && serial < FIRST_DATED) return clockText(ms % DAY_MS);
  const day = Math.floor(ms / DAY_MS);
  const rest = ms % DAY_MS;
  const clock = kind === 'date' && rest === 0 ? '' : `T${clockText(rest)}`;
  // The leap day of 1900 that the 1900 system counts did not exist; days before it lie one later than its count says.
  if (!is1904 && day === FALSE_LEAP_DAY) return `1900-02-29${clock}`;
  const shift = is1904 ? DAY_0_OF_1904 : day < FALSE_LEAP_DAY ? DAY_0_OF_1900 + 1 : DAY_0_OF_1900;
  const { year, month, day: dayOfMonth } = civilFromDays(day + shift);
  return `${year}-${two(month)}-${two(dayOfMonth)}${clock}`;
}
