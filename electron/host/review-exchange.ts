import { readFile, stat } from 'node:fs/promises';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Disagreement } from '../../core/model/disagreement.ts';
import type { AgreementOptions, ReadCase, ReviewAgreement } from '../../core/model/review-agreement.ts';
import type { LibraryAct, ReviewBasis, SealedEntry } from '../../core/model/review.ts';
import { isCaseBody, readerNameSchema } from '../../core/model/review-schema.ts';
import type { ReceivedSummary, ReviewConflict, ReviewsFileContent, Sender, TravellingCase } from '../../core/model/reviews-file.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { ReaderView } from '../../core/protocol/report-api.ts';
import type { CasesLeftOut, ReviewExchange, ReviewExchangeApi, StagedReviews } from '../../core/protocol/review-exchange-api.ts';
import { disagreementsOf } from '../../core/review/disagreements.ts';
import type { FoundConflict, JoinPlan } from '../../core/review/join-received.ts';
import { joinReceived } from '../../core/review/join-received.ts';
import type { LocalCase } from '../../core/review/merge-received.ts';
import { mergeReceived } from '../../core/review/merge-received.ts';
import { readCase } from '../../core/review/read-case.ts';
import { hidesOthers, reviewOfCase } from '../../core/review/review-of-case.ts';
import { readReviewsFile, reviewsFileContent, reviewsFileOutlook, reviewsFileText, signedText } from '../../core/review/reviews-file.ts';
import type { SenderNames } from '../../core/review/standing-verdicts.ts';
import { readerShown } from '../../core/review/standing-verdicts.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';
import type { ReceivedFile, ReviewExchangeFacts } from './received-reviews.ts';
import { SIGNATURES } from './review-key.ts';
import type { EntryStamp } from './review-trail.ts';
import type { Reviews } from './reviews.ts';

/** Larger than any library's reviews; a file is read whole. */
const MOST_BYTES = 256 << 20;
const ALL = Number.MAX_SAFE_INTEGER;

export interface ReviewExchangeParts extends CaseWorkParts {
  readonly now: () => Date;
  readonly productVersion: string;
  /** Runs what changes the library one after the other. */
  readonly exclusively: <T>(change: () => Promise<T>) => Promise<T>;
  readonly reviews: Pick<Reviews, 'basisOf' | 'recorded' | 'noteLook' | 'senders'>;
}

/** Two readers against each other, and reviews from and to other libraries. */
export interface ReviewExchanges {
  readonly calls: ReviewExchangeApi;
  cancel(jobId: string): boolean;
  /** Returns how far readers agree over some cases, for work that is named and ended elsewhere, with the number of cases that are hidden from the one who looks, and those that could not be told. */
  agreementOver(caseKeys: ReadonlySet<string>, options: AgreementOptions, view: ReaderView, signal: AbortSignal): Promise<{ readonly agreement: ReviewAgreement; readonly hidden: number; readonly leftOut: CasesLeftOut }>;
  /** Joins reviews that waited for cases which are here now; never rejects. */
  joinWaiting(): Promise<void>;
}

/** Everything about received reviews at one moment. */
interface Joined {
  readonly plan: JoinPlan;
  readonly facts: ReviewExchangeFacts;
  readonly files: readonly ReceivedFile[];
}

type Progress = (done: number, total: number) => void;

