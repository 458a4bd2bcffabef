import { readFile, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import { z } from 'zod';
import { openFailure } from '../../core/model/release-answers.ts';
import { isAsked, releaseKey, tallyOf, type ReleaseAnswer, type ReleaseList } from '../../core/model/release.ts';
import { releaseAnswersSchema } from '../../core/model/release-schema.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import { systemCode } from '../host/write-failure.ts';
import { WrongCall } from './find-inputs.ts';

const SCHEMA = 'lacuna-release-answers/1';
/** `stands` says where an open word stands; it is for the person and is not read. */
const fileSchema = z.strictObject({ schema: z.literal(SCHEMA), answers: z.array(z.looseObject({ stands: z.string().optional() })) });

/** The list of what goes out, as a run without a window writes it. */
export const RELEASE_LIST_FILE = 'release-list.json';
/** Where files lie that a run writes for its own computer while what it was asked for may leave. */
export const STAYS_FOLDER = 'stays-here';

/** What a run says of the words of what it wrote. */
export interface ReleaseSummary {
  readonly listed: number;
  readonly asked: number;
  readonly kept: number;
  readonly replaced: number;
  readonly left_out: number;
  /** Words that may identify somebody and that nobody answered for. */
  readonly open: number;
  /** Where the list is. */
  readonly list: string;
}

/** Nothing is written because something has to be answered: exit code 2. */
export class OpenRelease extends Error {}

/** Returns the answers in a file. Errors  rejects with a FailureError: `answers-unreadable`. */
export async function readAnswers(file: string): Promise<readonly ReleaseAnswer[]> {
  const text = await readFile(resolve(file), 'utf8').catch((error: unknown) => {
    throw new FailureError({ code: 'answers-unreadable', message: `The file ${file} could not be read (${systemCode(error)}).`, remedy: 'Check its path.' });
  });
  try {
    return releaseAnswersSchema.parse(fileSchema.parse(JSON.parse(text)).answers.map(({ stands: _stands, ...answer }) => answer));
  } catch (error) {
    const [issue] = error instanceof z.ZodError ? error.issues : [];
    const where = issue === undefined ? 'it is not JSON' : `${issue.path.join('.')}: ${issue.message}`;
    throw new FailureError({ code: 'answers-unreadable', message: `The file ${file} is no file of answers (${where}).`, remedy: 'Each decision in it is keep, replace or leave out; a run writes or says one where something is open.' });
  }
}

/** Returns a file of answers with what is open added, to be filled in. */
export function openAnswers({ tokens, removals }: ReleaseList, answers: readonly ReleaseAnswer[]): string {
  const open = tokens.filter(({ kind, isKept }) => isAsked(kind) && !isKept);
  const again = new Set([...open, ...removals.filter(({ isCircular }) => isCircular)].map(releaseKey));
  return JSON.stringify({
    schema: SCHEMA,
    answers: [
      ...answers.filter((answer) => !again.has(releaseKey(answer))).map(({ kind, text, decision, with: words }) => ({ kind, text, decision, with: words })),
      ...open.map(({ kind, text, count, place, context }) => ({ kind, text, decision: '', with: '', stands: `${count}: ${place}${context === '' ? '' : `: ${context}`}` })),
    ],
  }, null, 2);
}

/** What a call says of the words that would go out. */
export interface GivenAnswers {
  readonly file: string;
  /** Whether the file is not there yet: it is made with what has to be answered. */
  readonly isNew: boolean;
  readonly answers: readonly ReleaseAnswer[];
}

/** Returns the answers that a call names; null: none. Errors  throws WrongCall for a file that is none of answers. */
export async function givenAnswers(file: string | undefined): Promise<GivenAnswers | null> {
  if (file === undefined) return null;
  if (!(await stat(resolve(file)).then(() => true, () => false))) return { file, isNew: true, answers: [] };
  try {
    return { file, isNew: false, answers: await readAnswers(file) };
  } catch (error) {
    if (!(error instanceof FailureError)) throw error;
    const { message, remedy } = toFailure(error);
    throw new WrongCall(`--release-answers: ${message} ${remedy ?? ''}`.trim());
  }
}

/**
 * Ends a run whose words are not all answered: what is open is written into a file to be filled in, the one named where there is none yet,
 * or one beside it. Does nothing where everything is answered.
 * Errors  throws OpenRelease.
 */
export async function refuseOpen(given: GivenAnswers, list: ReleaseList): Promise<void> {
  if (list.open === 0) return;
  const target = given.isNew ? given.file : `${given.file.replace(/\.json$/u, '')}.open.json`;
  await writeAtomically(resolve(target), `${openAnswers(list, given.answers)}\n`).catch((error: unknown) => {
    throw new WrongCall(`--release-answers: the file ${target} cannot be written (${systemCode(error)}).`);
  });
  const { message, remedy } = openFailure(list);
  throw new OpenRelease(`${message} ${remedy ?? ''}\nWhat is to be answered stands in ${target}: fill in each decision and name that file with --release-answers.`);
}

/** Returns under which name a file lies that is no part of what may be passed on: in a folder of its own where the rest may be. */
export function asideOf(given: GivenAnswers | null): (name: string) => string {
  return (name) => (given === null ? name : `${STAYS_FOLDER}/${name}`);
}

/** Returns release-list.json: every word of some files, what was said of it, and how many are open. */
export function releaseListText(list: ReleaseList, covered: readonly string[]): string {
  const { listed, asked, kept, replaced, leftOut } = tallyOf(list);
  return `${JSON.stringify({ schema: 'lacuna-release-list/1', files: covered, listed, asked, kept, replaced, left_out: leftOut, open: list.open, words: list.tokens, columns: list.columns, removed: list.removals }, null, 2)}\n`;
}

/** Returns what the summary of a run says of a list. */
export function releaseSummary(list: ReleaseList, where: string): ReleaseSummary {
  const { listed, asked, kept, replaced, leftOut } = tallyOf(list);
  return { listed, asked, kept, replaced, left_out: leftOut, open: list.open, list: where };
}

/** Returns the last line of a run about the words that it wrote. */
export function releaseWords({ listed, open, kept, replaced, left_out, list }: ReleaseSummary): string {
  if (open === 0) return `Every word is answered: ${kept} that may identify somebody were kept, ${replaced} replaced, ${left_out} left out, of ${listed} listed in ${list}.`;
  return `${open} words, dates and codes of ${listed} may identify somebody, and nobody answered for them: they stand in ${list}. Answer them (--release-answers) before anything is passed on.`;
}
