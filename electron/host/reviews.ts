import { setImmediate } from 'node:timers/promises';
import type { AnchorState, CaseBody, Judgement, LibraryAct, ReviewAnchor, ReviewBasis, ReviewState, SealedEntry, VerdictGiven } from '../../core/model/review.ts';
import { CASE_FLAGS } from '../../core/model/review.ts';
import { readerNameSchema } from '../../core/model/review-schema.ts';
import { decodeForReview } from '../../core/persist/case-bytes.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { VerdictsUnder } from '../../core/protocol/host-api.ts';
import type { ReviewApi } from '../../core/protocol/review-api.ts';
import { checkBounds } from '../../core/review/corrected-bounds.ts';
import { listedBlinded, tellsOfOthers } from '../../core/review/listed-entry.ts';
import { reviewQueue } from '../../core/review/queue.ts';
import type { QueuedCase } from '../../core/review/queue.ts';
import { reanchor } from '../../core/review/reanchor.ts';
import { anchorAt, reviewBasisOf } from '../../core/review/review-basis.ts';
import { consensusAt, dropoutsReadBy, hasSeenOthers, ownVerdictAt, reviewOfCase, reviewStateOf } from '../../core/review/review-of-case.ts';
import type { ReviewView } from '../../core/review/review-of-case.ts';
import { readerKey, senderNames, standingVerdicts } from '../../core/review/standing-verdicts.ts';
import type { CaseStanding, Reader, SenderNames, VerdictInForce } from '../../core/review/standing-verdicts.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { inTurns } from './in-turns.ts';
import { sha256 } from './kept-reviews.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';
import type { EntryStamp } from './review-trail.ts';

/** Who does what nobody gave a name for. */
const THIS_COMPUTER = 'this computer';
/** What an act says is cut to what an entry holds. */
const DETAIL_LENGTH = 10_000;
/** What is known of the cases is kept anew when this share of it is new: a case or two more are sooner read again than all is written. */
const SHARE_NEW = 0.02;
/** Cases read from the disk at a time: each is mostly waiting, and none is held for long. */
const READ_AT_ONCE = 8;

export interface ReviewParts extends CaseWorkParts {
  readonly now: () => Date;
  readonly productVersion: string;
}

/** An act before it is in the trail; `by` as the page gave it. */
export interface ActDone extends Omit<LibraryAct, 'kind'> {
  readonly by: string | undefined;
}

/** The reviews of one host: the calls of the page, and what the host itself writes into the trail. */
export interface Reviews {
  readonly calls: ReviewApi;
  /** Returns what reviews need of a case of the library. Errors  those of reading it; `case-not-analysed`. */
  basisOf(caseKey: string): Promise<ReviewBasis>;
  /**
   * Writes down what is about to be done, then does it; what could not be done is written down as such, so that the trail misses nothing.
   * Errors  those of `change`, or the disk's when the trail cannot be written: nothing is done then.
   */
  recorded<T>(acts: readonly ActDone[], change: () => Promise<T>): Promise<T>;
  /** The same in two halves, where what is done is decided in between. */
  note(acts: readonly ActDone[]): Promise<void>;
  noteNotDone(acts: readonly ActDone[]): Promise<void>;
  /** Notes that a reader was shown what others said of a case; nothing where nobody else said anything or the trail tells it already. */
  noteLook(caseKey: string, by: string): Promise<void>;
  /** Returns what other libraries are called here. */
  senders(): Promise<SenderNames>;
  /** Returns what becomes of the verdicts on a case that `bytes` takes the place of; null where it has none. */
  verdictsUnder(caseKey: string, bytes: Uint8Array): Promise<VerdictsUnder | 'not told' | null>;
}

interface KnownBasis {
  readonly revision: number | null;
  /** As the store names the content that it was read from; null: it cannot be kept over a start. */
  readonly stamp: string | null;
  readonly basis: ReviewBasis;
}

interface KnownState {
  readonly basis: ReviewBasis;
  readonly entries: number;
  readonly state: ReviewState;
}