/** Returns the exchange of reviews of one host. */
export function createReviewExchange({ store, pool, casesAtOnce, closing, tell, now, productVersion, exclusively, reviews }: ReviewExchangeParts): ReviewExchanges {
  const kept = createKeptCaseResults({ store, casesAtOnce, closing, setsKept: 1, entriesOf: () => Promise.resolve(null), workOut: (bytes, caseKey, _parameters, _entries, hooks) => pool.localCase(bytes, caseKey, hooks) });
  const jobs = createNamedJobs({
    closing,
    running: { code: 'review-work-running', message: 'This is already being worked out.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'It was cancelled.',
  });

  function run<T>(jobId: string, work: (signal: AbortSignal, onProgress: Progress) => Promise<T>): Promise<T> {
    return jobs.run(jobId, (signal) => work(signal, nowAndThen((done, total) => tell({ kind: 'review-progress', jobId, done, total }))));
  }

  async function wholeTrail(): Promise<readonly SealedEntry[]> {
    return (await store.reviews.list(null, ALL)).entries.toReversed();
  }

  async function localCases(caseKeys: readonly string[] | null, signal: AbortSignal, onProgress: Progress): Promise<readonly LocalCase[]> {
    return (await kept.read(caseKeys, DEFAULT_PARAMETERS, { signal, onProgress })).cases;
  }

  /** What is to become of all that was received, `extra` with it. Cases are read only as far as they can matter. */
  async function planFor(extra: readonly ReviewsFileContent[], signal: AbortSignal, onProgress: Progress): Promise<Joined> {
    const [files, facts, trail] = [await store.receivedReviews.files(), await store.receivedReviews.facts(), await wholeTrail()];
    const senders = mergeReceived([...files.map(({ content }) => content), ...extra]);
    const digests = new Set(senders.flatMap(({ cases }) => [...cases.values()].flatMap(({ inputDigests }) => inputDigests)));
    const near = new Set([...digests].flatMap((digest) => store.casesFrom([digest])));
    const settled = facts.settled;
    let plan = joinReceived(senders, { trail, library: await localCases([...near], signal, onProgress), settled }, SIGNATURES.sha256);
    // The same recording may have come from other files: only then every case has to be looked at.
    if (plan.waiting.length > 0 && near.size < store.list().length) plan = joinReceived(senders, { trail, library: await localCases(null, signal, onProgress), settled }, SIGNATURES.sha256);
    return { plan, facts, files };
  }

  /** Adds to the trail what can be joined. */
  async function join(signal: AbortSignal, onProgress: Progress): Promise<Joined> {
    const joined = await planFor([], signal, onProgress);
    const byOf = new Map(joined.files.map(({ content, receivedBy }) => [content.sender.fingerprint, receivedBy]));
    for (const { caseKey, ...rest } of joined.plan.join) {
      const stamp: EntryStamp = { by: byOf.get(rest.signedBy) ?? rest.entry.by, at: now(), productVersion };
      await store.reviews.add(caseKey, stamp, (soFar) => (soFar.some(({ entry }) => entry.kind === 'received' && entry.hash === rest.hash && entry.signedBy === rest.signedBy) ? [] : [{ kind: 'received', caseKey, ...rest }]));
    }
    for (const caseKey of new Set(joined.plan.join.map((one) => one.caseKey))) tell({ kind: 'reviews-changed', caseKey });
    return joined;
  }

  async function senderOf(fingerprint: string, { senders }: ReviewExchangeFacts): Promise<Sender> {
    const known = senders.find((one) => one.fingerprint === fingerprint);
    return { fingerprint, label: known?.label ?? '', confirmedAt: known?.confirmedAt ?? null, isOwn: (await store.reviewKey.peek())?.fingerprint === fingerprint };
  }

  async function described({ plan, facts, files }: Joined): Promise<ReviewExchange> {
    const fingerprints = [...new Set([...plan.conflicts, ...plan.waiting].map(({ signedBy }) => signedBy))];
    const senders = new Map(await Promise.all(fingerprints.map(async (one) => [one, await senderOf(one, facts)] as const)));
    const sender = (signedBy: string): Sender => senders.get(signedBy) ?? { fingerprint: signedBy, label: '', confirmedAt: null, isOwn: false };
    return {
      ownFingerprint: (await store.reviewKey.peek())?.fingerprint ?? null,
      senders: await Promise.all(facts.senders.map(({ fingerprint }) => senderOf(fingerprint, facts))),
      files: files.length,
      waiting: plan.waiting.map(({ signedBy, caseId, entries }) => ({ sender: sender(signedBy), caseId, entries: entries.length, verdicts: entries.filter(({ kind }) => kind === 'verdict').length })),
      conflicts: plan.conflicts.map((conflict) => withSender(conflict, sender(conflict.signedBy))),
    };
  }

  /** The cases that anything was said of here, as another library can know them again. */
  async function travellingCases(trail: readonly SealedEntry[], signal: AbortSignal, onProgress: Progress): Promise<Map<string, TravellingCase>> {
    const said = new Map<string, TravellingCase>();
    for (const { entry } of trail) {
      if (!isCaseBody(entry)) continue;
      const before = said.get(entry.caseKey);
      const inputDigests = entry.kind === 'verdict' || entry.kind === 'flags' ? entry.seen.inputDigests : (before?.inputDigests ?? []);
      said.set(entry.caseKey, { caseKey: entry.caseKey, caseId: entry.caseId, inputDigests: [...new Set(inputDigests)], contentFingerprint: null });
    }
    for (const { caseKey, caseId, inputDigests, contentFingerprint } of await localCases([...said.keys()].filter((key) => store.lineOf(key) !== null), signal, onProgress)) {
      said.set(caseKey, { caseKey, caseId, inputDigests, contentFingerprint });
    }
    return said;
  }

  /** Returns the whole trail, or says why nothing can be sent of it. */
  async function trailToSend(): Promise<readonly SealedEntry[]> {
    const trail = await wholeTrail();
    const gap = trail.findIndex(({ entry }, i) => entry.place !== i + 1);
    if (gap >= 0) throw new FailureError({ code: 'reviews-damaged', message: `Entry ${gap + 1} of the trail of this library is missing or cannot be read: what is sent could not be checked by the receiver.`, remedy: 'Check the trail, and put the library’s reviews back from a backup.' });
    return trail;
  }

  async function staged({ importId, file }: StagedReviews): Promise<{ readonly text: string; readonly fileDigest: string; readonly content: ReviewsFileContent }> {
    const found = store.stagingOf(importId)?.files.find(({ relativePath }) => relativePath === file);
    if (found === undefined) throw new FailureError({ code: 'file-missing', message: 'The reviews file is no longer here.', remedy: 'Choose it again.' });
    if ((await stat(found.path)).size > MOST_BYTES) throw new FailureError({ code: 'reviews-file-unreadable', message: 'The file is too large for a file of reviews.', remedy: 'Choose the file that the sender’s program wrote.' });
    const text = await readFile(found.path, 'utf8');
    const content = readReviewsFile(text, SIGNATURES);
    if (!content.ok) throw new FailureError(content.failure);
    return { text, fileDigest: SIGNATURES.sha256(text), content: content.value };
  }

  function summaryOf(content: ReviewsFileContent, fileDigest: string, { plan }: Pick<Joined, 'plan'>, sender: Sender, before: readonly ReceivedFile[]): ReceivedSummary {
    const own = before.filter((one) => one.content.sender.fingerprint === sender.fingerprint);
    const known = new Set(own.flatMap((one) => one.content.entries.map(({ sealedAs, hash }) => `${sealedAs} ${hash}`)));
    const fresh = content.entries.filter(({ sealedAs, hash }) => !known.has(`${sealedAs} ${hash}`) && !known.has(`${sealedAs} ${sealedAs}`)).length;
    const keys = new Set(content.cases.map(({ caseKey }) => caseKey));
    const ofFile = <T extends { readonly signedBy: string; readonly caseKey: string }>(list: readonly T[]): number => list.filter(({ signedBy, caseKey }) => signedBy === sender.fingerprint && keys.has(caseKey)).length;
    return {
      sender,
      fileDigest,
      writtenAt: content.writtenAt,
      notes: content.notes,
      entries: content.entries.length,
      verdicts: content.entries.filter(({ entry }) => entry.kind === 'verdict').length,
      readers: [...new Set(content.entries.map(({ entry }) => entry.by))].sort(),
      cases: content.cases.length,
      fresh,
      known: content.entries.length - fresh,
      matched: ofFile(plan.matched),
      waiting: ofFile(plan.waiting),
    };
  }

  /** Reads every case that anything was said of; what cannot be read is left out with the reason. */
  async function overReviewed<T>(signal: AbortSignal, onProgress: Progress, work: (entries: readonly SealedEntry[], basis: ReviewBasis) => T, among: ReadonlySet<string> | null = null): Promise<{ readonly results: readonly T[]; readonly leftOut: CasesLeftOut }> {
    const reviewed = await store.reviews.reviewedCases();
    const lines = store.list().filter(({ caseKey }) => reviewed.has(caseKey) && (among === null || among.has(caseKey)));
    const results: T[] = [];
    const leftOut: CasesLeftOut[number][] = [];
    for (const [at, { caseKey, caseId }] of lines.entries()) {
      signal.throwIfAborted();
      try {
        results.push(work(await store.reviews.ofCase(caseKey), await reviews.basisOf(caseKey)));
      } catch (error) {
        if (!(error instanceof FailureError)) throw error;
        leftOut.push({ caseKey, caseId, reason: toFailure(error).message });
      }
      onProgress(at + 1, lines.length);
    }
    return { results, leftOut };
  }

  /** `among` null: every case of the library. */
  async function agreementAmong(among: ReadonlySet<string> | null, options: AgreementOptions, { by, blinded }: ReaderView, signal: AbortSignal, onProgress: Progress): Promise<{ readonly agreement: ReviewAgreement; readonly hidden: number; readonly leftOut: CasesLeftOut }> {
    const view = { by: by === null ? null : readerName(by), blinded };
    const { settled } = await store.receivedReviews.facts();
    const senders = await reviews.senders();
    const people = settled.size === 0 ? new Map<string, string>() : onePersonNames((await planFor([], signal, onProgress)).plan, senders);
    const { results, leftOut } = await overReviewed(signal, onProgress, (entries, basis): ReadCase | null => (hidesOthers(entries, view) ? null : readCase(entries, basis, (shown) => people.get(shown) ?? shown, senders)), among);
    const told = results.flatMap((one) => one ?? []);
    return { agreement: await pool.reviewAgreement(told, options, { signal }), hidden: results.length - told.length, leftOut };
  }

  const act = (by: string, kind: LibraryAct['act'], detail: string) => [{ by, act: kind, caseKey: null, detail }];

  const calls: ReviewExchangeApi = {
    reviewAgreement: ({ jobId, options, by, blinded }) =>
      run(jobId, (signal, onProgress) => agreementAmong(null, options, { by, blinded }, signal, onProgress)),
    agreementTexts: ({ agreement }) => pool.agreementTexts(agreement, { signal: closing }),
    listDisagreements: ({ jobId, by, blinded }) =>
      run(jobId, async (signal, onProgress) => {
        const view = { by: by === null ? null : readerName(by), blinded, senders: await reviews.senders() };
        const { results, leftOut } = await overReviewed(signal, onProgress, (entries, basis): { readonly found: Disagreement[]; readonly isHidden: boolean } => {
          const review = reviewOfCase(entries, basis, view);
          return { found: disagreementsOf(review, basis), isHidden: review.hidden.length > 0 };
        });
        // What is listed was seen.
        if (view.by !== null && !blinded) for (const caseKey of new Set(results.flatMap(({ found }) => found.map((one) => one.caseKey)))) await reviews.noteLook(caseKey, view.by);
        return { disagreements: results.flatMap(({ found }) => found), hidden: results.filter(({ isHidden }) => isHidden).length, leftOut };
      }),
    reviewExchange: ({ jobId }) => run(jobId, async (signal, onProgress) => described(await exclusively(async () => await settledView(await join(signal, onProgress), signal, onProgress)))),
    reviewsOutlook: ({ jobId }) =>
      run(jobId, async (signal, onProgress) => {
        const trail = await trailToSend();
        return reviewsFileOutlook({ trail, cases: await travellingCases(trail, signal, onProgress) });
      }),
    writeReviews: ({ jobId, notes, by }) =>
      run(jobId, async (signal, onProgress) => {
        const name = readerName(by);
        const before = await trailToSend();
        const cases = await travellingCases(before, signal, onProgress);
        const outlook = reviewsFileOutlook({ trail: before, cases });
        if (outlook.entries === 0) throw new FailureError({ code: 'nothing-to-send', message: 'Nothing was said of any case in this library yet.', remedy: 'Give verdicts first. What came from other libraries does not travel on: let its readers send it themselves.' });
        const key = await store.reviewKey.get();
        return await reviews.recorded(act(name, 'reviews written out', `${outlook.entries} entries of ${outlook.cases} cases, notes ${notes}, signed with key ${key.fingerprint.slice(0, 8)}`), async () => {
          const writtenAt = now().toISOString();
          // The act itself is in the trail by now: the file ends with it.
          const content = reviewsFileContent({ trail: await trailToSend(), cases, notes, writtenAt, productVersion, sender: { publicKey: key.publicKey, fingerprint: key.fingerprint } }, SIGNATURES.sha256);
          return { text: reviewsFileText(content, key.sign(signedText(content))), fileName: `reviews-${writtenAt.slice(0, 10)}-${key.fingerprint.slice(0, 8)}.json`, fingerprint: key.fingerprint, outlook };
        });
      }),
    inspectReviews: ({ jobId, ...which }) =>
      run(jobId, async (signal, onProgress) => {
        const { content, fileDigest } = await staged(which);
        const planned = await planFor([content], signal, onProgress);
        return summaryOf(content, fileDigest, planned, await senderOf(content.sender.fingerprint, planned.facts), planned.files);
      }),
    receiveReviews: ({ jobId, confirmed, label, by, ...which }) =>
      run(jobId, (signal, onProgress) =>
        exclusively(async () => {
          const name = readerName(by);
          const { text, content, fileDigest } = await staged(which);
          const { fingerprint } = content.sender;
          const before = { files: await store.receivedReviews.files(), facts: await store.receivedReviews.facts() };
          const isKnown = (await senderOf(fingerprint, before.facts)).confirmedAt !== null;
          if (!isKnown && confirmed?.replace(/[^0-9a-f]/gi, '').toLowerCase() !== fingerprint) {
            throw new FailureError({ code: 'sender-unconfirmed', message: `Reviews of this sender were not received before, or the fingerprint that was compared is another. The file is signed with the key ${fingerprint.replace(/.{4}(?=.)/g, '$& ')}`, remedy: 'Compare the fingerprint with the one that the sender’s program shows, by telephone or in person, and confirm it.' });
          }
          const isNew = !before.files.some((one) => one.fileDigest === fileDigest);
          const acts = isNew ? act(name, 'reviews received', `${content.entries.length} entries of ${content.cases.length} cases, notes ${content.notes}, signed with key ${fingerprint.slice(0, 8)}, file ${fileDigest.slice(0, 8)}${isKnown ? '' : ', fingerprint confirmed'}`) : [];
          await reviews.recorded(acts, async () => {
            if (!isKnown) await store.receivedReviews.confirmSender({ fingerprint, label: label.trim(), confirmedAt: now().toISOString(), by: name });
            await store.receivedReviews.keep({ text, content, fileDigest, receivedBy: name, receivedAt: now().toISOString() });
          });
          const joined = await join(signal, onProgress);
          return summaryOf(content, fileDigest, joined, await senderOf(fingerprint, await store.receivedReviews.facts()), before.files);
        }),
      ),
    settleReviewConflict: ({ jobId, conflictId, choice, by }) =>
      run(jobId, (signal, onProgress) =>
        exclusively(async () => {
          const name = readerName(by);
          const conflict = (await planFor([], signal, onProgress)).plan.conflicts.find((one) => one.conflictId === conflictId);
          if (conflict === undefined) throw new FailureError({ code: 'conflict-missing', message: 'There is no such conflict any more.', remedy: 'Look at the list again.' });
          if (!choicesOf(conflict).includes(choice)) throw new FailureError({ code: 'bad-choice', message: 'This conflict cannot be settled in that way.', remedy: 'Choose one of what is offered.' });
          await reviews.recorded(act(name, 'conflict settled', `${conflict.kind}, ${conflictId.slice(0, 8)}: ${conflict.kind === 'other content' ? choice.slice(0, 8) : choice}`), () =>
            store.receivedReviews.settle(conflictId, { choice, by: name, at: now().toISOString() }));
          return await described(await settledView(await join(signal, onProgress), signal, onProgress));
        }),
      ),
  };

  /** What is left after joining: asked again only where something was joined. */
  async function settledView(joined: Joined, signal: AbortSignal, onProgress: Progress): Promise<Joined> {
    return joined.plan.join.length === 0 ? joined : await planFor([], signal, onProgress);
  }

  return {
    calls,
    cancel: jobs.cancel,
    agreementOver: (caseKeys, options, view, signal) => agreementAmong(caseKeys, options, view, signal, () => undefined),
    async joinWaiting() {
      try {
        if ((await store.receivedReviews.files()).length > 0) await exclusively(() => join(closing, () => undefined));
      } catch {
        // Whoever opens the exchange is told: it asks the same again.
      }
    },
  };
}

/** How a conflict may be settled. */
function choicesOf(conflict: FoundConflict): readonly string[] {
  switch (conflict.kind) {
    case 'other content':
      return ['keep', ...(conflict.versions.some(({ from }) => from === 'here') ? [] : conflict.versions.map(({ sealedAs }) => sealedAs))];
    case 'which case':
      return ['keep', ...conflict.candidates.map(({ caseKey }) => caseKey)];
    case 'same name':
      return ['same person', 'another person'];
    case 'trails part':
      return ['seen'];
  }
}

/** Readers of other libraries whom a person called the same as one of this: how they are shown, and the name they go by. */
function onePersonNames({ conflicts }: JoinPlan, senders: SenderNames): Map<string, string> {
  return new Map(conflicts.flatMap((one) => (one.kind === 'same name' && one.settled?.choice === 'same person' ? [[readerShown({ name: one.name, signedBy: one.signedBy }, senders), one.name] as const] : [])));
}

function withSender({ signedBy: _signedBy, ...conflict }: FoundConflict, sender: Sender): ReviewConflict {
  return { ...conflict, sender };
}

/** Returns the name of a reader. Errors  throws `no-reader`. */
function readerName(by: string): string {
  const name = readerNameSchema.safeParse(by.trim());
  if (!name.success) throw new FailureError({ code: 'no-reader', message: 'This needs the name of the person who does it: 1 to 60 characters in one line.', remedy: 'Say under which name you read, then try again.' });
  return name.data;
}
