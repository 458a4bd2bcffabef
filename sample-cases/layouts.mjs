// Ways in which an export can be written: clocks, tables, encodings. Every function is pure.

const two = (x) => String(x).padStart(2, '0');
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** Clock styles: (instant in UTC ms, seconds since the first row) → text. */
export const CLOCKS = {
  'iso': (ms) => `${ymd(ms)} ${hms(ms)}`,
  'iso T with offset': (ms) => `${ymd(ms)}T${hms(ms)}+01:00`,
  'day first, dots': (ms) => `${dmy(ms, '.')} ${hms(ms)}`,
  'day first, slashes': (ms) => `${dmy(ms, '/')} ${hms(ms)}`,
  'month first, 12-hour': (ms) => {
    const d = new Date(ms);
    const h = d.getUTCHours();
    return `${two(d.getUTCMonth() + 1)}/${two(d.getUTCDate())}/${d.getUTCFullYear()} ${h % 12 === 0 ? 12 : h % 12}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())} ${h < 12 ? 'AM' : 'PM'}`;
  },
  'day, month name': (ms) => {
    const d = new Date(ms);
    return `${two(d.getUTCDate())}-${MONTHS[d.getUTCMonth()]}-${d.getUTCFullYear()} ${hms(ms)}`;
  },
  'unix ms': (ms) => String(ms),
  'unix s': (ms) => String(ms / 1000),
  'elapsed s': (_ms, s) => String(s),
  'time of day': (ms) => hms(ms),
};

function ymd(ms) {
  const d = new Date(ms);
  return `${d.getUTCFullYear()}-${two(d.getUTCMonth() + 1)}-${two(d.getUTCDate())}`;
}

function dmy(ms, mark) {
  const d = new Date(ms);
  return `${two(d.getUTCDate())}${mark}${two(d.getUTCMonth() + 1)}${mark}${d.getUTCFullYear()}`;
}

function hms(ms) {
  const d = new Date(ms);
  return `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}`;
}

/** Returns a number as text with `digits` decimals and the given decimal mark; `filler` for NaN. */
export function numberText(value, digits, mark, filler) {
  if (Number.isNaN(value)) return filler;
  const text = value.toFixed(digits);
  return mark === ',' ? text.replace('.', ',') : text;
}

/** Returns the rows as delimited text; a cell is quoted only where it must be. */
export function delimited(rows, delimiter, lineEnd) {
  const cell = (text) => (text.includes(delimiter) || text.includes('"') || text.includes('\n') ? `"${text.replaceAll('"', '""')}"` : text);
  return rows.map((row) => row.map((text) => cell(String(text))).join(delimiter)).join(lineEnd) + lineEnd;
}

/** Returns the text as bytes in one of the encodings that exports use. */
export function encode(text, encoding) {
  if (encoding === 'utf-8') return Buffer.from(text, 'utf8');
  if (encoding === 'utf-8 with mark') return Buffer.from(`\ufeff${text}`, 'utf8');
  if (encoding === 'utf-16le with mark') return Buffer.from(`\ufeff${text}`, 'utf16le');
  if (encoding === 'latin-1') {
    for (const c of text) if (c.codePointAt(0) > 255) throw new Error(`Latin-1 has no ${c}`);
    return Buffer.from(text, 'latin1');
  }
  throw new Error(`unknown encoding ${encoding}`);
}
