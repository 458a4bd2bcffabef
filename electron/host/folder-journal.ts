import { createReadStream, createWriteStream } from 'node:fs';
import { open, readFile, readdir, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip } from 'node:zlib';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { UNFINISHED, flushFolder, isSystemError, renamePatiently, writeAtomically } from './atomic-write.ts';
import { inTurns } from './in-turns.ts';
import type { LibraryJournal, NewJournalEntry, PreparedJournalEntry } from './library-shelf.ts';
import { makeFolder } from './make-folder.ts';
import { systemCode, writeFailure } from './write-failure.ts';

/*
 * A journal as a folder:
 *   GROUP/NNNN.json      one entry each, in the order of its number (four digits, five from 10000 on); written whole, never changed
 *   GROUP/NNNN.rows.gz   the lines of that entry
 *   GROUP/NNNN.prepared  an entry that comes in with a publication, or not at all
 * Lines are written before their entry: an entry that is there has its lines.
 */

/** Lines handed to the packer at a time. */
const LINES_PACKED = 1000;
const GROUP_FOLDER = /^[0-9a-f]{32}$/;
const ENTRY_FILE = /^(\d{4,})\.json$/;
/** Any file of an entry, with its number. */
const FILE_OF_ENTRY = /^(\d{4,})\./;
/** Entries read from the disk at a time: many groups of few small files are mostly waiting. */
const READ_AT_ONCE = 8;

/** Returns the journal that lies in `folder`; nothing is made on the disk before the first entry. */
export function buildFolderJournal(folder: string): LibraryJournal {
  async function write(group: string, entry: NewJournalEntry, ending: 'json' | 'prepared'): Promise<PreparedJournalEntry> {
    const own = join(folder, group);
    try {
      // A folder whose name is not on the disk is gone after a power failure, with everything in it.
      if ((await makeFolder(folder, 0o700)) !== undefined) await flushFolder(dirname(folder));
      await makeFolder(own, 0o700);
      const number = await nextNumber(own);
      const lineCount = await writeLines(join(own, `${number}.rows.gz`), entry.lines);
      await writeAtomically(join(own, `${number}.${ending}`), entry.text(lineCount));
      await flushFolder(folder);
      return { group, number };
    } catch (error) {
      throw error instanceof Error && 'syscall' in error ? writeFailure(error) : error;
    }
  }
  return {
    async groups() {
      return (await namesIn(folder)).filter((name) => GROUP_FOLDER.test(name)).sort();
    },
    async read(group) {
      const own = join(folder, group);
      return await inTurns(await numbersIn(own), READ_AT_ONCE, async (number) => ({ number, text: await readFile(join(own, `${number}.json`), 'utf8').catch(() => null) }));
    },
    lines: (group, number) => readLines(join(folder, group, `${number}.rows.gz`)),
    async append(group, entry) {
      await write(group, entry, 'json');
    },
    prepare: (group, entry) => write(group, entry, 'prepared'),
    discard: (prepared) => withdrawEntry(folder, prepared),
  };
}

/** Makes an entry that was prepared a part of the journal in `folder`; one that is there already stays. */
export async function enterPrepared(folder: string, { group, number }: PreparedJournalEntry): Promise<void> {
  const own = join(folder, group);
  try {
    await renamePatiently(join(own, `${number}.prepared`), join(own, `${number}.json`));
  } catch (error) {
    if (!isSystemError(error, 'ENOENT')) throw error;
  }
  await flushFolder(own);
}

/** Takes an entry out again whose publication did not go through, or one that was only prepared. */
export async function withdrawEntry(folder: string, { group, number }: PreparedJournalEntry): Promise<void> {
  for (const ending of ['json', 'prepared', 'rows.gz']) await rm(join(folder, group, `${number}.${ending}`), { force: true });
}

/** Removes what a killed program left: half a file, an entry that was never published, or lines whose entry never came. */
export async function clearJournal(folder: string): Promise<void> {
  await inTurns((await namesIn(folder)).filter((name) => GROUP_FOLDER.test(name)), READ_AT_ONCE, async (group) => {
    const own = join(folder, group);
    const names = await namesIn(own);
    const numbers = new Set(names.flatMap((name) => ENTRY_FILE.exec(name)?.[1] ?? []));
    const isLeftOver = (name: string): boolean => name.endsWith(UNFINISHED) || name.endsWith('.prepared') || (name.endsWith('.rows.gz') && !numbers.has(FILE_OF_ENTRY.exec(name)?.[1] ?? ''));
    for (const name of names.filter(isLeftOver)) await rm(join(own, name), { force: true });
  });
}

async function numbersIn(own: string): Promise<string[]> {
  return (await namesIn(own)).flatMap((name) => ENTRY_FILE.exec(name)?.[1] ?? []).sort((a, b) => Number(a) - Number(b));
}

async function nextNumber(own: string): Promise<string> {
  let last = 0;
  for (const name of await namesIn(own)) last = Math.max(last, Number(FILE_OF_ENTRY.exec(name)?.[1] ?? 0));
  return String(last + 1).padStart(4, '0');
}

/** Writes lines packed, flushed and whole; returns how many. No file is made for none. */
async function writeLines(path: string, given: NewJournalEntry['lines']): Promise<number> {
  if (Array.isArray(given) && given.length === 0) return 0;
  const beside = `${path}${UNFINISHED}`;
  let kept = 0;
  async function* packed(): AsyncGenerator<string> {
    let batch: string[] = [];
    for await (const line of given) {
      kept += 1;
      batch.push(`${line}\n`);
      if (batch.length < LINES_PACKED) continue;
      yield batch.join('');
      batch = [];
    }
    yield batch.join('');
  }
  await pipeline(Readable.from(packed()), createGzip(), createWriteStream(beside, { mode: 0o600 }));
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

/** Gives the lines of one entry some at a time; none where it has no file of them. */
async function* readLines(path: string): AsyncGenerator<readonly string[]> {
  const source = createReadStream(path);
  const unpacked = createGunzip();
  source.on('error', (error) => unpacked.destroy(error));
  try {
    let rest = '';
    for await (const chunk of source.pipe(unpacked).setEncoding('utf8')) {
      const lines = (rest + String(chunk)).split('\n');
      rest = lines.pop() ?? '';
      yield lines;
    }
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return; // an entry without lines
    throw new FailureError({ code: 'entry-unreadable', message: `The lines of an entry could not be read from the disk (${systemCode(error)}).`, remedy: 'Check the disk and the rights of the library’s folder, or put the file back from a copy of the folder.' });
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
