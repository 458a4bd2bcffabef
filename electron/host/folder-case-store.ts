import { randomBytes } from 'node:crypto';
import { mkdir, readFile, readdir, rm, rmdir, stat } from 'node:fs/promises';
import { basename, join, resolve } from 'node:path';
import { z } from 'zod';
import { sourceDigests } from '../../core/model/source-digests.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { summarizeCase, summarizeUnreadable } from '../../core/protocol/case-summary.ts';
import { caseSummarySchema } from '../../core/protocol/host-api-schema.ts';
import { UNFINISHED, flushFolder, isSystemError, writeAtomically } from './atomic-write.ts';
import type { CaseLine } from './case-lines.ts';
import { buildCaseLines, caseMissing } from './case-lines.ts';
import type { CaseStore, InterruptedRun, StagingArea } from './case-store.ts';
import type { FolderStaging } from './folder-staging.ts';
import { buildFolderStaging, reopenFolderStaging } from './folder-staging.ts';
import { countWork, flushPrepared, readRun } from './import-work.ts';
import { clearJournal } from './folder-journal.ts';
import { buildFolderShelf } from './folder-shelf.ts';
import type { PreparedEntry } from './import-ledger.ts';
import { buildKeptLedger } from './kept-ledger.ts';
import type { LibraryLock } from './library-lock.ts';
import { lockLibrary } from './library-lock.ts';
import { JOURNAL_NAMES } from './library-shelf.ts';
import type { LibrarySettings } from './library-settings.ts';
import { openSettings } from './library-settings.ts';
import { makeFolder } from './make-folder.ts';
import { describeRemoval } from './removed-imports.ts';
import { buildShelfStores } from './shelf-stores.ts';
import { systemCode, writeFailure } from './write-failure.ts';
import type { PublicationStep } from './publication.ts';
import { finishPublication, publish } from './publication.ts';

/*
 * A library as a folder:
 *   library.json     schema, the salt of the file names and of the codes for persons, whether the samples were offered, whether cases wait for a new analysis
 *   parameters.json  what the library's figures are computed with
 *   parameter-sets.json  sets saved under a name
 *   mappings.json    mappings saved under a name
 *   protocols.json   protocols that were fixed; only ever added to
 *   case-lists.json  what was decided about lists of cases, by their content
 *   quality-charts.json  quality charts: their definitions, kept points, limits and changes
 *   timeline-lanes.json  lanes of the timeline: chosen, ordered and resized
 *   case-marks.json  marks and notes in cases, by the keys of the cases
 *   stories.json     what is told at meetings
 *   report-setting.json  the confidentiality text that is printed on everything that leaves
 *   those and all other documents go through folder-shelf.ts
 *   cases/KEY.case   one case each; KEY is a keyed hash of the case's name, so no name stands in the file system
 *   index.json       the summaries, a cache: believed only where size and time of the case file still fit
 *   ledger/          what was done at every import (kept-ledger.ts, folder-journal.ts); only ever added to
 *   reviews/         the trail of verdicts and of what was done to the library (kept-reviews.ts, folder-journal.ts); only ever added to
 *   trail-head.json  which entry of the trail is its last
 *   incoming/        files of imports that are not over, with what was done of them; at a start, those that were running are kept
 *   lock             which program has the library open
 */

const indexSchema = z.object({
  schema: z.literal('lacuna-index/2'),
  cases: z.record(z.string(), z.object({ size: z.number(), mtimeMs: z.number(), summary: caseSummarySchema, digests: z.array(z.string()) })),
});

interface IndexEntry extends CaseLine {
  readonly size: number;
  readonly mtimeMs: number;
}

const CASE_FILE = /^([0-9a-f]{32})\.case$/;
const IMPORT_FOLDER = /^[0-9a-f]{32}$/;

/**
 * Returns the library in `folder`, made when it is not there yet.
 * Errors  rejects with a FailureError: the library is open elsewhere, or its folder cannot be used.
 *         A damaged case is no error: it is listed with its problem.
 */
