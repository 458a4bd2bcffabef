import type { FourInstants } from '../model/analysis.ts';
import type { CaseReview, EarlierVerdict, ReviewBasis, ReviewedDropout, ReviewOutcome, ReviewState, SealedEntry, StandingVerdict, Verdict } from '../model/review.ts';
import { CASE_FLAGS, VERDICTS } from '../model/review.ts';
import { reanchor } from './reanchor.ts';
import type { CaseStanding, Reader, SenderNames, VerdictInForce } from './standing-verdicts.ts';
import { readerKey, readerShown, standingVerdicts } from './standing-verdicts.ts';

/** Who looks: `by` null: nobody in particular, from whom nothing is hidden, or everything where `blinded`. */
export interface ReviewView {
  readonly by: string | null;
  readonly blinded: boolean;
  /** What other libraries are called, where readers' names are shown. */
  readonly senders?: SenderNames;
}

/**
 * Returns all that is in force about a case, as one reader may see it.
 * Shape   `entries`: those of this case, in the order of the trail. Every dropout of today once, site by site in time order; every verdict
 *         in force once, at a dropout or in `without`; every other one once in `earlier`. Blinded, what others said is left out of everything (of outcomes and flags too) until
 *         the reader has called the case read, revealed it or settled something in it; their names stay.
 * Source  docs/methods/review.md.
 */
export function reviewOfCase(entries: readonly SealedEntry[], basis: ReviewBasis, view: ReviewView): CaseReview {
  const standing = standingVerdicts(entries);
  const own: Reader | null = view.by === null ? null : { name: view.by, signedBy: null };
  const isRevealed = own === null ? !view.blinded : hasSeenOthers(standing, own);
  const isShown = (reader: Reader): boolean => !view.blinded || isRevealed || (own !== null && readerKey(reader) === readerKey(own));
  const shown = (reader: Reader): string => readerShown(reader, view.senders);
  const placed = reanchor(standing.verdicts.filter(({ reader }) => isShown(reader)), basis, view.senders);
  const { caseKey, caseId } = basis;
  return {
    caseKey,
    caseId,
    dropouts: basis.sites.flatMap(({ siteKey, dropouts }) => dropouts.map(({ dropoutId }) => reviewed(dropoutId, siteKey, placed))),
    without: placed.filter(({ dropoutId }) => dropoutId === null).sort(inOrder),
    earlier: standing.earlier.filter(({ verdict }) => isShown(verdict.reader)).flatMap(({ verdict, ended, endedAt }) => reanchor([verdict], basis, view.senders).map((one): EarlierVerdict => ({ ...one, ended, endedAt }))),
    flags: standing.flags.filter(({ reader }) => isShown(reader)).map(({ reader, at, flags, note }) => ({ by: shown(reader), at, flags, note })),
    readers: standing.readers.map(shown),
    hidden: [...new Set([...standing.readers, ...standing.verdicts.map(({ reader }) => reader)].filter((reader) => !isShown(reader)).map(shown))].sort(),
    isRevealed,
    readBy: standing.readBy.map(shown),
  };
}

/** Returns whether something that others said of the case is kept from the one who looks. */
export function hidesOthers(entries: readonly SealedEntry[], { by, blinded }: ReviewView): boolean {
  if (!blinded) return false;
  const standing = standingVerdicts(entries);
  const own: Reader | null = by === null ? null : { name: by, signedBy: null };
  if (own !== null && hasSeenOthers(standing, own)) return false;
  return [...standing.readers, ...standing.verdicts.map(({ reader }) => reader)].some((reader) => own === null || readerKey(reader) !== readerKey(own));
}

/** Returns whether a reader has been shown what others said of the case, as far as the trail tells. */
export function hasSeenOthers({ revealedTo, readBy, verdicts }: CaseStanding, reader: Reader): boolean {
  const settled = verdicts.filter(({ given }) => given.role === 'consensus').map((verdict) => verdict.reader);
  return [...revealedTo, ...readBy, ...settled].some((other) => readerKey(other) === readerKey(reader));
}

function reviewed(dropoutId: string, siteKey: string, placed: readonly StandingVerdict[]): ReviewedDropout {
  const verdicts = placed.filter((verdict) => verdict.dropoutId === dropoutId).sort(inOrder);
  const counted = verdicts.filter(({ isCounted }) => isCounted);
  const consensus = counted.filter(({ role }) => role === 'consensus');
  return { dropoutId, siteKey, ...outcomeOf(consensus.length > 0 ? consensus : counted), verdicts };
}

