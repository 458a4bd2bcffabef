import { createReadStream } from 'node:fs';
import { open, stat } from 'node:fs/promises';
import { CsvRows } from '../../core/report/csv-rows.ts';

/** Where two files differ first, in numbers and in words. */
export interface Difference {
  /** Offset of the first byte that differs, from 0; null where there is no second file. */
  readonly byte: number | null;
  /** Row of a table, from 1 without the headings, or line of a text, from 1; null for bytes that are neither. */
  readonly row: number | null;
  readonly column: string | null;
  readonly where: string;
}

const PIECE = 1 << 16;

/** Returns where a file of a bundle differs first from the same one made anew; null where the two are the same. `file`: its name in the bundle. */
export async function firstDifference(given: string, anew: string, file: string): Promise<Difference | null> {
  if ((await stat(anew).catch(() => null)) === null) return { byte: null, row: null, column: null, where: 'made anew the bundle does not have this file' };
  const byte = await firstByte(given, anew);
  if (byte === null) return null;
  if (file.endsWith('.parquet')) return { byte, row: null, column: null, where: `it differs from byte ${byte} on; a table that differs does so in its CSV too, where the row is named` };
  if (!file.endsWith('.csv')) {
    let row = 1;
    for await (const text of textBefore(given, byte)) row += text.split('\n').length - 1;
    return { byte, row, column: null, where: `it differs from line ${row}, byte ${byte} on` };
  }
  const { row, column } = await placeInTable(textBefore(given, byte));
  const where = row === 0 ? 'the headings' : `row ${row}`;
  return { byte, row, column, where: `it differs from ${where}${column === null ? '' : `, column ${column}`}, byte ${byte} on` };
}

/** Returns the text of a file up to a byte, in pieces: up to it both are alike, so that it is a text of ours however the rest was changed. */
async function* textBefore(path: string, byte: number): AsyncGenerator<string> {
  if (byte === 0) return;
  for await (const chunk of createReadStream(path, { encoding: 'utf8', end: byte - 1, highWaterMark: PIECE })) {
    const text: string = chunk; // a stream with an encoding yields text
    yield text;
  }
}

async function firstByte(a: string, b: string): Promise<number | null> {
  const [first, second] = await Promise.all([open(a, 'r'), open(b, 'r')]);
  try {
    const [one, other] = [Buffer.alloc(PIECE), Buffer.alloc(PIECE)];
    for (let at = 0; ; ) {
      const [m, n] = [(await first.read(one, 0, PIECE, at)).bytesRead, (await second.read(other, 0, PIECE, at)).bytesRead];
      const least = Math.min(m, n);
      for (let i = 0; i < least; i++) if (one[i] !== other[i]) return at + i;
      if (m !== n) return at + least;
      if (m === 0) return null;
      at += m;
    }
  } finally {
    await Promise.all([first.close(), second.close()]);
  }
}

/** Returns the row (from 1, 0 for the headings) and the column in which a table that is cut off ends; no column where it is cut within the headings. */
async function placeInTable(pieces: AsyncIterable<string>): Promise<{ readonly row: number; readonly column: string | null }> {
  const reader = new CsvRows();
  let headings: readonly string[] | null = null;
  let row = 0;
  for await (const piece of pieces) {
    for (const cells of reader.push(piece)) {
      headings ??= cells;
      row += 1;
    }
  }
  // Of the row that was cut only the commas between its cells count, wherever it was cut: also between the two signs that end it.
  let cell = 0;
  let isQuoted = false;
  for (const sign of reader.rest) {
    if (sign === '"') isQuoted = !isQuoted;
    else if (sign === ',' && !isQuoted) cell += 1;
  }
  return { row, column: headings?.[cell] ?? null };
}
