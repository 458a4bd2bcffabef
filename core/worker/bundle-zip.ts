import { createHash } from 'node:crypto';
import { zipSync } from 'fflate';
import type { FileDigest } from '../model/bundle-manifest.ts';
import type { CaseReport, CaseTable } from '../report/case-report.ts';
import type { ReleaseList } from '../model/release.ts';
import { tableName } from '../report/bundle/bundle-names.ts';
import { bundleWords } from '../report/bundle/bundle-words.ts';
import { writeBundle, type BundleGiven, type BundleSink } from '../report/bundle/write-bundle.ts';
import type { BytesFile, ReportFile } from '../report/report-files.ts';
import { caseTables } from '../report/report-files.ts';

/** What a bundle of stored cases is made of; the rows of each case in the order of their names. */
export interface LibraryBundle extends Omit<BundleGiven, 'rejectedRows' | 'codes' | 'onTable' | 'files' | 'caseList' | 'planned'> {
  readonly rows: readonly CaseReport['rows'][];
}

/** A bundle as one file. */
export interface WrittenBundle {
  readonly zip: Uint8Array<ArrayBuffer>;
  /** Names of the files in it. */
  readonly files: readonly string[];
  /** Every word in it; nothing is answered. */
  readonly list: ReleaseList;
}

/**
 * Returns a bundle of stored cases as one zip archive.
 * Shape   the same cases give the same bytes: every file in it bears the same moment, the first that the form knows (without a zone: as the clock on the wall).
 */
export async function bundleZip({ rows, ...given }: LibraryBundle, codes: string): Promise<WrittenBundle> {
  const sink = new MemorySink();
  for (const { name, heading } of caseTables({ withRobustness: given.extent.robustness, withReviews: given.extent.withReviews, withChannels: true })) {
    await sink.put({ name: tableName(name), text: tableText(name, heading, rows) });
  }
  await writeBundle(sink, { ...given, files: [], rejectedRows: [], caseList: null, planned: { files: [], statement: null }, codes });
  const files = [...sink.files].sort(([a], [b]) => (a < b ? -1 : 1));
  const zip = zipSync(Object.fromEntries(files), { level: 6, mtime: '1980-01-01T00:00:00' });
  const list = await bundleWords(files.map(([name]) => name), (name) => sink.textOf(name), given.extent);
  return { zip: new Uint8Array(zip), files: files.map(([name]) => name), list };
}

function* tableText(name: CaseTable, heading: string, rows: readonly CaseReport['rows'][]): Generator<string> {
  yield heading;
  for (const own of rows) yield own[name];
}

class MemorySink implements BundleSink {
  readonly files = new Map<string, Uint8Array>();

  async put(file: ReportFile | BytesFile): Promise<void> {
    if ('bytes' in file) {
      this.files.set(file.name, file.bytes);
      return;
    }
    const pieces: Buffer[] = [];
    for await (const piece of file.text) pieces.push(Buffer.from(piece, 'utf8'));
    this.files.set(file.name, Buffer.concat(pieces));
  }

  *textOf(name: string): Generator<string> {
    yield new TextDecoder().decode(this.files.get(name));
  }

  async digests(): Promise<readonly FileDigest[]> {
    return [...this.files].map(([file, bytes]) => ({ file, sha256: createHash('sha256').update(bytes).digest('hex'), byte_length: bytes.byteLength }));
  }
}
