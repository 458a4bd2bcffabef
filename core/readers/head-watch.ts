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

/**
 * Asks readers for the head of one file and is told on the way what stands in no report: the bytes of its rows, how the table was
 * planned, the time of each row.
 */
export interface HeadWatch {
  /** Path of the file, or of the part of a container, as reports show it; everything else is passed by unread. */
  readonly file: string;
  /** Called once the encoding is settled, and again where rules found by headings change it. */
  onHead(head: TableHead): void;
  onPlan(plan: Result<TablePlan>): void;
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
