import { findQuantity } from '../terms/find-quantity.ts';
import { CellDecoder } from './decode-text.ts';
import { roleOfHeading } from './heading-words.ts';
import { RowView, type RowSink, type SplitProblem } from './row-splitter.ts';
import type { SampleRow } from './sample-table.ts';

/** A word of the heading line of a printed log and the columns of text it stands in. */
export interface HeadingSpan {
  readonly text: string;
  readonly start: number;
  readonly end: number;
  readonly line: number;
}

interface Chunk {
  readonly text: string;
  readonly start: number;
  readonly end: number;
}

/** Returns the pieces of a line that two or more blanks (or a tab) part; runs of bare numbers are parted at single blanks too. */
function chunksOf(line: string): Chunk[] {
  const out: Chunk[] = [];
  for (const match of line.matchAll(/\S+(?: \S+)*/g)) {
    const text = match[0];
    const start = match.index;
    if (/^[\d.*-]+(?: [\d.*-]+)+$/.test(text) && !/\d-\d/.test(text)) {
      let at = start;
      for (const word of text.split(' ')) {
        out.push({ text: word, start: at, end: at + word.length });
        at += word.length + 1;
      }
    } else out.push({ text, start, end: start + text.length });
  }
  return out;
}

const STAMPED = /^\s*(?:[^\s:]*\d[^\s:]*(?: \w{3,9} \d{2,4})?[ T])?\d{1,2}:\d{2}(?::\d{2})?(?:\s|$)/;

/** Returns whether lines look like a printed log: most start with a time, and blanks part the rest. */
export function looksAligned(lines: readonly SampleRow[]): boolean {
  let stamped = 0;
  for (const line of lines) {
    const text = line.cells[0] ?? '';
    if (STAMPED.test(text) && /\S {2,}\S|\t/.test(text)) stamped += 1;
  }
  return stamped >= 2 && stamped >= lines.length * 0.4;
}

/** Returns the words of the line that names the columns, null when no line does; `isNamed`: a person said what the word's column is. */
export function alignedSpans(lines: readonly SampleRow[], isNamed: (heading: string) => boolean): HeadingSpan[] | null {
  let best: HeadingSpan[] | null = null;
  let bestKnown = 1;
  for (const line of lines) {
    const text = (line.cells[0] ?? '').replace(/\t/g, '        ');
    if (STAMPED.test(text)) continue;
    const chunks = chunksOf(text);
    if (chunks.length < 2) continue;
    const known = chunks.filter((chunk) => findQuantity(chunk.text) !== null || roleOfHeading(chunk.text) !== null || isNamed(chunk.text)).length;
    if (known > bestKnown) {
      bestKnown = known;
      best = chunks.map((chunk) => ({ ...chunk, line: line.line }));
    }
  }
  return best;
}

function distance(chunk: Chunk, span: { readonly start: number; readonly end: number }): number {
  if (chunk.end <= span.start) return span.start - chunk.end;
  if (span.end <= chunk.start) return chunk.start - span.end;
  return -Math.min(chunk.end, span.end) + Math.max(chunk.start, span.start);
}

/**
 * Returns the cells of one line of a printed log: each piece goes under the nearest heading, the first to the first.
 * Shape   `spans` in the order of their places, as the heading line has them; pieces and headings are walked side by side, since
 *         a broken file can have tens of thousands of each.
 */
export function splitAligned(line: string, spans: readonly { readonly start: number; readonly end: number }[]): string[] {
  const cells = spans.map(() => '');
  const text = line.replace(/\t/g, '        ');
  let from = 1; // the first heading that can be nearest to this piece or to one after it
  for (const [i, chunk] of chunksOf(text).entries()) {
    let column = 0;
    if (i > 0) {
      let nearest = Infinity;
      while (from + 1 < spans.length && (spans[from + 1]?.end ?? Infinity) <= chunk.start) from += 1;
      for (let c = from; c < spans.length; c += 1) {
        const span = spans[c];
        if (span === undefined) continue;
        const gap = distance(chunk, span);
        if (gap < nearest) {
          nearest = gap;
          column = c;
        }
        if (span.start >= chunk.end) break; // those after it are farther
      }
    }
    const before = cells[column] ?? '';
    cells[column] = before === '' ? chunk.text : `${before} ${chunk.text}`;
  }
  return cells;
}

/** Stands between a splitter of whole lines and a reader, and cuts each line by the places of the headings. */
export class AlignedSink implements RowSink {
  private readonly row_ = new RowView();
  private readonly decoder: CellDecoder;
  private readonly encoder = new TextEncoder();

  constructor(
    private readonly spans: readonly { readonly start: number; readonly end: number }[],
    private readonly inner: RowSink,
    encoding: 'utf-8' | 'windows-1252',
  ) {
    this.decoder = new CellDecoder(encoding);
  }

  row(whole: RowView): void {
    const text = this.decoder.decode(whole.buf, whole.starts[0] ?? 0, whole.ends[0] ?? 0);
    const cells = splitAligned(text, this.spans);
    const row = this.row_;
    row.reserve(cells.length);
    const bytes = this.encoder.encode(cells.join('\n'));
    let at = 0;
    for (const [i, cell] of cells.entries()) {
      const length = this.encoder.encode(cell).length;
      row.starts[i] = at;
      row.ends[i] = at + length;
      at += length + 1;
    }
    row.buf = bytes;
    row.n = cells.length;
    row.line = whole.line;
    row.rawBuf = whole.rawBuf;
    row.rawStart = whole.rawStart;
    row.rawEnd = whole.rawEnd;
    this.inner.row(row);
  }

  broken(line: number, problem: SplitProblem, buf: Uint8Array, start: number, end: number): void {
    this.inner.broken(line, problem, buf, start, end);
  }

  blank(line: number): void {
    this.inner.blank(line);
  }
}
