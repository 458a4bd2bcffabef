import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { randomBytes } from 'node:crypto';
import { basename, join, resolve } from 'node:path';
import type { AgreementOptions } from '../../core/model/review-agreement.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../core/model/review-agreement.ts';
import type { ReviewsFileOutlook } from '../../core/model/reviews-file.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { AGREEMENT_COLUMNS, VERDICT_TABLE_COLUMNS } from '../../core/report/agreement-table.ts';
import { dictionarySection } from '../../core/report/data-dictionary.ts';
import { createAnalysisPool } from '../host/analysis-pool.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import { openFolderStore } from '../host/folder-case-store.ts';
import { createHost, type Host } from '../host/host.ts';
import { makeFolder } from '../host/make-folder.ts';
import { writeFailure } from '../host/write-failure.ts';
import { askPassphrase, PASSPHRASE_VARIABLE } from '../store/ask-passphrase.ts';
import { isLibraryFile, openLibraryFile, type LibraryFileOptions } from '../store/library-file.ts';

/** What is to be done with the reviews of a library, of either kind. */
export type LibraryReviewsCall = { readonly command: 'library reviews'; readonly library: string } & (
  | { readonly action: 'write'; readonly out: string; readonly by: string; readonly withoutNotes: boolean }
  | { readonly action: 'receive'; readonly file: string; readonly by: string; readonly confirm: string | undefined; readonly label: string }
  | { readonly action: 'agreement'; readonly out: string; readonly readers: readonly [string, string] | undefined; readonly seed: number; readonly draws: number; readonly conf: number }
);

export interface ReviewsCallSurroundings extends LibraryFileOptions {
  readonly now: () => Date;
  readonly workerUrl: URL;
  readonly productVersion: string;
}

/** Does what is asked and says it line by line; returns the exit code: 0, or 1 when it could not be done or something is left for a person to settle. */
export async function runLibraryReviews(call: LibraryReviewsCall, say: (line: string) => void, surroundings: ReviewsCallSurroundings): Promise<0 | 1> {
  try {
    const host = await openHost(call.library, surroundings);
    try {
      return await act(host, call, say);
    } finally {
      await host.close();
    }
  } catch (error) {
    const { code, message, remedy } = toFailure(error);
    if (code === 'internal') throw error;
    say([message, remedy].filter(Boolean).join(' '));
    return 1;
  }
}

async function openHost(library: string, { now, workerUrl, productVersion, ...options }: ReviewsCallSurroundings): Promise<Host> {
  const isFile = await isLibraryFile(library);
  if (!isFile && (await stat(library).catch(() => null))?.isDirectory() !== true) throw new FailureError({ code: 'library-missing', message: `There is no library ${library}.`, remedy: 'Name the folder of a library, or the file of an encrypted one.' });
  const store = isFile ? await openLibraryFile(library, await askPassphrase('Passphrase of the library', PASSPHRASE_VARIABLE, { twice: false }), options) : await openFolderStore(library);
  return createHost({ store, productVersion, door: 'browser', samplesFolder: '', casesAtOnce: 1, now, startPool: (onWorkerLost) => createAnalysisPool({ size: 1, workerUrl, productVersion, onWorkerLost }) });
}