/** Returns the reviews of one host. What a case's analysis gives to them is kept until the case changes; the analyses themselves are not. */
export function createReviews({ store, pool, casesAtOnce, closing, tell, now, productVersion }: ReviewParts): Reviews {
  const trail = store.reviews;
  const bases = new Map<string, KnownBasis>();
  const states = new Map<string, KnownState>();
  let isTakenIn: Promise<void> | null = null;
  /** How many cases were read since what is known of all was kept. */
  let nRead = 0;
  /** Whether something is kept of a case that is not in the library any more: it is to go from the disk too. */
  let hasGone = false;
  /** Readers who were shown others' verdicts on a case while the trail could not be written: known until the program ends. */
  const shown = new Set<string>();
  const jobs = createNamedJobs({
    closing,
    running: { code: 'queue-running', message: 'This queue is already being put together.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The queue was cancelled.',
  });

  const stamp = (by: string): EntryStamp => ({ by, at: now(), productVersion });

  async function basisOf(caseKey: string): Promise<ReviewBasis> {
    const revision = store.revisionOf(caseKey);
    const known = bases.get(caseKey);
    if (known !== undefined && revision !== null && known.revision === revision) return known.basis;
    bases.delete(caseKey);
    const stamp = store.stampOf(caseKey); // before it is read: content that comes in meanwhile has another one
    const basis = basisIn(caseKey, await store.readBytes(caseKey), productVersion);
    bases.set(caseKey, { revision, stamp, basis });
    nRead += 1;
    return basis;
  }

  /** Takes in what an earlier start has kept of cases that are as they were; once. */
  async function takeInKept(): Promise<void> {
    isTakenIn ??= (async () => {
      const { found, gone } = await store.reviewBases.read(productVersion, (caseKey) => store.lineOf(caseKey)?.caseId ?? null);
      for (const { stamp, basis } of found) {
        if (stamp === store.stampOf(basis.caseKey) && !bases.has(basis.caseKey)) bases.set(basis.caseKey, { revision: store.revisionOf(basis.caseKey), stamp, basis });
      }
      if (gone > 0) hasGone = true;
    })();
    await isTakenIn;
  }

  /** Keeps what is known of the cases for the next start, where enough of it is new: all of it is written each time. */
  async function keepKnown(): Promise<void> {
    if (!hasGone && (nRead === 0 || nRead < bases.size * SHARE_NEW)) return;
    [hasGone, nRead] = [false, 0];
    await store.reviewBases.keep(productVersion, [...bases.values()].flatMap(({ stamp, basis }) => (stamp === null ? [] : [{ stamp, basis }])));
  }

  async function review(caseKey: string, view: ReviewView): ReturnType<ReviewApi['readReview']> {
    const basis = await basisOf(caseKey);
    return reviewOfCase(await entriesFor(caseKey, view), basis, { ...view, senders: await senders() });
  }

  /**
   * Returns what was said of a case for an answer to this reader. Who is answered with nothing hidden knows what others said, be it from verdicts
   * or from figures on them, and that is in the trail before the answer is given: a later reading is no blinded one, also after a restart.
   */
  async function entriesFor(caseKey: string, { by, blinded }: ReviewView): Promise<readonly SealedEntry[]> {
    if (by !== null && !blinded) await noteLook(caseKey, by);
    return await trail.ofCase(caseKey);
  }

  async function noteLook(caseKey: string, by: string): Promise<void> {
    const isNews = (soFar: readonly SealedEntry[]): boolean => {
      const standing = standingVerdicts(soFar);
      return othersSaid(standing, by) && !hasSeenOthers(standing, ownReader(by));
    };
    const caseId = store.lineOf(caseKey)?.caseId;
    // Of a case that is not in the library nothing is answered.
    if (caseId === undefined || shown.has(shownKey(caseKey, by)) || !isNews(await trail.ofCase(caseKey))) return;
    try {
      const added = await trail.add(caseKey, stamp(by), (soFar) => (isNews(soFar) ? [{ kind: 'revealed', caseKey, caseId }] : []));
      if (added.length > 0) tell({ kind: 'reviews-changed', caseKey, figuresStay: true });
    } catch (error) {
      // A disk that refuses keeps nobody from looking.
      if (!(error instanceof FailureError)) throw error;
      shown.add(shownKey(caseKey, by));
    }
  }

  /** Names are a help: where they cannot be read, readers are shown with their keys, and the exchange says what is wrong. */
  async function senders(): Promise<SenderNames> {
    try {
      return senderNames((await store.receivedReviews.facts()).senders);
    } catch (error) {
      if (error instanceof FailureError) return senderNames([]);
      throw error;
    }
  }

  /** Writes what a reader did with a case and returns the case as the reader may see it then. */
  async function write(caseKey: string, view: ReviewView & { readonly by: string }, compose: (soFar: readonly SealedEntry[], basis: ReviewBasis) => readonly CaseBody[]): ReturnType<ReviewApi['readReview']> {
    const by = readerName(view.by);
    const basis = await basisOf(caseKey);
    const added = await trail.add(caseKey, stamp(by), (soFar) => compose(soFar, basis));
    if (added.length > 0) tell({ kind: 'reviews-changed', caseKey });
    return await review(caseKey, { ...view, by });
  }

  function isBlindedReading(caseKey: string, soFar: readonly SealedEntry[], { by, blinded }: { readonly by: string; readonly blinded: boolean }): boolean {
    const standing = standingVerdicts(soFar);
    if (!othersSaid(standing, by)) return true; // there was nothing to be shown
    const wasUnblinded = soFar.some(({ entry }) => entry.kind === 'verdict' && entry.by === by && !entry.isBlinded);
    return blinded && !wasUnblinded && !hasSeenOthers(standing, ownReader(by)) && !shown.has(shownKey(caseKey, by));
  }

  async function stateOf(caseKey: string, view: ReviewView | null): Promise<ReviewState> {
    const basis = await basisOf(caseKey);
    const entries = await trail.ofCase(caseKey);
    if (view?.blinded === true) return reviewStateOf(reviewOfCase(entries, basis, view));
    const known = states.get(caseKey);
    if (known !== undefined && known.basis === basis && known.entries === entries.length) return known.state;
    const state = reviewStateOf(reviewOfCase(entries, basis, { by: null, blinded: false }));
    states.set(caseKey, { basis, entries: entries.length, state });
    return state;
  }

  /** Forgets what is kept of cases that are not in the library any more. */
  function forgetRemoved(): void {
    for (const known of [bases, states]) {
      for (const caseKey of known.keys()) {
        if (store.lineOf(caseKey) !== null) continue;
        known.delete(caseKey);
        hasGone = true;
      }
    }
  }

  const calls: ReviewApi = {
    async listReviewStates(given) {
      if (store.list().length > 0) await takeInKept();
      forgetRemoved();
      const view = given === undefined || given === null ? null : { by: given.by === null ? null : readerName(given.by), blinded: given.blinded };
      const reviewed = await trail.reviewedCases();
      const found = await inTurns(store.list().filter(({ problem }) => problem === null), casesAtOnce, async ({ caseKey, dropouts }): Promise<ReviewState[]> => {
        if (!reviewed.has(caseKey)) return [untouched(caseKey, dropouts)];
        try {
          await setImmediate();
          return [await stateOf(caseKey, view)];
        } catch (error) {
          if (error instanceof FailureError) return []; // a state that cannot be told is not listed; opening the case says why
          throw error;
        }
      });
      await keepKnown();
      return found.flat();
    },
    readReview: ({ caseKey, by, blinded }) => review(caseKey, { by: by === null ? null : readerName(by), blinded }),
    async confirmedFigures({ caseKey, parameters, by, blinded }) {
      const view: ReviewView = { by: by === null ? null : readerName(by), blinded };
      const entries = await entriesFor(caseKey, view);
      const figures = await pool.confirmedFigures(await store.readBytes(caseKey), caseKey, parameters, entries, view, { signal: closing });
      if (!figures.ok) throw new FailureError(figures.failure);
      return figures.value;
    },
    giveVerdict: ({ caseKey, dropoutId, by, judgement, blinded }) =>
      write(caseKey, { by, blinded }, (soFar, basis) => {
        const anchor = anchorOf(basis, dropoutId);
        checkJudgement(judgement, basis, anchor);
        const isBlinded = isBlindedReading(caseKey, soFar, { by: readerName(by), blinded });
        return [verdict(basis, { anchor, judgement, role: 'reading', isBlinded, supersedes: ownVerdictAt(soFar, basis, dropoutId, readerName(by))?.entryId ?? null, settles: [] })];
      }),
    takeVerdictBack: ({ caseKey, dropoutId, by, blinded }) =>
      write(caseKey, { by, blinded }, (soFar, basis) => {
        const own = [ownVerdictAt(soFar, basis, dropoutId, readerName(by)), ownConsensusAt(soFar, basis, dropoutId, readerName(by))].flatMap((one) => one ?? []);
        const last = own.sort((a, b) => b.place - a.place)[0];
        if (last === undefined) throw new FailureError({ code: 'verdict-missing', message: 'You have no verdict on this dropout that could be taken back.', remedy: 'Look at the case again: it may have been taken back already.' });
        return [{ kind: 'taken back', caseKey, caseId: basis.caseId, supersedes: last.entryId }];
      }),
    placeVerdict: ({ caseKey, entryId, dropoutId, by, blinded }) =>
      write(caseKey, { by, blinded }, (soFar, basis) => {
        const moved = standingVerdicts(soFar).verdicts.find((one) => one.entryId === entryId);
        if (moved === undefined) throw new FailureError({ code: 'verdict-missing', message: 'This verdict is not in force any more.', remedy: 'Look at the case again.' });
        if (moved.given.role !== 'reading' || readerKey(moved.reader) !== readerKey(ownReader(readerName(by)))) throw new FailureError({ code: 'verdict-of-another', message: 'Only the reader who gave a verdict can move it.', remedy: 'Give a verdict of your own on the dropout.' });
        const anchor = anchorOf(basis, dropoutId);
        // Bounds that were read at another origin are those of the same instants today.
        const judgement = reanchor([moved], basis)[0]?.judgement ?? moved.given.judgement;
        checkJudgement(judgement, basis, anchor);
        return [verdict(basis, { anchor, judgement, role: 'reading', isBlinded: moved.given.isBlinded, supersedes: entryId, settles: [] })];
      }),
    flagCase: ({ caseKey, by, flags, note, blinded }) =>
      write(caseKey, { by, blinded }, (_soFar, basis) => [{ kind: 'flags', caseKey, caseId: basis.caseId, flags: CASE_FLAGS.filter((flag) => flags.includes(flag)), note, seen: basis.seen }]),
    markCaseRead: ({ caseKey, by, blinded }) =>
      write(caseKey, { by, blinded }, (soFar, basis) => {
        const dropouts = basis.sites.reduce((count, site) => count + site.dropouts.length, 0);
        return [{ kind: 'case read', caseKey, caseId: basis.caseId, unread: dropouts - dropoutsReadBy(soFar, basis, readerName(by)).size }];
      }),
    revealCase: ({ caseKey, by }) =>
      write(caseKey, { by, blinded: true }, (soFar, basis) => (hasSeenOthers(standingVerdicts(soFar), ownReader(readerName(by))) ? [] : [{ kind: 'revealed', caseKey, caseId: basis.caseId }])),
    giveConsensus: ({ caseKey, dropoutId, by, judgement }) =>
      // Whoever settles has seen what there is to settle.
      write(caseKey, { by, blinded: false }, (soFar, basis) => {
        const anchor = anchorOf(basis, dropoutId);
        checkJudgement(judgement, basis, anchor);
        const readings = readingsAt(soFar, basis, dropoutId);
        if (new Set(readings.map((one) => one.by)).size < 2) throw new FailureError({ code: 'nothing-to-settle', message: 'Fewer than two readers have a verdict on this dropout, so that there is nothing to settle.', remedy: 'Let a second reader give a verdict first.' });
        return [verdict(basis, { anchor, judgement, role: 'consensus', isBlinded: false, supersedes: consensusAt(soFar, basis, dropoutId)?.entryId ?? null, settles: readings.map((one) => one.entryId) })];
      }),
    reviewQueue: ({ jobId, caseKeys, order, by }) =>
      jobs.run(jobId, async (signal) => {
        const name = readerName(by);
        await takeInKept();
        forgetRemoved();
        const reviewed = await trail.reviewedCases();
        const wanted = caseKeys === null ? null : new Set(caseKeys);
        const lines = store.list().filter(({ caseKey }) => wanted === null || wanted.has(caseKey));
        const inLibrary = new Set(lines.map(({ caseKey }) => caseKey));
        const leftOut = [...(wanted ?? [])].filter((caseKey) => !inLibrary.has(caseKey)).map((caseKey) => ({ caseKey, caseId: '', reason: 'This case is no longer in the library.' }));
        const progress = nowAndThen((done, total) => tell({ kind: 'review-progress', jobId, done, total }));
        let done = 0;
        const cases = await inTurns(lines, READ_AT_ONCE, async ({ caseKey, caseId }): Promise<QueuedCase | null> => {
          signal.throwIfAborted();
          try {
            const basis = await basisOf(caseKey);
            return { basis, read: reviewed.has(caseKey) ? dropoutsReadBy(await trail.ofCase(caseKey), basis, name) : new Set() };
          } catch (error) {
            signal.throwIfAborted();
            if (!(error instanceof FailureError)) throw error;
            leftOut.push({ caseKey, caseId, reason: toFailure(error).message });
            return null;
          } finally {
            progress((done += 1), lines.length);
            await setImmediate(); // the window goes on meanwhile
          }
        });
        signal.throwIfAborted();
        await keepKnown();
        return { queue: reviewQueue(cases.flatMap((one) => one ?? []), order), leftOut: leftOut.sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1)) };
      }),
    async cancelReviewWork({ jobId }) {
      return { cancelled: jobs.cancel(jobId) };
    },
    checkTrail: ({ head }) => trail.check(head),
    async listTrail({ before, limit, by, blinded }) {
      const reader = by === null ? null : readerName(by);
      const { entries, total } = await trail.list(before, limit);
      const ofOthers = new Set(entries.flatMap(({ entry }) => (tellsOfOthers(entry, reader) ? [entry.caseKey] : [])));
      if (!blinded) {
        if (reader !== null) for (const caseKey of ofOthers) await noteLook(caseKey, reader);
        return { entries, total };
      }
      const seen = new Set<string | null>();
      if (reader !== null) for (const caseKey of ofOthers) if (hasSeenOthers(standingVerdicts(await trail.ofCase(caseKey)), ownReader(reader))) seen.add(caseKey);
      return { entries: entries.map((one) => (seen.has(one.entry.caseKey ?? null) ? one : listedBlinded(one, reader))), total };
    },
  };

  async function note(acts: readonly ActDone[]): Promise<void> {
    for (const { by, act, caseKey, detail } of acts) {
      const name = readerNameSchema.safeParse(by?.trim());
      await trail.add(null, stamp(name.success ? name.data : THIS_COMPUTER), () => [{ kind: 'act', act, caseKey, detail: detail.slice(0, DETAIL_LENGTH) }]);
      tell({ kind: 'reviews-changed', caseKey, figuresStay: true });
    }
  }

  /** The error itself is what is told; a disk that refuses both leaves the act as it was meant. */
  async function noteNotDone(acts: readonly ActDone[]): Promise<void> {
    await note(acts.map((act) => ({ ...act, detail: `not carried out: ${act.detail}` }))).catch(() => undefined);
  }

  return {
    calls,
    basisOf,
    note,
    noteNotDone,
    noteLook,
    senders,
    async recorded(acts, change) {
      await note(acts);
      try {
        return await change();
      } catch (error) {
        await noteNotDone(acts);
        throw error;
      }
    },
    async verdictsUnder(caseKey, bytes) {
      try {
        const entries = await trail.ofCase(caseKey);
        if (standingVerdicts(entries).verdicts.length === 0) return null;
        const { dropouts, without } = reviewOfCase(entries, basisIn(caseKey, bytes, productVersion), { by: null, blinded: false });
        const all = [...dropouts.flatMap(({ verdicts }) => verdicts), ...without];
        const count = (state: AnchorState): number => all.filter((one) => one.state === state).length;
        return { verdicts: all.length, same: count('same'), moved: count('moved'), split: count('split'), joined: count('joined'), withoutDropout: count('without a dropout') };
      } catch (error) {
        if (error instanceof FailureError) return 'not told';
        throw error;
      }
    },
  };
}