export async function openFolderStore(folder: string): Promise<CaseStore> {
  const root = resolve(folder);
  const libraryName = basename(root);
  const casesFolder = join(root, 'cases');
  const incoming = join(root, 'incoming');
  const ledgerFolder = join(root, 'ledger');
  const published = { cases: casesFolder, ledger: ledgerFolder };
  const shelf = buildFolderShelf(root);
  const ledger = buildKeptLedger(shelf.journal('ledger'));
  const stores = buildShelfStores(shelf);
  const caseFile = (caseKey: string): string => join(casesFolder, `${caseKey}.case`);
  let made: string | undefined;
  let lock: LibraryLock;
  try {
    made = await makeFolder(root, 0o700);
    await makeFolder(casesFolder, 0o700);
    lock = await lockLibrary(join(root, 'lock'), libraryName);
  } catch (error) {
    await removeMade(error);
    throw unusable(libraryName, error);
  }
  const index = buildCaseLines<IndexEntry>();
  const stagings = new Map<string, FolderStaging>();
  let settings: LibrarySettings;
  try {
    await removeUnfinished(root);
    await removeUnfinished(casesFolder);
    await makeFolder(incoming, 0o700);
    await clearIncoming();
    for (const name of JOURNAL_NAMES) await clearJournal(join(root, name)); // after the entries of what was being published have come in
    settings = await openSettings(shelf, async () => !(await readdir(casesFolder)).some((name) => CASE_FILE.test(name)));
    await fillIndex();
  } catch (error) {
    await lock.release();
    await removeMade(error);
    throw unusable(libraryName, error);
  }

  /** A library that could not be made leaves no empty folders, which are all that may go: a program that was quicker has something in them. */
  async function removeMade(error: unknown): Promise<void> {
    if (made === undefined || (error instanceof FailureError && error.code === 'library-in-use')) return;
    for (const empty of [casesFolder, incoming, root]) await rmdir(empty).catch(() => undefined); // the error itself is what is told
  }

  /** Does what is left of a publication, keeps imports that can be gone on with, and removes the rest. */
  async function clearIncoming(): Promise<void> {
    for (const importId of await readdir(incoming)) {
      const folderOfImport = join(incoming, importId);
      const wasPublishing = await finishPublication(folderOfImport, published);
      const staging = wasPublishing || !IMPORT_FOLDER.test(importId) ? null : await reopenFolderStaging(importId, folderOfImport);
      if (staging !== null) {
        stagings.set(importId, staging);
        continue;
      }
      const removed = wasPublishing || !IMPORT_FOLDER.test(importId) ? null : await describeRemoval(importId, folderOfImport, ledger, { evenUnread: true });
      if (removed !== null) await stores.removedImports.add([removed]);
      await rm(folderOfImport, { recursive: true, force: true });
    }
  }

  async function fillIndex(): Promise<void> {
    const cached = await readIndex(join(root, 'index.json'));
    for (const name of (await readdir(casesFolder)).sort()) {
      const caseKey = CASE_FILE.exec(name)?.[1];
      if (caseKey === undefined) continue;
      const { size, mtimeMs } = await stat(caseFile(caseKey));
      const known = cached.get(caseKey);
      // A problem is looked at anew: the file may have been put right, or the program be newer than it was.
      const isKnown = known !== undefined && known.size === size && known.mtimeMs === mtimeMs && known.summary.caseKey === caseKey && known.summary.problem === null;
      index.found(caseKey, isKnown ? known : { size, mtimeMs, ...(await readLine(caseKey)) });
    }
    await writeIndex();
  }

  async function readLine(caseKey: string): Promise<Pick<IndexEntry, 'summary' | 'digests'>> {
    let bytes: Uint8Array;
    try {
      bytes = await readFile(caseFile(caseKey));
    } catch (error) {
      return { summary: summarizeUnreadable(caseKey, `The stored case could not be read from the disk (${systemCode(error)}).`), digests: [] };
    }
    const decoded = decodeCase(bytes);
    if (decoded.ok) return { summary: summarizeCase(caseKey, decoded.value.record, decoded.value.analysis), digests: sourceDigests(decoded.value.record) };
    return { summary: summarizeUnreadable(caseKey, [decoded.failure.message, decoded.failure.remedy].filter(Boolean).join(' ')), digests: [] };
  }

  /** A cache needs no care: when it cannot be written the next start reads the cases themselves. */
  async function writeIndex(): Promise<void> {
    const text = JSON.stringify({ schema: 'lacuna-index/2', cases: Object.fromEntries(index.entries) });
    await writeAtomically(join(root, 'index.json'), text).catch(() => undefined);
  }

  async function note(caseKey: string, line: Pick<IndexEntry, 'summary' | 'digests'>): Promise<void> {
    const { size, mtimeMs } = await stat(caseFile(caseKey));
    index.changed(caseKey, { size, mtimeMs, ...line });
  }

  /** Brings the library back to what it was before an import; `more` are cases that it was about to put there, and whether each replaced one. */
  async function takeAllBack({ folder: importFolder, stored }: FolderStaging, more: ReadonlyMap<string, boolean>, entry: PreparedEntry | undefined): Promise<void> {
    const put = new Map([...stored, ...more]);
    await publish(importFolder, published, [
      ...[...put].map(([caseKey, replacesOne]): PublicationStep => ({ step: replacesOne ? 'restore' : 'remove', caseKey })),
      ...(entry === undefined ? [] : [{ step: 'withdraw' as const, ...entry }]),
    ]);
    stored.clear();
    for (const caseKey of put.keys()) await reread(caseKey);
  }

  /** Looks at a case's file anew, after it came back or went. */
  async function reread(caseKey: string): Promise<void> {
    index.delete(caseKey);
    const isThere = await stat(caseFile(caseKey)).then(() => true, () => false);
    if (isThere) await note(caseKey, await readLine(caseKey));
  }

  function known(staging: StagingArea): FolderStaging {
    const found = stagings.get(staging.importId);
    if (found === undefined) throw new Error('this import is over');
    return found;
  }

  const keyOf = (caseId: string): string => index.keyOf(caseId, settings.newKeyOf);

  return {
    libraryName,
    settings,
    async endReanalysis() {
      await writeIndex();
      await settings.change({ reanalysisPending: false });
    },
    async refresh(caseKey) {
      const line = await readLine(caseKey);
      const size = await stat(caseFile(caseKey)).then((found) => found.size, () => -1);
      index.changed(caseKey, { size, mtimeMs: -1, ...line });
    },
    list: index.list,
    keyOf,
    revisionOf: index.revisionOf,
    stampOf(caseKey) {
      const line = index.entries.get(caseKey);
      return line === undefined || line.mtimeMs < 0 ? null : `${line.size} ${line.mtimeMs}`; // as the index believes its lines
    },
    async readBytes(caseKey) {
      if (!index.entries.has(caseKey)) throw caseMissing();
      try {
        return await readFile(caseFile(caseKey));
      } catch (error) {
        if (isSystemError(error, 'ENOENT')) throw caseMissing();
        throw new FailureError({ code: 'case-unreadable', message: `The stored case could not be read from the disk (${systemCode(error)}).`, remedy: 'Check the disk that holds the library, then try again.' });
      }
    },
    async save(record, analysis) {
      const caseKey = keyOf(record.caseId);
      try {
        await writeAtomically(caseFile(caseKey), encodeCase(record, analysis));
      } catch (error) {
        throw writeFailure(error);
      }
      const summary = summarizeCase(caseKey, record, analysis);
      await note(caseKey, { summary, digests: sourceDigests(record) });
      return summary;
    },
    async remove(caseKey) {
      if (!index.entries.has(caseKey)) return false;
      try {
        await rm(caseFile(caseKey), { force: true });
        await flushFolder(casesFolder);
      } catch (error) {
        throw writeFailure(error);
      }
      index.delete(caseKey);
      return true;
    },
    lineOf: index.lineOf,
    casesFrom: index.casesFrom,
    async publish(given, { put, takeBack, entry }, { signal, onFlushed, onPoint }) {
      const { folder: importFolder, stored } = known(given);
      const replaces = new Map(put.map(({ summary: { caseKey } }) => [caseKey, stored.get(caseKey) ?? index.entries.has(caseKey)]));
      const takenBack = [...stored].filter(([caseKey]) => takeBack.includes(caseKey) && !replaces.has(caseKey));
      for (const one of put) {
        signal?.throwIfAborted();
        await flushPrepared(importFolder, one.summary.caseKey).catch((error: unknown) => {
          throw writeFailure(error);
        });
        onFlushed?.(one);
      }
      onPoint?.();
      try {
        await publish(importFolder, published, [
          ...[...replaces].map(([caseKey, replacesOne]): PublicationStep => ({ step: 'put', caseKey, aside: replacesOne && !stored.has(caseKey) })),
          ...takenBack.map(([caseKey, hasAside]): PublicationStep => ({ step: hasAside ? 'restore' : 'remove', caseKey })),
          ...(entry === undefined ? [] : [{ step: 'enter' as const, ...entry }]),
        ]);
      } catch (error) {
        await takeAllBack(known(given), replaces, entry);
        throw error instanceof Error && 'syscall' in error ? writeFailure(error) : error;
      }
      if (entry !== undefined) await ledger.entered(entry);
      for (const { summary, digests } of put) await note(summary.caseKey, { summary, digests });
      for (const [caseKey] of takenBack) {
        await reread(caseKey);
        stored.delete(caseKey);
      }
      for (const [caseKey, replacesOne] of replaces) stored.set(caseKey, replacesOne);
      return new Set([...replaces].flatMap(([caseKey, replacesOne]) => (replacesOne ? [caseKey] : [])));
    },
    ...stores,
    ledger,
    async openStaging({ isResumable }) {
      const importId = randomBytes(16).toString('hex');
      const folderOfImport = join(incoming, importId);
      await mkdir(folderOfImport, { mode: 0o700 }).catch((error: unknown) => {
        throw writeFailure(error);
      });
      const staging = buildFolderStaging(importId, folderOfImport, isResumable);
      stagings.set(importId, staging);
      return staging;
    },
    stagingOf: (importId) => stagings.get(importId) ?? null,
    async interruptedRuns() {
      const runs = await Promise.all(
        [...stagings.values()].map(async ({ importId, folder: importFolder, isLeftOver }): Promise<InterruptedRun[]> => {
          const run = isLeftOver() ? await readRun(importFolder) : null;
          return run === null ? [] : [{ importId, run, ...(await countWork(importFolder)) }];
        }),
      );
      return runs.flat();
    },
    async endStaging(importId) {
      if (!stagings.delete(importId)) return false;
      await rm(join(incoming, importId), { recursive: true, force: true });
      await writeIndex();
      return true;
    },
    async close() {
      await writeIndex();
      for (const { importId, hasWork } of stagings.values()) if (!hasWork()) await rm(join(incoming, importId), { recursive: true, force: true });
      await lock.release();
    },
  };
}

async function removeUnfinished(folder: string): Promise<void> {
  for (const name of await readdir(folder)) if (name.endsWith(UNFINISHED)) await rm(join(folder, name), { force: true });
}

async function readIndex(path: string): Promise<Map<string, IndexEntry>> {
  try {
    const parsed = indexSchema.safeParse(JSON.parse(await readFile(path, 'utf8')));
    return new Map(parsed.success ? Object.entries(parsed.data.cases) : []);
  } catch {
    return new Map(); // a cache: absent or spoiled means that the cases themselves are read
  }
}

function unusable(libraryName: string, error: unknown): FailureError {
  if (error instanceof FailureError) return error;
  if (isSystemError(error, 'ENOSPC', 'EDQUOT')) return writeFailure(error);
  return new FailureError({ code: 'library-unusable', message: `The folder "${libraryName}" cannot be used as a library (${systemCode(error)}).`, remedy: 'Choose another folder with --library, or change the rights of this one.' });
}
