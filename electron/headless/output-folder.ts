import { mkdir, mkdtemp, open, readFile, rename, rm, rmdir, stat } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { z } from 'zod';
import { parseJsonText } from '../../core/persist/json-text.ts';
import type { BytesFile, ReportFile } from '../../core/report/report-files.ts';
import { CASE_LIST_FILE_NAME, COHORT_FILE_NAMES, NEXT_STUDY_FILE_NAMES, PROTOCOL_FILE_NAME } from '../../core/report/cohort-files.ts';
import { BUNDLE_FILES, isBundleTableName } from '../../core/report/bundle/bundle-names.ts';
import { CASE_SHEETS_TABLE, DEPARTMENT_REPORT_FILE_NAMES, isCaseSheetName, REPORT_FILE_NAMES, REVIEWS_FILE_NAME, ROBUSTNESS_FILE_NAME } from '../../core/report/report-files.ts';
import { makeFolder } from '../host/make-folder.ts';
import { WrongCall, codeOf } from './find-inputs.ts';
import { RELEASE_LIST_FILE, STAYS_FOLDER } from './release-answers.ts';

/**
 * The folder that a run writes to. Everything is first written to a hidden folder inside it and flushed, then moved
 * into place file by file: whoever looks, or pulls the plug, finds each file whole, old or new.
 */
export interface OutputFolder {
  /** A folder for what the run needs meanwhile; it goes away with the run. */
  readonly scratchFolder: string;
  /** Adds text to a file of the run, which is made at the first piece. The calls follow one another. */
  append(name: string, text: string): Promise<void>;
  /** Writes a whole file of the run beside those to come; it is moved into place with them. */
  put(file: ReportFile | BytesFile, signal: AbortSignal): Promise<void>;
  /**
   * Writes all files, those appended to or put included, or, when it fails or is aborted before the first is moved, none. Files that the
   * run before this one says it wrote, and this one does not, go: a table of another run must not pass for one of this.
   * Errors  throws the signal's reason, the disk's error, or an Error naming the files that could not be replaced.
   */
  write(files: readonly (ReportFile | BytesFile)[], signal: AbortSignal): Promise<void>;
  /** Ends every file so far and returns where each lies until it is moved. */
  staged(): Promise<readonly { readonly name: string; readonly path: string }[]>;
  /** Takes away what the run made for itself, and the folder where the run made it and wrote nothing. */
  discard(): Promise<void>;
}

const earlierRunSchema = z.object({ product: z.literal('lacuna'), written: z.array(z.string()) });

/** Every file that some run of ours writes, but for case sheets, which are numbered. */
const OUR_FILE_NAMES: readonly string[] = [
  ...new Set<string>([...REPORT_FILE_NAMES, ROBUSTNESS_FILE_NAME, REVIEWS_FILE_NAME, ...COHORT_FILE_NAMES, CASE_LIST_FILE_NAME, ...NEXT_STUDY_FILE_NAMES, PROTOCOL_FILE_NAME, CASE_SHEETS_TABLE, ...DEPARTMENT_REPORT_FILE_NAMES, ...Object.values(BUNDLE_FILES), RELEASE_LIST_FILE]),
];

const PIECE_LENGTH = 1 << 20;

/**
 * Returns the output folder, made where it was missing.
 * Errors  throws WrongCall when it cannot be made or written to; nothing is left behind then.
 */
