import type { FourInstants } from '../../../core/model/analysis.ts';
import type { ReviewCounts } from '../../../core/model/confirmed.ts';
import type { AnchorState, EarlierVerdict, Judgement, ReviewedDropout, ReviewState, StandingVerdict } from '../../../core/model/review.ts';
import { countText, numberText } from '../../format/number-text.ts';
import { instantText, type CaseClock } from '../../format/time-text.ts';

/** Returns what a judgement says in one phrase: "motion, probable", "cannot tell". */
export function judgementText({ verdict, certainty }: Judgement): string {
  return certainty === null ? verdict : `${verdict}, ${certainty}`;
}

/** Returns what all that was said of a dropout comes to, in as few words as a cell holds: "motion", "disputed", "not read". */
export function outcomeText({ outcome, verdict }: ReviewedDropout): string {
  switch (outcome) {
    case 'not reviewed':
      return 'not read';
    case 'confirmed':
      return verdict ?? 'loss, kinds differ';
    case 'refuted':
      return 'no loss';
    case 'cannot tell':
      return 'cannot tell';
    case 'disputed':
      return 'disputed';
  }
}

/** A sign for each outcome, beside the words and never in their place. */
export const OUTCOME_SIGN: Readonly<Record<ReviewedDropout['outcome'], string>> = { 'not reviewed': '○', 'confirmed': '●', 'refuted': '⊘', 'cannot tell': '?', 'disputed': '≠' };

/** Returns the number of each outcome in a sentence: "Of 5 dropouts: 3 confirmed, 1 refuted, 0 cannot be told, 0 disputed, 1 not reviewed." */
export function outcomeCountsText({ dropouts, confirmed, refuted, cannotTell, disputed, notReviewed, corrected, tooShort }: ReviewCounts): string {
  const parts = [
    `${numberText(confirmed)} confirmed${corrected === 0 ? '' : ` (${numberText(corrected)} with corrected bounds${tooShort === 0 ? '' : `, ${numberText(tooShort)} of these too short to count`})`}`,
    `${numberText(refuted)} refuted`, `${numberText(cannotTell)} cannot be told`, `${numberText(disputed)} disputed`, `${numberText(notReviewed)} not reviewed`,
  ];
  return `Of ${countText(dropouts, 'dropout', 'dropouts')}: ${parts.join(', ')}.`;
}

/** Returns how many verdicts count in no figure, as a sentence; empty where there is none. */
export function withoutDropoutText(without: number): string {
  return without === 0 ? '' : `${countText(without, 'verdict stands', 'verdicts stand')} at no dropout of today and ${without === 1 ? 'counts' : 'count'} in no figure.`;
}

/** Returns what became of the dropout since the verdict, as a sentence, or null where nothing did. */
export function changeText(state: AnchorState, anchor: FourInstants, clock: CaseClock): string | null {
  switch (state) {
    case 'same':
      return null;
    case 'moved':
      return `The dropout has other bounds today; the verdict was given on ${spanText(anchor, clock)}.`;
    case 'split':
      return `What was one dropout (${spanText(anchor, clock)}) is several today; the verdict stands at the one that it overlaps most.`;
    case 'joined':
      return `Several dropouts that had verdicts of their own are one today; this verdict was given on ${spanText(anchor, clock)}.`;
    case 'without a dropout':
      return `No dropout of today overlaps ${spanText(anchor, clock)}. The verdict is kept and counts in no figure.`;
  }
}

/** Returns the same in two or three words, for a cell; null where nothing changed. */
export function shortChangeText(state: AnchorState): string | null {
  return state === 'same' ? null : state === 'moved' ? 'bounds changed since' : state === 'split' ? 'split since' : state === 'joined' ? 'joined since' : 'without a dropout';
}

/** Returns from where to where a loss reaches: "08:41:20 to 08:43:10", "from 08:41:20, never back". */
export function spanText({ firstLostMs, lastLostMs }: FourInstants, clock: CaseClock): string {
  return lastLostMs === null ? `from ${clock.clock(firstLostMs)}, never back` : `${clock.clock(firstLostMs)} to ${clock.clock(lastLostMs)}`;
}

/** Returns four instants in words. */
export function instantsText({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants, clock: CaseClock): string {
  const instant = (ms: number | null): string => (ms === null ? 'never in this record' : clock.clock(ms));
  return `last good ${instant(lastGoodMs)}, first lost ${instant(firstLostMs)}; last lost ${instant(lastLostMs)}, first good ${instant(firstGoodMs)}`;
}

/** Returns the four instants without their names, for where the names stand above: "08:41:19, 08:41:20, 08:43:10, 08:43:11". */
export function bareInstantsText({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants, clock: CaseClock): string {
  const ends = lastLostMs === null || firstGoodMs === null ? ['never back'] : [clock.clock(lastLostMs), clock.clock(firstGoodMs)];
  return [clock.clock(lastGoodMs), clock.clock(firstLostMs), ...ends].join(', ');
}

/** Returns who said what of a dropout, when and how: "A. Reader, blinded: motion, probable". */
export function standingText(verdict: StandingVerdict): string {
  const how = verdict.role === 'consensus' ? 'consensus' : verdict.isBlinded ? 'blinded' : 'not blinded';
  return `${verdict.by}, ${how}: ${judgementText(verdict.judgement)}`;
}

/** Returns what ended a verdict, and when: "superseded 3 April 2031, 22:31". */
export function endedText({ ended, endedAt }: EarlierVerdict): string {
  return `${ended} ${instantText(endedAt)}`;
}

/** Returns how far a case is reviewed: "12 of 20 read, 1 disputed"; "no dropout" where there is nothing to read. */
export function reviewStateText(state: ReviewState): string {
  const parts: string[] = [];
  if (state.dropouts === 0) parts.push('no dropout');
  else if (state.notReviewed === state.dropouts) parts.push('not read');
  else parts.push(`${numberText(state.dropouts - state.notReviewed)} of ${numberText(state.dropouts)} read`);
  if (state.disputed > 0) parts.push(`${numberText(state.disputed)} disputed`);
  if (state.without > 0) parts.push(`${countText(state.without, 'verdict', 'verdicts')} without a dropout`);
  return parts.join(', ');
}

/** Returns all of a state of review in words, for a title and for speech. */
export function reviewStateDetail(state: ReviewState): string {
  if (state.dropouts === 0) return 'There is no dropout to read.';
  const flags = state.flags.length === 0 ? '' : ` Flags: ${state.flags.join(', ')}.`;
  return `${numberText(state.confirmed)} confirmed, ${numberText(state.refuted)} called no loss, ${numberText(state.cannotTell)} cannot tell, ${numberText(state.disputed)} disputed, ${numberText(state.notReviewed)} not read; ${countText(state.readers, 'reader', 'readers')}.${flags}`;
}
