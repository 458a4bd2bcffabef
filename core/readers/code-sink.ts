import type { CellDecoder } from './decode-text.ts';
import { ByteMap } from './byte-map.ts';
import { RowView, type RowSink, type SplitProblem } from './row-splitter.ts';

/** Stands between a splitter and a reader, and puts the labels of codes in the place of the codes of one column. */
export class CodeSink implements RowSink {
  /** Rows whose code has no label, which keep their code. */
  nUnknown = 0;
  private readonly own = new RowView();
  private readonly known = new ByteMap<Uint8Array | null>(50_000);
  private readonly encoder = new TextEncoder();
  private buf = new Uint8Array(4096);

  constructor(
    private readonly column: number,
    private readonly labels: ReadonlyMap<string, string>,
    private readonly decoder: CellDecoder,
    private readonly cellEncoding: 'utf-8' | 'windows-1252',
    private readonly firstDataLine: number,
    private readonly inner: RowSink,
  ) {}

  row(row: RowView): void {
    if (row.line < this.firstDataLine || row.isEmpty(this.column)) {
      this.inner.row(row);
      return;
    }
    const label = this.labelOf(row);
    if (label === null) {
      this.nUnknown += 1;
      this.inner.row(row);
      return;
    }
    let base = row.starts[0] ?? 0;
    let top = row.ends[0] ?? 0;
    for (let i = 1; i < row.n; i += 1) {
      base = Math.min(base, row.starts[i] ?? 0);
      top = Math.max(top, row.ends[i] ?? 0);
    }
    const length = top - base;
    if (this.buf.length < length + label.length) this.buf = new Uint8Array(2 * (length + label.length));
    this.buf.set(row.buf.subarray(base, top));
    this.buf.set(label, length);
    const { own } = this;
    own.reserve(row.n);
    for (let i = 0; i < row.n; i += 1) {
      own.starts[i] = (row.starts[i] ?? 0) - base;
      own.ends[i] = (row.ends[i] ?? 0) - base;
    }
    own.starts[this.column] = length;
    own.ends[this.column] = length + label.length;
    own.buf = this.buf;
    own.n = row.n;
    own.line = row.line;
    own.rawBuf = row.rawBuf;
    own.rawStart = row.rawStart;
    own.rawEnd = row.rawEnd;
    this.inner.row(own);
  }

  private labelOf(row: RowView): Uint8Array | null {
    const start = row.trimmedStart(this.column);
    const end = row.trimmedEnd(this.column);
    const known = this.known.get(row.buf, start, end);
    if (known !== undefined) return known;
    const label = this.labels.get(this.decoder.decode(row.buf, start, end));
    // In single-byte text a letter beyond Latin-1 has no byte.
    const bytes = label === undefined ? null : this.cellEncoding === 'utf-8' ? this.encoder.encode(label) : Uint8Array.from(label, (letter) => (letter.charCodeAt(0) < 256 ? letter.charCodeAt(0) : 63));
    this.known.set(row.buf, start, end, bytes);
    return bytes;
  }

  broken(line: number, problem: SplitProblem, buf: Uint8Array, start: number, end: number): void {
    this.inner.broken(line, problem, buf, start, end);
  }

  blank(line: number): void {
    this.inner.blank(line);
  }
}