function basisIn(caseKey: string, bytes: Uint8Array, productVersion: string): ReviewBasis {
  const decoded = decodeForReview(bytes, productVersion);
  if (!decoded.ok) throw new FailureError(decoded.failure);
  const { record, analysis } = decoded.value;
  if (analysis === null) throw new FailureError({ code: 'case-not-analysed', message: 'This case has no analysis at this moment.', remedy: 'Wait until the library is analysed anew, then open the case again.' });
  return reviewBasisOf(caseKey, record, analysis, sha256);
}

/** Returns the name of a reader. Errors  throws `no-reader`. */
function readerName(by: string): string {
  const name = readerNameSchema.safeParse(by.trim());
  if (!name.success) throw new FailureError({ code: 'no-reader', message: 'A verdict needs the name of the reader who gives it: 1 to 60 characters in one line.', remedy: 'Say under which name you read, then try again.' });
  return name.data;
}

function ownReader(name: string): Reader {
  return { name, signedBy: null };
}

function shownKey(caseKey: string, by: string): string {
  return `${caseKey}\n${by}`;
}

/** Returns whether anybody but this reader has a verdict or a flag in force on the case. */
function othersSaid({ verdicts, flags }: CaseStanding, by: string): boolean {
  const own = readerKey(ownReader(by));
  return [...verdicts, ...flags].some(({ reader }) => readerKey(reader) !== own);
}

