import type { Interval, Range3 } from '../base/interval.ts';
import type { CaseAnalysis, FourInstants, SiteAnalysis } from './analysis.ts';
import type { CaseRecord, SourceFile } from './case.ts';
import type { Channel } from './channel.ts';

/**
 * What a reviewer may say of a dropout, in the order in which it is offered. Terms of the trade (handbook sections 1, 3 and 5: common
 * practice, no source for the list itself); `loss`: whether information was lost, as far as the verdict says.
 */
export const VERDICTS = {
  'low perfusion': { loss: true },
  motion: { loss: true },
  interference: { loss: true },
  'sensor off or displaced': { loss: true },
  'planned interruption': { loss: true },
  'equipment or recording': { loss: true },
  'loss, reason not known': { loss: true },
  'no loss': { loss: false },
  'cannot tell': { loss: null },
} as const satisfies Readonly<Record<string, { readonly loss: boolean | null }>>;
export type Verdict = keyof typeof VERDICTS;

/** How sure a reviewer is. `cannot tell` has none: it is a full answer. */
export const CERTAINTIES = ['certain', 'probable', 'possible'] as const;
export type Certainty = (typeof CERTAINTIES)[number];

/** What may be noted of a whole case. */
export const CASE_FLAGS = ['worth discussing', 'record not usable', 'site doubtful', 'clock doubtful', 'exclude from figures'] as const;
export type CaseFlag = (typeof CASE_FLAGS)[number];

/** On which analysis something was decided. */
export interface AnalysisSeen {
  /** sha-256 of the parameters as `core/review/parameters-digest.ts` writes them. */
  readonly parametersDigest: string;
  readonly parametersName: string;
  readonly productVersion: string;
  /** sha-256 of every input of the case, in source order. */
  readonly inputDigests: readonly string[];
}

/**
 * What the clock of a sensor's file showed at the case's origin. A file that joins the case, or a clock that is set, moves the origin:
 * with this an instant is found again in the file that it was read from.
 */
export interface AnchorClock {
  readonly kind: 'absolute' | 'time of day' | 'elapsed';
  /** Wall clock as ms since 1970-01-01 (absolute), since midnight (time of day) or since the count began (elapsed), the offset by which the clock was set taken off. */
  readonly wallMs: number;
  /** The same in UTC; null where the record is not dated. */
  readonly epochMs: number | null;
}

/** The dropout that a verdict is about, as it was computed when the verdict was given. Instants in ms since the case's origin. */
export interface ReviewAnchor extends FourInstants {
  readonly siteKey: string;
  readonly dropoutId: string;
  /** Where the loss is taken to end when information never came back at this sensor. */
  readonly censoredAtMs: number | null;
  readonly clock: AnchorClock;
}

/** A dropout of today, small: all of it that reviews need. */
export interface ReviewableDropout extends FourInstants {
  readonly dropoutId: string;
  readonly siteKey: string;
  readonly number: number;
  readonly censoredAtMs: number | null;
  readonly lostMs: Range3;
}

/** What reviews need of a case and its analysis; the whole of both fits it. */
export interface ReviewableCase {
  readonly record: Pick<CaseRecord, 'caseId' | 'origin'> & {
    readonly sources: readonly Pick<SourceFile, 'clockOffsetMs'>[];
    readonly channels: readonly Pick<Channel, 'channelId' | 'sourceIndex'>[];
  };
  readonly analysis: Pick<CaseAnalysis, 'parameters' | 'productVersion' | 'inputDigests'> & {
    readonly bounds: Interval;
    readonly sites: readonly (Pick<SiteAnalysis, 'siteKey' | 'channelId'> & { readonly dropouts: readonly ReviewableDropout[] })[];
  };
}

/** One sensor of a case as reviews know it. */
export interface ReviewableSite {
  readonly siteKey: string;
  readonly clock: AnchorClock;
  /** In time order, disjoint. */
  readonly dropouts: readonly ReviewableDropout[];
}

/** What reviews need of a case's analysis of today: plain and small, made by `core/review/review-basis.ts`. */
export interface ReviewBasis extends ReviewedCase {
  readonly seen: AnalysisSeen;
  readonly bounds: Interval;
  readonly sites: readonly ReviewableSite[];
}

/** What a reviewer says of one dropout. */
export interface Judgement {
  readonly verdict: Verdict;
  /** null for `cannot tell` only. */
  readonly certainty: Certainty | null;
  /** Free text; may be ''. */
  readonly note: string;
  /** Bounds as the reviewer reads them from the record, kept beside the computed ones; null: those stand. */
  readonly correctedBounds: FourInstants | null;
}

