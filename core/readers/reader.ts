import type { Door } from '../identity/shown-path.ts';
import type { CaseRecord } from '../model/case.ts';
import type { FileReport, RejectedRow } from '../model/import-report.ts';
import type { Mapping } from '../model/mapping.ts';
import type { CodeTable } from './code-table.ts';
import type { HeadWatch } from './head-watch.ts';
import type { ListWatch } from './list-watch.ts';
import type { Shelf } from './shelf.ts';

/**
 * An input that can be opened more than once (deciding a date order may need a second pass).
 * The core never touches a disk: the host hands these in.
 */
export interface ByteSource {
  /** Path relative to the chosen folder, '/' between parts; the last part is the file's name. */
  readonly relativePath: string;
  /** Name of the folder the file lies in; names the case when no case column does. */
  readonly folderName: string;
  readonly byteLength: number;
  open(): AsyncIterable<Uint8Array>;
  /** Gives the bytes from `start` up to, but without, `end`. Where it is left out, bytes can only be had from the first on. */
  openRange?(start: number, end: number): AsyncIterable<Uint8Array>;
}

export interface ImportProgress {
  readonly stage: 'reading' | 'analysing' | 'writing';
  readonly file: string;
  readonly bytesDone: number;
  readonly bytesTotal: number;
}

export interface ImportOptions extends Door {
  readonly zone: string | null;
  readonly mapping: Mapping | null;
  /** Lists of codes that lie among the files, for columns of codes beside them. */
  readonly codeTables?: readonly CodeTable[] | undefined;
  /** Set for a preview: only the head of one file is read, by the code that reads whole ones. Digests are not made then. */
  readonly head?: HeadWatch | undefined;
  /** Set where a list of cases is held against a library: it is shown every accepted row. */
  readonly list?: ListWatch | undefined;
  readonly onProgress?: (progress: ImportProgress) => void;
  readonly signal?: AbortSignal;
  /** Where what is read is put away as it comes; left out: everything stays in memory. */
  readonly shelf?: Shelf | undefined;
  /** Returns an incremental sha-256; hashing is the host's, the core has no crypto. */
  readonly createDigest: () => { update(bytes: Uint8Array): void; hex(): string };
}

export interface ImportOutcome {
  /** Sorted by case id (code unit order). */
  readonly cases: readonly CaseRecord[];
  /** In the order of the sources given. */
  readonly files: readonly FileReport[];
  readonly rejectedRows: readonly RejectedRow[];
}

/**
 * The import's one entry is `importFiles(sources, options): Promise<ImportOutcome>` in `core/pipeline/import-files.ts`.
 * It never throws for bad input: a file that cannot be read has `failure` in its report and the others come in.
 * Aborting rejects with the signal's reason.
 */
export type ImportFiles = (sources: readonly ByteSource[], options: ImportOptions) => Promise<ImportOutcome>;
