import { createReadStream, createWriteStream } from 'node:fs';
import { open, readFile, readdir, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip } from 'node:zlib';
import { z } from 'zod';
import type { RejectedRow } from '../../core/model/import-report.ts';
import { rejectedRowSchema } from '../../core/model/import-report-schema.ts';
import { MAX_LEDGER_ROWS, type EarlierReading, type LedgerEntry, type LedgerLine, type LedgerPlace, type LedgerRun } from '../../core/model/ledger.ts';
import { ledgerEntrySchema } from '../../core/model/ledger-schema.ts';
import { UNFINISHED, flushFolder, isSystemError, renamePatiently, writeAtomically } from './atomic-write.ts';
import type { ImportLedger, NewEntry, PreparedEntry } from './import-ledger.ts';
import type { ReadEntries } from './ledger-line.ts';
import { lastRun, ledgerLine } from './ledger-line.ts';
import { makeFolder } from './make-folder.ts';
import { writeFailure } from './write-failure.ts';

/*
 * A ledger as a folder:
 *   ledger/IMPORT/NNNN.json      one entry each, in the order of its number; written whole, never changed
 *   ledger/IMPORT/NNNN.rows.gz   the rejected rows of that entry, one JSON object a line
 *   ledger/IMPORT/NNNN.prepared  an entry that comes in with the publication of its cases, or not at all
 * Rows are written before their entry: an entry that is there has its rows.
 */

/** Rows handed to the packer at a time. */
const ROWS_PACKED = 1000;
const IMPORT_FOLDER = /^[0-9a-f]{32}$/;
const ENTRY_FILE = /^(\d{4})\.json$/;
const headSchema = z.object({ run: z.number().int(), kind: z.string() });

/** Returns the ledger that lies in `folder`; nothing is made on the disk before the first entry. */
export function buildFolderLedger(folder: string): ImportLedger {
  /** What is looked up over all imports, read when first needed and kept up to date; the entries themselves stay on the disk. */
  let known: Promise<Map<string, Known>> | null = null;
  const all = (): Promise<Map<string, Known>> => (known ??= readAll(folder));

  async function write(entry: NewEntry, rejected: Iterable<RejectedRow> | AsyncIterable<RejectedRow>, ending: 'json' | 'prepared'): Promise<PreparedEntry> {
    const own = join(folder, entry.importId);
    try {
      await makeFolder(folder, 0o700);
      await makeFolder(own, 0o700);
      const number = await nextNumber(own);
      const rowsKept = entry.kind === 'run' ? await writeRows(join(own, `${number}.rows.gz`), rejected) : 0;
      const whole: LedgerEntry = entry.kind === 'run' ? { ...entry, rowsKept } : entry;
      await writeAtomically(join(own, `${number}.${ending}`), JSON.stringify(whole));
      await flushFolder(folder);
      return { importId: entry.importId, number };
    } catch (error) {
      throw error instanceof Error && 'syscall' in error ? writeFailure(error) : error;
    }
  }

  async function noteKnown(importId: string): Promise<void> {
    if (known !== null) (await known).set(importId, knownOf(await readImport(folder, importId)));
  }

  return {
    async append(entry, rejected = []) {
      await write(entry, rejected, 'json');
      await noteKnown(entry.importId);
    },
    prepare: (entry, rejected = []) => write(entry, rejected, 'prepared'),
    discard: (prepared) => withdrawEntry(folder, prepared),
    entered: ({ importId }) => noteKnown(importId),
    async list() {
      return [...(await all()).values()].map(({ line }) => line);
    },
    read: (importId) => readImport(folder, importId),
    async rejectedRows({ importId, run }: LedgerPlace, { file, reason, from, limit }) {
      const rows: { line: number; row: string }[] = [];
      let kept = 0;
      for await (const some of readRows(join(folder, importId), run)) {
        for (const row of some) {
          if (row.file !== file || row.reason !== reason) continue;
          if (kept >= from && rows.length < limit) rows.push({ line: row.line, row: row.row });
          kept += 1;
        }
      }
      return { rows, kept };
    },
    async earlierReadings(digests, except) {
      const wanted = new Set(digests.filter((digest) => digest !== ''));
      const found = new Map<string, EarlierReading>();
      for (const [importId, { readings }] of await all()) {
        if (importId === except) continue;
        for (const [digest, reading] of readings) if (wanted.has(digest) && (found.get(digest)?.at ?? '') < reading.at) found.set(digest, reading);
      }
      return found;
    },
  };
}

/** Returns what a run read by digest: its files, and the archives and workbooks around them. */
function readingsOf(run: LedgerRun): Map<string, EarlierReading> {
  const found = new Map<string, EarlierReading>();
  for (const { file, sha256, container, cases, failure } of run.files) {
    if (failure !== null) continue;
    for (const one of [{ file, sha256 }, ...(container === undefined ? [] : [container])]) {
      const before = found.get(one.sha256);
      const caseIds = [...new Set([...(before?.caseIds ?? []), ...cases])].sort();
      if (one.sha256 !== '') found.set(one.sha256, { importId: run.importId, run: run.run, at: run.at, file: one.file, caseIds });
    }
  }
  return found;
}