function anchorOf(basis: ReviewBasis, dropoutId: string): ReviewAnchor {
  const anchor = anchorAt(basis, dropoutId);
  if (anchor === null) throw new FailureError({ code: 'dropout-missing', message: 'The case has no such dropout any more: it was analysed anew meanwhile.', remedy: 'Open the case again and give the verdict on one of today’s dropouts.' });
  return anchor;
}

function checkJudgement({ verdict: said, certainty, correctedBounds }: Judgement, { sites, bounds }: ReviewBasis, { siteKey, dropoutId }: ReviewAnchor): void {
  if (said !== 'cannot tell' && certainty === null) throw new FailureError({ code: 'certainty-missing', message: `The verdict “${said}” needs to say how certain it is.`, remedy: 'Choose certain, probable or possible; or “cannot tell”, which is a full answer.' });
  if (said === 'cannot tell' && certainty !== null) throw new FailureError({ code: 'certainty-missing', message: '“cannot tell” is a full answer and has no certainty.', remedy: 'Give it without one.' });
  if (correctedBounds === null) return;
  const others = sites.find((site) => site.siteKey === siteKey)?.dropouts ?? [];
  const dropout = others.find((one) => one.dropoutId === dropoutId);
  const checked = dropout === undefined ? null : checkBounds(correctedBounds, dropout, others, bounds);
  if (checked !== null && !checked.ok) throw new FailureError(checked.failure);
}