/** What is the same in every entry of the trail. */
export interface EntryHead {
  /** 1, 2, 3 … over the whole library. */
  readonly place: number;
  /** Hash of the entry before; '' in the first. */
  readonly previous: string;
  /** Names the entry, in every library that ever holds it: 32 hexadecimal digits. */
  readonly entryId: string;
  /** When, in UTC, ISO 8601. */
  readonly at: string;
  /** Who: the local name that the reviewer goes by. */
  readonly by: string;
  readonly productVersion: string;
}

/** Names a case in more than one library. */
export interface ReviewedCase {
  readonly caseKey: string;
  readonly caseId: string;
}

/** A verdict on one dropout. A later one of the same reviewer on the same dropout supersedes the earlier; none is ever changed. */
export interface VerdictGiven extends ReviewedCase {
  readonly kind: 'verdict';
  readonly anchor: ReviewAnchor;
  readonly judgement: Judgement;
  readonly seen: AnalysisSeen;
  /** `consensus`: what readers agreed on after seeing each other's; it stands beside theirs. */
  readonly role: 'reading' | 'consensus';
  /** Whether the reviewer had not been shown another's verdicts on this case. */
  readonly isBlinded: boolean;
  /** The entry that this one takes the place of. */
  readonly supersedes: string | null;
  /** For a consensus: the readings that it settles. */
  readonly settles: readonly string[];
}

/** Takes back the reviewer's verdict that `supersedes` names: the one before it is in force again, or none. */
export interface VerdictTakenBack extends ReviewedCase {
  readonly kind: 'taken back';
  readonly supersedes: string;
}

/** Flags of a whole case, as they stand after the entry, with a note. */
export interface CaseFlagged extends ReviewedCase {
  readonly kind: 'flags';
  readonly flags: readonly CaseFlag[];
  readonly note: string;
  readonly seen: AnalysisSeen;
}

/** From here on the reviewer has been shown the verdicts of others on this case. */
export interface CaseRevealed extends ReviewedCase {
  readonly kind: 'revealed';
}

/** The reviewer calls the case read, with what is still without a verdict. */
export interface CaseRead extends ReviewedCase {
  readonly kind: 'case read';
  readonly unread: number;
}

/** Something that was done to the library and bears on its results. */
export interface LibraryAct {
  readonly kind: 'act';
  readonly act: 'parameters changed' | 'case removed' | 'case replaced' | 'clock set' | 'reviews written out' | 'reviews received' | 'conflict settled' | 'action written' | 'action changed' | 'action measured' | 'file written out';
  readonly caseKey: string | null;
  /** What exactly, without anything of a patient: names of parameters, digests, numbers. */
  readonly detail: string;
}

/** An entry that came from another library, exactly as it stood there; `hash` is the one it had there. */
export interface EntryReceived extends ReviewedCase {
  readonly kind: 'received';
  readonly entry: CaseEntry;
  readonly hash: string;
  /** Fingerprint of the key that signed the file it came in. */
  readonly signedBy: string;
}

/** What a reader does with a case; only this travels to other libraries, and nothing that was received there travels on. */
export type CaseBody = VerdictGiven | VerdictTakenBack | CaseFlagged | CaseRevealed | CaseRead;
export type EntryBody = CaseBody | LibraryAct | EntryReceived;
export type CaseEntry = EntryHead & CaseBody;

/** One entry of the trail; its hash is sha-256 over the canonical JSON of all of it (`core/review/trail.ts`). */
export type TrailEntry = EntryHead & EntryBody;

/** What is noted of the end of the trail apart from it. */
export interface TrailHead {
  readonly place: number;
  readonly hash: string;
}

/** An entry as it is kept. */
export interface SealedEntry {
  readonly entry: TrailEntry;
  readonly hash: string;
}

/** What a reader who reads blinded is told of an entry in which another said something: that, when, by whom and of which case. */
export interface EntryKeptBack {
  readonly kind: 'kept back';
  readonly place: number;
  readonly at: string;
  readonly by: string;
  readonly caseKey: string;
  readonly caseId: string;
}

/** An entry as the trail lists it for a reader. */
export interface ListedEntry {
  readonly entry: TrailEntry | EntryKeptBack;
  readonly hash: string;
}

/** How a verdict stands to the dropouts of today's analysis. */
export type AnchorState =
  /** The same dropout with the same four instants. */
  | 'same'
  /** It overlaps one dropout, whose instants are others. */
  | 'moved'
  /** It overlaps several; it stands at the one it overlaps most. */
  | 'split'
  /** Several verdicts of one reviewer overlap one dropout; the one that overlaps most stands, the others are listed with it. */
  | 'joined'
  /** None overlaps: the verdict is kept and listed, and counts in no figure. */
  | 'without a dropout';

