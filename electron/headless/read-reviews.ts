import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import type { CaseEntry, SealedEntry } from '../../core/model/review.ts';
import type { ReviewsFileContent } from '../../core/model/reviews-file.ts';
import type { ReviewsGiven } from '../../core/report/parameters-file.ts';
import { matchCases, mergeReceived, type LocalCase } from '../../core/review/merge-received.ts';
import { readReviewsFile } from '../../core/review/reviews-file.ts';
import type { AnalysisPool, ReadImport } from '../host/analysis-pool.ts';
import { inTurns } from '../host/in-turns.ts';
import { SIGNATURES } from '../host/review-key.ts';
import { WorkerFailure } from '../host/worker-supervisor.ts';
import { WrongCall, codeOf } from './find-inputs.ts';

/** The files with reviews of a call, checked. */
export interface ReviewsRead {
  /** As parameters.json names them, in the order of their digests: that in which they were given changes nothing. */
  readonly given: readonly ReviewsGiven[];
  readonly contents: readonly ReviewsFileContent[];
}

/** Reviews laid beside the cases of a run. */
export interface PlacedReviews {
  /** By the place of the case in the plan. */
  readonly entriesOf: (place: number) => readonly SealedEntry[];
  /** Entries whose case is not among them, or not for certain, and those that came in two contents. */
  readonly unmatched: readonly SealedEntry[];
  /** What a person must know of it. */
  readonly notes: readonly string[];
}

/**
 * Returns the reviews of some files, null where none is named.
 * Errors  throws WrongCall for one that cannot be read, was altered since it was signed, or is of a later form: nothing is taken from any.
 */
export async function readReviews(paths: readonly string[] | undefined): Promise<ReviewsRead | null> {
  if (paths === undefined || paths.length === 0) return null;
  const read = await Promise.all(
    paths.map(async (path) => {
      const text = await readFile(path, 'utf8').catch((error: unknown) => {
        throw new WrongCall(`The reviews file cannot be read (${codeOf(error)}): ${path}`);
      });
      const content = readReviewsFile(text, SIGNATURES);
      if (!content.ok) throw new WrongCall(`The reviews file ${path}: ${content.failure.message} ${content.failure.remedy ?? ''}`.trim());
      const { sender, entries } = content.value;
      return { content: content.value, given: { file: basename(path), sha256: SIGNATURES.sha256(text), signed_by: sender.fingerprint, entries: entries.length } };
    }),
  );
  read.sort((a, b) => (a.given.sha256 < b.given.sha256 ? -1 : 1));
  return { given: read.map(({ given }) => given), contents: read.map(({ content }) => content) };
}

/**
 * Returns the reviews beside the cases of a run, known by what their SpO2 sensors recorded and by the digests of their files.
 * Shape   where all come from one library they count as its own; else each reader bears the key of the library. Reading twice the same files
 *         gives the same. To be known a case has to be built: those from the files that the reviews name, and the others only where the reviews
 *         of a case found none among them, for the same recording may have come in other files.
 */
export async function placeReviews({ contents }: ReviewsRead, pool: AnalysisPool, read: ReadImport, { size, signal, onCase }: { readonly size: number; readonly signal: AbortSignal; readonly onCase: (done: number, total: number) => void }): Promise<PlacedReviews> {
  const planned = [...read.plan.cases.entries()];
  const look = async (some: typeof planned): Promise<readonly LocalCase[]> => {
    let done = 0;
    return await inTurns(some, size, async ([place, one]): Promise<LocalCase> => {
      signal.throwIfAborted();
      const facts = await pool.caseFacts(read, one, { signal }).catch((error: unknown) => {
        signal.throwIfAborted();
        if (!(error instanceof WorkerFailure)) throw error;
        return { inputDigests: [], contentFingerprint: null }; // the case will be listed as not analysed
      });
      onCase((done += 1), some.length);
      return { caseKey: String(place), caseId: one.caseId, ...facts };
    });
  };
  const senders = mergeReceived(contents);
  const named = new Set(senders.flatMap(({ cases }) => [...cases.values()].flatMap(({ inputDigests }) => inputDigests)));
  const isNear = ([, { parts }]: (typeof planned)[number]): boolean => parts.some(({ file }) => named.has(read.readings[file]?.source.sha256 ?? ''));
  const near = await look(planned.filter(isNear));
  const lacksOne = senders.some(({ cases, entries }) => {
    const matches = matchCases([...cases.values()], near);
    return entries.some(({ caseKey }) => (matches.get(caseKey)?.kind ?? 'none') === 'none');
  });
  const local = lacksOne ? [...near, ...(await look(planned.filter((one) => !isNear(one))))].sort((a, b) => Number(a.caseKey) - Number(b.caseKey)) : near;
  const isOne = senders.length === 1;
  const byPlace = new Map<string, SealedEntry[]>();
  const unmatched: SealedEntry[] = [];
  const notes: string[] = [];
  for (const { signedBy, cases: theirs, entries, partedAt } of senders) {
    if (partedAt !== null) notes.push(`Two files signed by ${signedBy.slice(0, 8)}… tell two stories from entry ${partedAt} on: that library was copied, or set back to a backup.`);
    const matches = matchCases([...theirs.values()], local);
    let notPlaced = 0;
    let unsure = 0;
    let twice = 0;
    for (const { caseKey, versions } of entries) {
      const [only, ...others] = versions;
      if (only === undefined) continue;
      const match = matches.get(caseKey) ?? { kind: 'none' };
      if (others.length > 0 || match.kind !== 'match') {
        for (const { entry, hash } of versions) unmatched.push(sealed(entry, hash, isOne ? null : signedBy));
        if (others.length > 0) twice += 1;
        else if (match.kind === 'unsure') unsure += 1;
        else notPlaced += 1;
        continue;
      }
      const { caseKey: place } = match.to;
      byPlace.set(place, [...(byPlace.get(place) ?? []), sealed(only.entry, only.hash, isOne ? null : signedBy)]);
    }
    if (notPlaced > 0) notes.push(`${notPlaced} entries of the reviews are about cases that were not read; they are listed in reviews.csv.`);
    if (unsure > 0) notes.push(`${unsure} entries of the reviews are about cases whose files agree with what was read and whose SpO2 does not, or not for certain; they count in no figure and are listed in reviews.csv.`);
    if (twice > 0) notes.push(`${twice} entries of the reviews came in two contents; they count in no figure and are listed in reviews.csv. A person settles that in a library that receives both files.`);
  }
  return { entriesOf: (place) => byPlace.get(String(place)) ?? [], unmatched, notes };
}

/** An entry as it is laid beside a case: as that library's own, or as received from it. */
function sealed(entry: CaseEntry, hash: string, signedBy: string | null): SealedEntry {
  if (signedBy === null) return { entry, hash };
  const { place, previous, entryId, at, by, productVersion, caseKey, caseId } = entry;
  return { entry: { kind: 'received', place, previous, entryId, at, by, productVersion, caseKey, caseId, entry, hash, signedBy }, hash };
}