function verdict({ caseKey, caseId, seen }: ReviewBasis, given: Omit<VerdictGiven, 'kind' | 'caseKey' | 'caseId' | 'seen'>): VerdictGiven {
  return { kind: 'verdict', caseKey, caseId, seen, ...given };
}

/** Returns what readers say of a dropout of today, whoever asks. */
function readingsAt(soFar: readonly SealedEntry[], basis: ReviewBasis, dropoutId: string): readonly { readonly by: string; readonly entryId: string }[] {
  const dropout = reviewOfCase(soFar, basis, { by: null, blinded: false }).dropouts.find((one) => one.dropoutId === dropoutId);
  return (dropout?.verdicts ?? []).filter(({ role, isCounted }) => role === 'reading' && isCounted);
}

function ownConsensusAt(soFar: readonly SealedEntry[], basis: ReviewBasis, dropoutId: string, by: string): VerdictInForce | null {
  const found = consensusAt(soFar, basis, dropoutId);
  return found !== null && readerKey(found.reader) === readerKey(ownReader(by)) ? found : null;
}

/** A case of which nothing was said: its analysis need not be read. */
function untouched(caseKey: string, dropouts: number): ReviewState {
  return { caseKey, dropouts, confirmed: 0, refuted: 0, cannotTell: 0, disputed: 0, notReviewed: dropouts, without: 0, flags: [], readers: 0 };
}