/** A verdict that is in force, where it stands today. Instants of `anchor` and of corrected bounds are in ms since today's origin, whatever it was then. */
export interface StandingVerdict {
  readonly entryId: string;
  /** As it is shown: a reader of another library carries the key's first digits, for the same name need not be the same person. */
  readonly by: string;
  readonly at: string;
  readonly role: 'reading' | 'consensus';
  readonly isBlinded: boolean;
  readonly judgement: Judgement;
  readonly seen: AnalysisSeen;
  readonly anchor: ReviewAnchor;
  /** For a consensus: the readings that it settles. */
  readonly settles: readonly string[];
  readonly state: AnchorState;
  /** Whether it is what its reader says of the dropout; false for those that are listed with a joined one, and without a dropout. */
  readonly isCounted: boolean;
  /** The dropout of today that it stands at; null for `without a dropout`. */
  readonly dropoutId: string | null;
  /** Whether another set of parameters, or another version of the inputs, was seen. */
  readonly sawAnother: boolean;
}

/** A verdict that is not in force any more, where it would stand today. */
export interface EarlierVerdict extends StandingVerdict {
  /** `superseded`: its reader, or those who agree on something else, said another thing since. */
  readonly ended: 'superseded' | 'taken back';
  /** When, in UTC, ISO 8601. */
  readonly endedAt: string;
}

/** What all that was said of a dropout comes to. */
export type ReviewOutcome =
  /** Nobody has said anything. */
  | 'not reviewed'
  /** Everybody who read it, or the consensus, says that information was lost. */
  | 'confirmed'
  | 'refuted'
  | 'cannot tell'
  /** Readers say different things and there is no consensus. */
  | 'disputed';

/** One dropout of today's analysis with all that is in force about it. */
export interface ReviewedDropout {
  readonly dropoutId: string;
  readonly siteKey: string;
  readonly outcome: ReviewOutcome;
  /** The verdict that figures use: the consensus, or the readers' common one; null where there is none, or where readers name different kinds of loss. */
  readonly verdict: Verdict | null;
  /** Bounds that figures use with confirmed dropouts: the consensus's, or a single reader's; null: the computed ones. */
  readonly correctedBounds: FourInstants | null;
  readonly verdicts: readonly StandingVerdict[];
}

/** All that is in force about one case, as one reader may see it. */
export interface CaseReview extends ReviewedCase {
  readonly dropouts: readonly ReviewedDropout[];
  /** Verdicts that stand at no dropout of today. */
  readonly without: readonly StandingVerdict[];
  /** Verdicts of the case that were in force, in the order in which they were given. */
  readonly earlier: readonly EarlierVerdict[];
  /** Flags by reader, those in force. */
  readonly flags: readonly { readonly by: string; readonly at: string; readonly flags: readonly CaseFlag[]; readonly note: string }[];
  /** Readers who have said anything of this case, in the order of their names. */
  readonly readers: readonly string[];
  /** Others whose verdicts are kept from this reader until the case is read or revealed. Names are told, not what they said. */
  readonly hidden: readonly string[];
  readonly isRevealed: boolean;
  /** Readers who called the case read. */
  readonly readBy: readonly string[];
}

/** The state of review of a case, for the list of cases. */
export interface ReviewState {
  readonly caseKey: string;
  readonly dropouts: number;
  readonly confirmed: number;
  readonly refuted: number;
  readonly cannotTell: number;
  readonly disputed: number;
  readonly notReviewed: number;
  readonly without: number;
  readonly flags: readonly CaseFlag[];
  readonly readers: number;
}

/** One place of a queue. */
export interface QueuedDropout extends ReviewedCase {
  readonly dropoutId: string;
  readonly siteKey: string;
  readonly firstLostMs: number;
  readonly lostMs: { readonly low: number; readonly mid: number; readonly high: number };
  /** Whether this reader has a verdict on it. */
  readonly isRead: boolean;
}

/** In which order dropouts are read. */
export type QueueOrder =
  | { readonly kind: 'worst first' }
  /** Case by case in the order of the library, each in the order of time. */
  | { readonly kind: 'case by case' }
  /** `size` dropouts drawn without replacement by the generator of statistics.md from this seed. */
  | { readonly kind: 'random sample'; readonly seed: number; readonly size: number };

/** What checking the trail found; no problem: nothing was altered, removed or put in another order. */
export interface TrailCheck {
  readonly entries: number;
  /** Hash of the last entry: whoever has noted an earlier one can ask whether it is still in the trail. */
  readonly head: string;
  readonly problems: readonly TrailProblem[];
}

export interface TrailProblem {
  readonly place: number;
  readonly kind: 'altered' | 'missing' | 'out of order' | 'unreadable' | 'cut off' | 'head not found';
  readonly message: string;
}