export async function openOutputFolder(path: string): Promise<OutputFolder> {
  const folder = resolve(path);
  let firstMade: string | undefined;
  let staging: string;
  try {
    firstMade = await makeFolder(folder);
    staging = await mkdtemp(join(folder, '.lacuna-part-'));
  } catch (error) {
    await removeMade(folder, firstMade);
    throw new WrongCall(`The output folder cannot be written to (${codeOf(error)}): ${folder}`);
  }
  for (const name of OUR_FILE_NAMES) {
    const stats = await stat(join(folder, name)).catch(() => null);
    if (stats === null || stats.isFile()) continue;
    await rm(staging, { recursive: true, force: true });
    throw new WrongCall(`In the output folder, ${name} is not a file: ${folder}`);
  }
  let isWritten = false;
  const appended = new Map<string, Appended>();
  const made = new Set<string>();
  const stagedPath = async (name: string): Promise<string> => {
    const path = join(staging, name);
    if (!made.has(dirname(path))) await mkdir(dirname(path), { recursive: true });
    made.add(dirname(path));
    return path;
  };
  const put: string[] = [];
  return {
    scratchFolder: staging,
    async append(name, text) {
      const file = appended.get(name) ?? (await openAppended(await stagedPath(name)));
      appended.set(name, file);
      await file.add(text);
    },
    async put(file, signal) {
      put.push(file.name);
      await writeWhole(await stagedPath(file.name), file, signal);
    },
    async staged() {
      for (const file of appended.values()) await file.end();
      return [...appended.keys(), ...put].map((name) => ({ name, path: join(staging, name) }));
    },
    async write(given, signal) {
      const files = [...[...appended.keys(), ...put].map((name) => ({ name })), ...given];
      for (const file of appended.values()) await file.end();
      for (const file of given) await writeWhole(await stagedPath(file.name), file, signal);
      signal.throwIfAborted();
      // From here on no abort: the moves take a moment, and all of them belong together.
      isWritten = true;
      const kept: string[] = [];
      for (const inner of new Set(files.map(({ name }) => dirname(join(folder, name))))) if (inner !== folder) await mkdir(inner, { recursive: true }).catch((error: unknown) => kept.push(`${inner} (${codeOf(error)})`));
      const stale = (await writtenBefore(folder)).filter((name) => !files.some((file) => file.name === name));
      for (const file of files) await rename(join(staging, file.name), join(folder, file.name)).catch((error: unknown) => kept.push(`${file.name} (${codeOf(error)})`));
      for (const name of stale) await rm(join(folder, name), { force: true }).catch((error: unknown) => kept.push(`${name} (${codeOf(error)})`));
      await flushFolder(folder);
      if (kept.length > 0) throw new Error(`Some files could not be replaced and are still those of an earlier run: ${kept.join(', ')}. Close them elsewhere and run again.`);
    },
    async discard() {
      for (const file of appended.values()) await file.close();
      await rm(staging, { recursive: true, force: true });
      if (!isWritten) await removeMade(folder, firstMade);
    },
  };
}

/** Returns which files of ours the run that last wrote into a folder says it wrote; none where it says nothing of the kind. */
async function writtenBefore(folder: string): Promise<string[]> {
  const text = await readFile(join(folder, 'parameters.json'), 'utf8').catch(() => readFile(join(folder, STAYS_FOLDER, 'parameters.json'), 'utf8').catch(() => ''));
  const json = parseJsonText(text);
  const parsed = earlierRunSchema.safeParse(json.ok ? json.value : null);
  return parsed.success ? parsed.data.written.filter((name) => OUR_FILE_NAMES.includes(name.replace(`${STAYS_FOLDER}/`, '')) || isCaseSheetName(name) || isBundleTableName(name)) : [];
}

async function writeWhole(path: string, given: ReportFile | BytesFile, signal: AbortSignal): Promise<void> {
  const file = await openAppended(path);
  try {
    for await (const part of 'bytes' in given ? [given.bytes] : given.text) {
      signal.throwIfAborted();
      await file.add(part);
    }
    await file.end();
  } finally {
    await file.close();
  }
}

/** A file that is being written, in pieces of about a megabyte. */
interface Appended {
  add(part: string | Uint8Array): Promise<void>;
  /** Writes what is left and flushes it to the disk. */
  end(): Promise<void>;
  close(): Promise<void>;
}

async function openAppended(path: string): Promise<Appended> {
  const file = await open(path, 'wx');
  let piece = '';
  let isOpen = true;
  const close = async (): Promise<void> => {
    if (!isOpen) return;
    isOpen = false;
    await file.close();
  };
  return {
    async add(part) {
      if (typeof part !== 'string') {
        await file.writeFile(piece);
        piece = '';
        await file.writeFile(part);
        return;
      }
      piece += part;
      if (piece.length < PIECE_LENGTH) return;
      const full = piece;
      piece = '';
      await file.writeFile(full);
    },
    async end() {
      if (!isOpen) return;
      await file.writeFile(piece);
      piece = '';
      await file.sync();
      await close();
    },
    close,
  };
}

/** Makes the moves themselves survive a power cut, where the system can. */
async function flushFolder(folder: string): Promise<void> {
  try {
    const handle = await open(folder, 'r');
    await handle.sync().finally(() => handle.close());
  } catch (error) {
    if (!['EISDIR', 'EPERM', 'EACCES', 'EINVAL', 'ENOTSUP'].includes(codeOf(error))) throw error; // not offered on this system
  }
}

/** Removes the folders from `folder` up to `firstMade`, as long as they are empty. */
async function removeMade(folder: string, firstMade: string | undefined): Promise<void> {
  if (firstMade === undefined) return;
  for (let path = folder; path.length >= firstMade.length; path = dirname(path)) {
    try {
      await rmdir(path);
    } catch {
      return; // somebody else has put something into it: it is theirs now
    }
  }
}