interface Known {
  readonly line: LedgerLine;
  readonly readings: ReadonlyMap<string, EarlierReading>;
}

function knownOf(read: ReadEntries): Known {
  const run = lastRun(read.entries);
  return { line: ledgerLine(read, false), readings: run === null ? new Map() : readingsOf(run) };
}

async function readAll(folder: string): Promise<Map<string, Known>> {
  const imports = new Map<string, Known>();
  for (const importId of (await namesIn(folder)).filter((name) => IMPORT_FOLDER.test(name)).sort()) {
    const read = await readImport(folder, importId);
    if (read.entries.length + read.damaged > 0) imports.set(importId, knownOf(read));
  }
  return imports;
}

async function readImport(folder: string, importId: string): Promise<ReadEntries> {
  const own = join(folder, importId);
  const entries: LedgerEntry[] = [];
  let damaged = 0;
  for (const name of (await namesIn(own)).filter((one) => ENTRY_FILE.test(one)).sort()) {
    const entry = await readEntry(join(own, name));
    if (entry === null) damaged += 1;
    else entries.push(entry);
  }
  return { importId, entries, damaged };
}

/** Makes an entry that was prepared a part of the ledger in `folder`; one that is there already stays. */
export async function enterPrepared(folder: string, { importId, number }: PreparedEntry): Promise<void> {
  const own = join(folder, importId);
  try {
    await renamePatiently(join(own, `${number}.prepared`), join(own, `${number}.json`));
  } catch (error) {
    if (!isSystemError(error, 'ENOENT')) throw error;
  }
  await flushFolder(own);
}

/** Takes an entry out again whose publication did not go through, or one that was only prepared. */
export async function withdrawEntry(folder: string, { importId, number }: PreparedEntry): Promise<void> {
  for (const ending of ['json', 'prepared', 'rows.gz']) await rm(join(folder, importId, `${number}.${ending}`), { force: true });
}

/** Removes what a killed program left: half a file, an entry that was never published, or rows whose entry never came. */
export async function clearLedger(folder: string): Promise<void> {
  for (const importId of (await namesIn(folder)).filter((name) => IMPORT_FOLDER.test(name))) {
    const own = join(folder, importId);
    const names = await namesIn(own);
    const numbers = new Set(names.flatMap((name) => ENTRY_FILE.exec(name)?.[1] ?? []));
    for (const name of names) if (name.endsWith(UNFINISHED) || name.endsWith('.prepared') || (name.endsWith('.rows.gz') && !numbers.has(name.slice(0, 4)))) await rm(join(own, name), { force: true });
  }
}

/** An entry that cannot be read is counted and left where it is: a later version, or a person, may still read it. */
async function readEntry(path: string): Promise<LedgerEntry | null> {
  try {
    const parsed = ledgerEntrySchema.safeParse(JSON.parse(await readFile(path, 'utf8')));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

async function nextNumber(own: string): Promise<string> {
  const numbers = (await namesIn(own)).map((name) => Number(/^(\d{4})\./.exec(name)?.[1] ?? 0));
  return String(Math.max(0, ...numbers) + 1).padStart(4, '0');
}

/** Writes rows packed, flushed and whole; returns how many. */
async function writeRows(path: string, rows: Iterable<RejectedRow> | AsyncIterable<RejectedRow>): Promise<number> {
  const beside = `${path}${UNFINISHED}`;
  let kept = 0;
  async function* lines(): AsyncGenerator<string> {
    let batch: string[] = [];
    for await (const row of rows) {
      if (kept >= MAX_LEDGER_ROWS) break;
      kept += 1;
      batch.push(`${JSON.stringify(row)}\n`);
      if (batch.length < ROWS_PACKED) continue;
      yield batch.join('');
      batch = [];
    }
    yield batch.join('');
  }
  await pipeline(Readable.from(lines()), createGzip(), createWriteStream(beside, { mode: 0o600 }));
  const file = await open(beside, 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
  if (kept === 0) await rm(beside, { force: true });
  else await renamePatiently(beside, path);
  return kept;
}

/** Gives the rows of one reading some at a time, in the order in which they were written. */
async function* readRows(own: string, run: number): AsyncGenerator<readonly RejectedRow[]> {
  for (const name of (await namesIn(own)).filter((one) => ENTRY_FILE.test(one)).sort()) {
    const head = headSchema.safeParse(await readFile(join(own, name), 'utf8').then((text): unknown => JSON.parse(text)).catch(() => null));
    if (!head.success || head.data.kind !== 'run' || head.data.run !== run) continue;
    const source = createReadStream(join(own, name.replace('.json', '.rows.gz')));
    const unpacked = createGunzip();
    source.on('error', (error) => unpacked.destroy(error));
    try {
      let rest = '';
      for await (const chunk of source.pipe(unpacked).setEncoding('utf8')) {
        const lines = (rest + String(chunk)).split('\n');
        rest = lines.pop() ?? '';
        yield lines.flatMap((line) => {
          const row = rejectedRowSchema.safeParse(JSON.parse(line));
          return row.success ? [row.data] : [];
        });
      }
    } catch (error) {
      if (!isSystemError(error, 'ENOENT')) throw error; // a reading without rejected rows has no file of them
    }
  }
}

async function namesIn(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return [];
    throw error;
  }
}
