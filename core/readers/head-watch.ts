import type { Result } from '../base/result.ts';
import type { TablePlan } from './table-plan.ts';

/** The first bytes of a table as they are cut into rows. */
export interface TableHead {
  /** Whole lines, in the encoding that cells are decoded from. */
  readonly bytes: Uint8Array;
  /** Whether they are all of the file. */
  readonly isWhole: boolean;
  readonly encoding: string;
  readonly cellEncoding: 'utf-8' | 'windows-1252';
}

/** Some lines further down in a file. */
export interface FurtherLines {
  /** Physical line of the first of them. */
  readonly line: number;
  readonly bytes: Uint8Array;
}

/**
 * Asks readers for the head of one file and is told on the way what stands in no report: the bytes of its rows, how the table was
 * planned, the time of each row.
 */
export interface HeadWatch {
  /** Path of the file, or of the part of a container, as reports show it; everything else is passed by unread. */
  readonly file: string;
  /** A line that is to be read too, with those around it, where it lies further down. */
  readonly atLine: number | null;
  /** Called once the encoding is settled, and again where rules found by headings change it. */
  onHead(head: TableHead): void;
  onPlan(plan: Result<TablePlan>): void;
  /** The lines around `atLine`, where they are read. */
  onFurther(lines: FurtherLines): void;
  /** ms in the file's own clock, NaN where the time could not be read. */
  onTime(line: number, ms: number): void;
}

/** So much of a file without rows of cells is read for a preview. */
const CARRIED_HEAD_BYTES = 1 << 20;

/** Returns whether `path` is the wanted file or a container around it. */
export function leadsTo(watch: HeadWatch, path: string): boolean {
  return watch.file === path || watch.file.startsWith(`${path}/`);
}

/** Returns the whole lines at the start of bytes that were cut off anywhere; all of them where they hold no line end. */
export function wholeLines(bytes: Uint8Array): Uint8Array {
  const end = Math.max(bytes.lastIndexOf(10), bytes.lastIndexOf(13));
  return end <= 0 ? bytes : bytes.subarray(0, end + 1);
}

/** So much of a file is gone through to find a line; beyond, it is not shown. */
const MAX_SEARCHED_BYTES = 256 << 20;
/** So many lines are shown before and after the one that is wanted. */
export const LINES_BEFORE = 10;
export const LINES_AFTER = 30;
/** Lines longer than this together are no rows of a table. */
const MAX_FURTHER_BYTES = 1 << 20;

/** Returns the lines from `from` until some after `wanted`, of bytes in which every ASCII byte means itself; null when they are not to be found. */
export async function linesAround(chunks: AsyncIterable<Uint8Array>, from: number, wanted: number): Promise<FurtherLines | null> {
  const to = wanted + LINES_AFTER;
  const kept: Uint8Array[] = [];
  let size = 0;
  let searched = 0;
  let line = 1;
  let wasCr = false;
  for await (const chunk of chunks) {
    let start = line >= from ? 0 : -1;
    let end = chunk.length;
    for (let i = 0; i < chunk.length; i += 1) {
      const byte = chunk[i];
      if (byte !== 10 && byte !== 13) {
        wasCr = false;
        continue;
      }
      const isSecond = byte === 10 && wasCr;
      wasCr = byte === 13;
      if (isSecond) {
        // The LF of a CRLF belongs to the line before.
        if (start === i && kept.length === 0) start = i + 1;
        continue;
      }
      line += 1;
      if (line === from) start = i + 1;
      if (line > to) {
        end = i + 1;
        break;
      }
    }
    if (start !== -1 && start < end) {
      kept.push(chunk.slice(start, end));
      size += end - start;
    }
    searched += chunk.length;
    if (line > to || searched > MAX_SEARCHED_BYTES || size > MAX_FURTHER_BYTES) break;
  }
  if (size === 0 || line < wanted) return null;
  const bytes = new Uint8Array(size);
  let at = 0;
  for (const part of kept) {
    bytes.set(part, at);
    at += part.length;
  }
  return { line: from, bytes };
}

/** Returns how many line ends bytes hold (LF, CR and CRLF alike). */
export function countLineEnds(bytes: Uint8Array): number {
  let count = 0;
  for (let i = 0; i < bytes.length; i += 1) if (bytes[i] === 13 || (bytes[i] === 10 && bytes[i - 1] !== 13)) count += 1;
  return count;
}

/** Gives at most the first MB of bytes, cut after a line end. */
export async function* firstLines(bytes: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let size = 0;
  for await (const chunk of bytes) {
    const room = CARRIED_HEAD_BYTES - size;
    if (chunk.length > room) {
      yield wholeLines(chunk.subarray(0, room));
      return;
    }
    size += chunk.length;
    yield chunk;
  }
}
