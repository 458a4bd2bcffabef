import type { FourInstants } from '../model/analysis.ts';
import type { AnalysisSeen, AnchorClock, AnchorState, ReviewableDropout, ReviewableSite, ReviewAnchor, ReviewBasis, StandingVerdict, VerdictGiven } from '../model/review.ts';
import { DAY_MS } from '../time/civil.ts';
import type { SenderNames, VerdictInForce } from './standing-verdicts.ts';
import { readerKey, readerShown } from './standing-verdicts.ts';

type Loss = Pick<ReviewAnchor, 'firstLostMs' | 'firstGoodMs' | 'censoredAtMs'>;

/**
 * Returns every verdict with the dropout of today at which it stands.
 * Shape   as many as came in, in their order; the order changes nothing else. The anchor is the dropout as it was computed when the
 *         verdict was given, whatever bounds the reader set by hand. Verdicts of one reader (or of one library's consensus) that come to
 *         one dropout: the one that overlaps most is counted, of equal ones the later.
 * Units   ms; overlap is that of the losses, first lost to first good (or to where the count ends), half-open; a loss without length is
 *         taken as 1 ms. Instants are compared in the sensor's own clock, so that a file that joins the case, or a clock that was set, moves no verdict.
 * Missing a verdict that overlaps no dropout of its sensor is `without a dropout`; so is one whose clock is of another kind than today's.
 * Source  docs/methods/review.md.
 */
export function reanchor(verdicts: readonly VerdictInForce[], basis: ReviewBasis, senders?: SenderNames): StandingVerdict[] {
  const found = verdicts.map((verdict) => {
    const site = basis.sites.find(({ siteKey }) => siteKey === verdict.given.anchor.siteKey);
    const given = site === undefined ? null : inTodaysTime(verdict.given, site.clock);
    return { verdict, given: given ?? verdict.given, ...(site === undefined || given === null ? NOWHERE : place(given.anchor, site)) };
  });
  const together = new Map<string, typeof found>();
  for (const one of found) {
    if (one.dropoutId === null) continue;
    const { reader, given } = one.verdict;
    const spot = JSON.stringify([one.dropoutId, given.role, given.role === 'reading' ? readerKey(reader) : (reader.signedBy ?? '')]);
    together.set(spot, [...(together.get(spot) ?? []), one]);
  }
  const joined = new Set<string>();
  const notCounted = new Set<string>();
  for (const group of together.values()) {
    if (group.length < 2) continue;
    const [, ...others] = group.sort((a, b) => b.overlapMs - a.overlapMs || later(a.verdict, b.verdict));
    for (const { verdict } of group) joined.add(verdict.entryId);
    for (const { verdict } of others) notCounted.add(verdict.entryId);
  }
  return found.map(({ verdict, given, state, dropoutId }): StandingVerdict => {
    const { entryId, reader, at } = verdict;
    const { role, isBlinded, judgement, seen, anchor, settles } = given;
    return {
      entryId, by: readerShown(reader, senders), at, role, isBlinded, judgement, seen, anchor, settles,
      state: joined.has(entryId) ? 'joined' : state,
      isCounted: dropoutId !== null && !notCounted.has(entryId),
      dropoutId,
      sawAnother: !sawTheSame(seen, basis.seen),
    };
  });
}

function later(a: VerdictInForce, b: VerdictInForce): number {
  return b.place - a.place || (a.entryId < b.entryId ? -1 : 1);
}

interface Place {
  readonly state: AnchorState;
  readonly dropoutId: string | null;
  readonly overlapMs: number;
}

const NOWHERE: Place = { state: 'without a dropout', dropoutId: null, overlapMs: 0 };

function place(anchor: ReviewAnchor, { dropouts }: ReviewableSite): Place {
  const touched = dropouts.map((dropout) => ({ dropout, overlapMs: overlapMs(anchor, dropout) })).filter((one) => one.overlapMs > 0);
  const best = touched.sort((a, b) => b.overlapMs - a.overlapMs || a.dropout.firstLostMs - b.dropout.firstLostMs)[0];
  if (best === undefined) return NOWHERE;
  const state = touched.length > 1 ? 'split' : isSame(anchor, best.dropout) ? 'same' : 'moved';
  return { state, dropoutId: best.dropout.dropoutId, overlapMs: best.overlapMs };
}

/** Returns a verdict with its instants counted from today's origin; null where the clocks cannot be compared. */
function inTodaysTime(given: VerdictGiven, clock: AnchorClock): VerdictGiven | null {
  const byMs = shiftBetween(given.anchor.clock, clock);
  if (byMs === null || byMs === 0) return byMs === null ? null : given;
  const { anchor, judgement } = given;
  const { censoredAtMs } = anchor;
  return {
    ...given,
    anchor: { ...anchor, ...moved(anchor, byMs), censoredAtMs: censoredAtMs === null ? null : censoredAtMs + byMs, clock },
    judgement: { ...judgement, correctedBounds: judgement.correctedBounds === null ? null : moved(judgement.correctedBounds, byMs) },
  };
}

/** Returns what turns instants of the one origin into those of the other, ms; null where their clocks cannot be compared. */
function shiftBetween(then: AnchorClock, today: AnchorClock): number | null {
  if (then.kind !== today.kind) return null;
  const wallMs = then.wallMs - today.wallMs;
  // A clock without a date knows the day's length only: the nearer way round.
  if (then.kind === 'time of day') return wallMs - Math.round(wallMs / DAY_MS) * DAY_MS;
  if (then.epochMs === null || today.epochMs === null) return wallMs;
  // Another zone was stated meanwhile: a file's times were moved by it or were not, depending on how it writes them.
  const epochMs = then.epochMs - today.epochMs;
  return Math.abs(epochMs) < Math.abs(wallMs) ? epochMs : wallMs;
}

function moved({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants, byMs: number): FourInstants {
  return { lastGoodMs: lastGoodMs + byMs, firstLostMs: firstLostMs + byMs, lastLostMs: lastLostMs === null ? null : lastLostMs + byMs, firstGoodMs: firstGoodMs === null ? null : firstGoodMs + byMs };
}

/** Clocks are compared in ms since 1970, of which a double holds parts to some ten-thousandths only. */
const NEAR_MS = 0.01;

function isSame(a: ReviewAnchor, b: ReviewableDropout): boolean {
  const pairs = [[a.lastGoodMs, b.lastGoodMs], [a.firstLostMs, b.firstLostMs], [a.lastLostMs, b.lastLostMs], [a.firstGoodMs, b.firstGoodMs], [a.censoredAtMs, b.censoredAtMs]] as const;
  return pairs.every(([x, y]) => (x === null || y === null ? x === y : Math.abs(x - y) < NEAR_MS));
}

function overlapMs(a: Loss, b: Loss): number {
  return Math.min(endMs(a), endMs(b)) - Math.max(a.firstLostMs, b.firstLostMs);
}

function endMs({ firstLostMs, firstGoodMs, censoredAtMs }: Loss): number {
  return Math.max(firstLostMs + 1, firstGoodMs ?? censoredAtMs ?? firstLostMs);
}

/** The order of the files says nothing: the same files joined in another order are the same inputs. */
function sawTheSame(a: AnalysisSeen, b: AnalysisSeen): boolean {
  return a.parametersDigest === b.parametersDigest && [...a.inputDigests].sort().join() === [...b.inputDigests].sort().join();
}