async function act(host: Host, call: LibraryReviewsCall, say: (line: string) => void): Promise<0 | 1> {
  const jobId = randomBytes(16).toString('hex');
  switch (call.action) {
    case 'write': {
      if ((await stat(call.out).catch(() => null)) !== null) throw new FailureError({ code: 'file-there', message: `${call.out} is there already.`, remedy: 'Name a file that is not there: nothing is written over it.' });
      for (const line of outlookLines(await host.reviewsOutlook({ jobId }), call.withoutNotes)) say(line);
      const { text, fingerprint } = await host.writeReviews({ jobId, notes: call.withoutNotes ? 'left out' : 'included', by: call.by });
      await write(call.out, text);
      say(`Written to ${call.out}`);
      say(`Tell the receiver this fingerprint by another way than the file goes: ${grouped(fingerprint)}`);
      return 0;
    }
    case 'receive': {
      const staged = await stagedFile(host, call.file);
      try {
        const seen = await host.inspectReviews({ jobId, ...staged });
        say(`Signed with the key ${grouped(seen.sender.fingerprint)}${seen.sender.confirmedAt === null ? ', which nobody has confirmed here yet' : `, known as “${seen.sender.label}”`}.`);
        say(`Written ${seen.writtenAt}: ${seen.verdicts} verdicts in ${seen.entries} entries of ${seen.cases} cases, by ${seen.readers.join(', ')}; notes ${seen.notes}.`);
        if (seen.sender.confirmedAt === null && call.confirm === undefined) {
          say('Nothing was taken. Compare the fingerprint with the one that the sender’s program shows, then say it with --confirm.');
          return 1;
        }
        const done = await host.receiveReviews({ jobId, ...staged, confirmed: call.confirm ?? null, label: call.label, by: call.by });
        say(`${done.fresh} entries are new, ${done.known} were here already. ${done.matched} of ${done.cases} cases are in this library${done.waiting === 0 ? '' : `; reviews of ${done.waiting} wait for theirs`}.`);
        const open = (await host.reviewExchange({ jobId })).conflicts.filter(({ settled }) => settled === null);
        if (open.length > 0) say(`${open.length} conflicts are to be settled by a person, in the window under Review, Exchange: ${[...new Set(open.map(({ kind }) => kind))].join(', ')}.`);
        return open.length === 0 ? 0 : 1;
      } finally {
        await host.endImport({ importId: staged.importId });
      }
    }
    case 'agreement': {
      const options: AgreementOptions = { ...DEFAULT_AGREEMENT_OPTIONS, readers: call.readers ?? null, seed: call.seed, replicates: call.draws, conf: call.conf };
      const { agreement, leftOut } = await host.reviewAgreement({ jobId, options, by: null, blinded: false });
      const texts = await host.agreementTexts({ agreement });
      await makeFolder(resolve(call.out)).catch((error: unknown) => {
        throw writeFailure(error);
      });
      await write(join(call.out, 'agreement.csv'), texts.agreement);
      await write(join(call.out, 'verdict-table.csv'), texts.verdicts);
      await write(join(call.out, 'agreement-dictionary.md'), agreementDictionary());
      for (const { caseId, reason } of leftOut) say(`left out: ${caseId}: ${reason}`);
      const { pair } = agreement;
      say(pair === null ? 'No two readers have read a dropout in common, both blinded.' : `${pair.first} and ${pair.second}: ${pair.common} dropouts of ${pair.cases} cases read by both, blinded; ${pair.unblinded} more not blinded, in no figure.`);
      say(`Written to ${call.out}: agreement.csv, verdict-table.csv, agreement-dictionary.md`);
      return 0;
    }
  }
}

/** Says what a file is going to hold. */
function outlookLines({ cases, entries, verdicts, notes, readers, withoutContent, notOwn }: ReviewsFileOutlook, withoutNotes: boolean): string[] {
  return [
    `The file will hold ${verdicts} verdicts in ${entries} entries of ${cases} cases, with times, the names of the readers (${readers.join(', ')}) and the names of the cases as this library shows them; nothing of the records.`,
    notes === 0 ? 'No note was written.' : withoutNotes ? `${notes} notes are left out.` : `${notes} notes are in it as they were written: free text may name persons. Leave them out with --without-notes.`,
    ...(withoutContent === 0 ? [] : [`${withoutContent} of the cases are no longer in this library: the receiver can tell them by their files alone.`]),
    ...(notOwn === 0 ? [] : [`${notOwn} entries that came from elsewhere do not travel on.`]),
  ];
}

/** Returns agreement-dictionary.md. */
function agreementDictionary(): string {
  return [
    '# Data dictionary of the agreement of readers',
    '',
    'The tables are UTF-8, comma-separated, with a heading row and CRLF line ends (RFC 4180). An empty cell means “not defined” or “not known”, never 0. The dropouts were found by the program: none that it missed is among them. What the figures mean: docs/methods/rater-agreement.md.',
    '',
    dictionarySection({ name: 'agreement.csv', about: 'One row per scale and figure of two readers, per bound and figure, and per figure of all readers where there are more than two.', fields: AGREEMENT_COLUMNS }),
    dictionarySection({ name: 'verdict-table.csv', about: 'One row per scale and pair of verdicts, those that never came together too.', fields: VERDICT_TABLE_COLUMNS }),
  ].join('\n');
}

async function stagedFile(host: Host, path: string): Promise<{ readonly importId: string; readonly file: string }> {
  if ((await stat(path).catch(() => null))?.isFile() !== true) throw new FailureError({ code: 'file-missing', message: `There is no file ${path}.`, remedy: 'Name the file that the sender’s program wrote.' });
  const { importId } = await host.beginImport();
  const file = basename(path);
  try {
    await host.stageFile(importId, file, createReadStream(path));
  } catch (error) {
    await host.endImport({ importId });
    throw error;
  }
  return { importId, file };
}

async function write(path: string, text: string): Promise<void> {
  await writeAtomically(resolve(path), text).catch((error: unknown) => {
    throw writeFailure(error);
  });
}

function grouped(fingerprint: string): string {
  return fingerprint.replace(/.{4}(?=.)/g, '$& ');
}
