import { copyFile, link, readFile, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import { UNFINISHED, flushFolder, isSystemError, renamePatiently, writeAtomically } from './atomic-write.ts';
import { enterPrepared, withdrawEntry } from './folder-journal.ts';
import { makeFolder } from './make-folder.ts';
import { forgetRun, preparedFile } from './import-work.ts';

/*
 * How the cases of an import come into the library, all or none, and the ledger's entry about them with them. What is to be done is
 * written down first, in publish.json; then it is done, file by file, by renames; then the note is removed. A start that finds the
 * note does what is left of it: every step can be done twice.
 */

const stepSchema = z.discriminatedUnion('step', [
  /** The prepared case goes into the library; the case that was there is put aside first where `aside`. */
  z.object({ step: z.literal('put'), caseKey: z.string().regex(/^[0-9a-f]{32}$/), aside: z.boolean() }),
  /** The case that was put aside comes back; none put aside: nothing. */
  z.object({ step: z.literal('restore'), caseKey: z.string().regex(/^[0-9a-f]{32}$/) }),
  z.object({ step: z.literal('remove'), caseKey: z.string().regex(/^[0-9a-f]{32}$/) }),
  /** An entry that was written down beside the ledger becomes a part of it. */
  z.object({ step: z.literal('enter'), importId: z.string().regex(/^[0-9a-f]{32}$/), number: z.string().regex(/^\d{4,}$/) }),
  /** An entry of a publication that did not go through leaves the ledger, or the place beside it. */
  z.object({ step: z.literal('withdraw'), importId: z.string().regex(/^[0-9a-f]{32}$/), number: z.string().regex(/^\d{4,}$/) }),
]);
/** One step of a publication. */
export type PublicationStep = z.infer<typeof stepSchema>;

const journalSchema = z.object({ schema: z.literal('lacuna-publication/1'), steps: z.array(stepSchema) });

/** The folders that a publication changes. */
export interface PublishedFolders {
  readonly cases: string;
  readonly ledger: string;
}

const journalFile = (importFolder: string): string => join(importFolder, 'publish.json');

/** Returns where a case of the library lies that was put aside for an import. */
export function asideFile(importFolder: string, caseKey: string): string {
  return join(importFolder, 'aside', `${caseKey}.case`);
}

/**
 * Does the steps, so that after a crash either none or all of them are done (the rest at the next start).
 * Errors  rejects with the disk's error; the note stays, and the steps done so far with it. Publish the opposite then.
 */
export async function publish(importFolder: string, folders: PublishedFolders, steps: readonly PublicationStep[]): Promise<void> {
  await makeFolder(join(importFolder, 'aside'), 0o700);
  await writeAtomically(journalFile(importFolder), JSON.stringify({ schema: 'lacuna-publication/1', steps }));
  await doSteps(importFolder, folders, steps);
}

/** Does what is left of a publication that was interrupted; returns whether there was one. */
export async function finishPublication(importFolder: string, folders: PublishedFolders): Promise<boolean> {
  let text: string;
  try {
    text = await readFile(journalFile(importFolder), 'utf8');
  } catch (error) {
    if (isSystemError(error, 'ENOENT', 'ENOTDIR')) return false;
    throw error;
  }
  // Written whole and flushed before the first step: an unreadable one was never begun on.
  const parsed = journalSchema.safeParse(parsedJson(text));
  if (!parsed.success) return false;
  await doSteps(importFolder, folders, parsed.data.steps);
  return true;
}

async function doSteps(importFolder: string, folders: PublishedFolders, steps: readonly PublicationStep[]): Promise<void> {
  for (const step of steps) await doStep(importFolder, folders, step);
  await flushFolder(folders.cases);
  await forgetRun(importFolder); // before the note goes: what came in must not be offered again
  await rm(journalFile(importFolder), { force: true });
  await flushFolder(importFolder);
}

async function doStep(importFolder: string, folders: PublishedFolders, todo: PublicationStep): Promise<void> {
  if (todo.step === 'enter') {
    await enterPrepared(folders.ledger, { group: todo.importId, number: todo.number });
    return;
  }
  if (todo.step === 'withdraw') {
    await withdrawEntry(folders.ledger, { group: todo.importId, number: todo.number });
    return;
  }
  const { caseKey } = todo;
  const stored = join(folders.cases, `${caseKey}.case`);
  const aside = asideFile(importFolder, caseKey);
  if (todo.step === 'remove') await rm(stored, { force: true });
  else if (todo.step === 'restore') await moveIfThere(aside, stored);
  else if (await isThere(preparedFile(importFolder, caseKey))) {
    if (todo.aside && !(await isThere(aside))) await keepAside(stored, aside);
    await renamePatiently(preparedFile(importFolder, caseKey), stored);
  }
}

/** Gives the stored case a second name, or a copy where the file system knows no second names; whole or not at all. */
async function keepAside(stored: string, aside: string): Promise<void> {
  try {
    await link(stored, aside);
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return; // it was removed by hand
    await copyFile(stored, `${aside}${UNFINISHED}`);
    await renamePatiently(`${aside}${UNFINISHED}`, aside);
  }
}

async function moveIfThere(from: string, to: string): Promise<void> {
  if (!(await isThere(from))) return;
  await renamePatiently(from, to);
  await rm(from, { force: true }); // two names of one file: renaming leaves both
}

async function isThere(path: string): Promise<boolean> {
  try {
    await stat(path);
    return true;
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return false;
    throw error;
  }
}

function parsedJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
