import { DAY_MS, daysFromCivil, daysInMonth } from '../../time/civil.ts';
import { systemNamed, type Coding } from '../coded-name.ts';

/** The signs that part a message, as its header declares them. */
export interface Delimiters {
  readonly field: string;
  readonly component: string;
  readonly repetition: string;
  readonly escape: string;
  readonly subcomponent: string;
}

/** Returns the signs that a header declares, null when it declares none. Source: HL7 v2, MSH-1 and MSH-2, from memory. */
export function delimitersOf(header: string): Delimiters | null {
  const found = /^(?:MSH|FHS|BHS)([^\w\s])([^\w\s])([^\w\s])([^\w\s])([^\w\s])?/.exec(header);
  if (found === null) return null;
  const [, field = '|', component = '^', repetition = '~', escape = '\\', last] = found;
  const signs = [field, component, repetition, escape];
  if (new Set(signs).size < signs.length) return null;
  return { field, component, repetition, escape, subcomponent: last === undefined || last === field ? '&' : last };
}

/** One segment's fields, numbered as the standard numbers them; those of a header count the separator as its first. */
export class Segment {
  readonly id: string;
  private readonly fields: readonly string[];

  constructor(
    text: string,
    private readonly signs: Delimiters,
  ) {
    const parts = text.split(signs.field);
    this.id = parts[0] ?? '';
    this.fields = /^(?:MSH|FHS|BHS)$/.test(this.id) ? [this.id, signs.field, ...parts.slice(1)] : parts;
  }

  /** Returns a field as written, its first repetition only. */
  field(number: number): string {
    return (this.fields[number] ?? '').split(this.signs.repetition)[0] ?? '';
  }

  /** The sign between the components of a field. */
  get componentSign(): string {
    return this.signs.component;
  }

  /** Returns every repetition of a field. */
  repetitions(number: number): string[] {
    return (this.fields[number] ?? '').split(this.signs.repetition);
  }

  /** Returns a component of a field's first repetition, escapes resolved and blanks cut off. Both are counted from 1. */
  component(number: number, component = 1): string {
    return this.plain(this.field(number).split(this.signs.component)[component - 1] ?? '');
  }

  /** Returns a field of codes: identifier, text, system, and the same again for another system. */
  codings(number: number): Coding[] {
    const at = (component: number): string => this.component(number, component);
    return [0, 3].flatMap((from) => {
      const [code, display] = [at(from + 1), at(from + 2)];
      return code === '' && display === '' ? [] : [{ system: systemNamed(at(from + 3)), code, display }];
    });
  }

  /** Returns a text with its escapes resolved. */
  plain(text: string): string {
    const { escape, field, component, repetition, subcomponent } = this.signs;
    if (!text.includes(escape)) return text.trim();
    const resolved: Readonly<Record<string, string>> = { F: field, S: component, R: repetition, E: escape, T: subcomponent, H: '', N: '', '.br': ' ' };
    const parts = text.split(escape);
    let out = parts[0] ?? '';
    // Every second part stood between two escape signs.
    for (let i = 1; i < parts.length; i += 2) {
      const code = parts[i] ?? '';
      const isClosed = i + 1 < parts.length;
      out += isClosed ? (resolved[code] ?? (/^(?:X|C|M|\.|Z)/.test(code) ? ' ' : code)) + (parts[i + 1] ?? '') : escape + code;
    }
    return out.trim();
  }
}

export interface StampText {
  /** Wall-clock time counted as if it were UTC, or UTC where an offset is stated; NaN for what is no time. */
  readonly ms: number;
  readonly offsetMin: number;
  readonly hasClock: boolean;
}

/**
 * Returns what a time stamp `YYYYMMDD[HHMM[SS[.S…]]][±ZZZZ]` says. Coarser than a day is no time.
 * Source: HL7 v2, data types TS and DTM, from memory.
 */
export function readStamp(text: string): StampText {
  const nothing = { ms: NaN, offsetMin: NaN, hasClock: false };
  const found = /^(\d{4})(\d{2})(\d{2})(?:(\d{2})(\d{2})(?:(\d{2})(\.\d{1,9})?)?)?([+-]\d{4})?$/.exec(text);
  if (found === null) return nothing;
  const [year, month, day, hour, minute, second] = [1, 2, 3, 4, 5, 6].map((i) => Number(found[i] ?? 0)) as [number, number, number, number, number, number]; // six numbers from six indices
  if (year < 1 || month < 1 || month > 12 || day < 1 || day > daysInMonth(year, month) || hour > 23 || minute > 59 || second > 60) return nothing;
  const wall = daysFromCivil(year, month, day) * DAY_MS + ((hour * 60 + minute) * 60 + second) * 1000 + Math.round(Number(found[7] ?? 0) * 1000);
  const zone = found[8];
  if (zone === undefined) return { ms: wall, offsetMin: NaN, hasClock: found[4] !== undefined };
  const offsetMin = offsetOf(zone);
  return Number.isNaN(offsetMin) ? nothing : { ms: wall - offsetMin * 60_000, offsetMin, hasClock: found[4] !== undefined };
}

function offsetOf(zone: string): number {
  const hours = Number(zone.slice(1, 3));
  const minutes = Number(zone.slice(3, 5));
  if (hours > 18 || minutes > 59) return NaN;
  return (zone.startsWith('-') ? -1 : 1) * (hours * 60 + minutes);
}