/** Readers of a dropout, or those who settled it: what they say in common. */
function outcomeOf(said: readonly StandingVerdict[]): { readonly outcome: ReviewOutcome; readonly verdict: Verdict | null; readonly correctedBounds: FourInstants | null } {
  const nothing = { verdict: null, correctedBounds: null };
  const first = said[0];
  if (first === undefined) return { outcome: 'not reviewed', ...nothing };
  const { loss } = VERDICTS[first.judgement.verdict];
  if (said.some(({ judgement }) => VERDICTS[judgement.verdict].loss !== loss)) return { outcome: 'disputed', ...nothing };
  const verdict = said.every(({ judgement }) => judgement.verdict === first.judgement.verdict) ? first.judgement.verdict : null;
  if (loss !== true) return { outcome: loss === null ? 'cannot tell' : 'refuted', verdict, correctedBounds: null };
  return { outcome: 'confirmed', verdict, correctedBounds: said.every(({ judgement }) => sameBounds(judgement.correctedBounds, first.judgement.correctedBounds)) ? first.judgement.correctedBounds : null };
}

function sameBounds(a: FourInstants | null, b: FourInstants | null): boolean {
  if (a === null || b === null) return a === b;
  return a.lastGoodMs === b.lastGoodMs && a.firstLostMs === b.firstLostMs && a.lastLostMs === b.lastLostMs && a.firstGoodMs === b.firstGoodMs;
}

/** Readings before a consensus, by reader, what counts before what is listed with it, the latest first. */
function inOrder(a: StandingVerdict, b: StandingVerdict): number {
  if (a.role !== b.role) return a.role === 'reading' ? -1 : 1;
  return compare(a.by, b.by) || Number(b.isCounted) - Number(a.isCounted) || compare(b.at, a.at) || compare(a.entryId, b.entryId);
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Returns the state of review of a case from its review with nothing hidden. */
export function reviewStateOf({ caseKey, dropouts, without, flags, readers }: CaseReview): ReviewState {
  const count = (outcome: ReviewOutcome): number => dropouts.filter((dropout) => dropout.outcome === outcome).length;
  return {
    caseKey,
    dropouts: dropouts.length,
    confirmed: count('confirmed'),
    refuted: count('refuted'),
    cannotTell: count('cannot tell'),
    disputed: count('disputed'),
    notReviewed: count('not reviewed'),
    without: without.length,
    flags: CASE_FLAGS.filter((flag) => flags.some((one) => one.flags.includes(flag))),
    readers: readers.length,
  };
}

/**
 * Returns the reading of a reader that a new verdict on a dropout takes the place of, or that taking back takes back: the one that is
 * counted there; null for none.
 */
export function ownVerdictAt(entries: readonly SealedEntry[], basis: ReviewBasis, dropoutId: string, by: string): VerdictInForce | null {
  const own = standingVerdicts(entries).verdicts.filter(({ given, reader }) => given.role === 'reading' && readerKey(reader) === readerKey({ name: by, signedBy: null }));
  const found = reanchor(own, basis).find((verdict) => verdict.isCounted && verdict.dropoutId === dropoutId);
  return own.find(({ entryId }) => entryId === found?.entryId) ?? null;
}

/**
 * Returns the consensus of this library, or one received, that a new consensus on a dropout takes the place of; null for none. A received one first: the
 * later of this library's own counts anyway, and without this two libraries that agreed on different things could never be settled.
 */
export function consensusAt(entries: readonly SealedEntry[], basis: ReviewBasis, dropoutId: string): VerdictInForce | null {
  const all = standingVerdicts(entries).verdicts.filter(({ given }) => given.role === 'consensus');
  const at = new Set(reanchor(all, basis).filter((verdict) => verdict.isCounted && verdict.dropoutId === dropoutId).map(({ entryId }) => entryId));
  const counted = all.filter(({ entryId }) => at.has(entryId));
  return counted.find(({ reader }) => reader.signedBy !== null) ?? counted[0] ?? null;
}

/** Returns the dropouts of today on which a reader of this library has a verdict. */
export function dropoutsReadBy(entries: readonly SealedEntry[], basis: ReviewBasis, by: string): ReadonlySet<string> {
  const { verdicts } = standingVerdicts(entries);
  const own = verdicts.filter(({ given, reader }) => given.role === 'reading' && readerKey(reader) === readerKey({ name: by, signedBy: null }));
  return new Set(reanchor(own, basis).flatMap(({ dropoutId }) => (dropoutId === null ? [] : [dropoutId])));
}
