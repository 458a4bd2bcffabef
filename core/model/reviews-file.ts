import type { CaseEntry } from './review.ts';

/** Form of the file in which reviews travel; its page is docs/formats/reviews-file.md. */
export const REVIEWS_FILE_SCHEMA = 'lacuna-reviews/1';

/** A case as another library can know it again, without this library's keys. */
export interface TravellingCase {
  /** Joins the entries of the file with this line; it says nothing outside the library that wrote it. */
  readonly caseKey: string;
  /** The case's name as the sender's list shows it. */
  readonly caseId: string;
  /** sha-256 of every input, in order; each once. */
  readonly inputDigests: readonly string[];
  /** sha-256 of what the SpO2 sensors recorded (`core/review/case-fingerprint.ts`); null: the case was no longer in the library, or could not be read. */
  readonly contentFingerprint: string | null;
}

/** An entry on its way. */
export interface TravellingEntry {
  readonly entry: CaseEntry;
  /** sha-256 of the canonical JSON of `entry` as it is here. */
  readonly hash: string;
  /** The hash that it bears in the sender's trail; another than `hash` where its note was left out. */
  readonly sealedAs: string;
}

/** What is signed. */
export interface ReviewsFileContent {
  /** UTC, ISO 8601. */
  readonly writtenAt: string;
  readonly productVersion: string;
  readonly sender: {
    /** Ed25519, 32 bytes as hexadecimal digits. */
    readonly publicKey: string;
    /** sha-256 of these 32 bytes. */
    readonly fingerprint: string;
  };
  readonly notes: 'included' | 'left out';
  /** The hash of every entry of the sender's trail, in the order of their places: where each entry here stands in it. */
  readonly chain: readonly string[];
  readonly cases: readonly TravellingCase[];
  /** In the order of their places. */
  readonly entries: readonly TravellingEntry[];
}

export interface ReviewsFile {
  readonly schema: typeof REVIEWS_FILE_SCHEMA;
  readonly content: ReviewsFileContent;
  /** Ed25519 over `signedText(content)`, 64 bytes as hexadecimal digits. */
  readonly signature: string;
}

/** What a file would hold: told before it is written. */
export interface ReviewsFileOutlook {
  readonly cases: number;
  readonly entries: number;
  readonly verdicts: number;
  /** Entries with a free text that may name persons. */
  readonly notes: number;
  /** Names of readers that are in it. */
  readonly readers: readonly string[];
  /** Cases without a fingerprint of their content: the receiver can tell them by their files alone. */
  readonly withoutContent: number;
  /** Entries that were received from elsewhere: they do not travel on. */
  readonly notOwn: number;
}

/** Who sent a file, as it is shown to a person. */
export interface Sender {
  readonly fingerprint: string;
  /** Name that a person gave the sender; '' for none. */
  readonly label: string;
  /** When a person confirmed the fingerprint; null: not yet. */
  readonly confirmedAt: string | null;
  /** Whether it is the key of this very library. */
  readonly isOwn: boolean;
}

/** Why entries could not simply be joined: for a person to settle. */
export type ReviewConflict = { readonly conflictId: string; readonly sender: Sender; readonly settled: SettledConflict | null } & (
  | {
      /** One entry, two contents: somebody changed a library by hand, or a library was copied. */
      readonly kind: 'other content';
      readonly entryId: string;
      readonly caseId: string;
      readonly versions: readonly { readonly sealedAs: string; readonly entry: CaseEntry; readonly from: 'here' | 'file'; readonly isInForce: boolean }[];
    }
  | {
      /** The case has files in common with one of this library and its SpO2 differs, or several of this library have its content. */
      readonly kind: 'which case';
      readonly why: 'content differs' | 'content unknown' | 'several alike';
      readonly caseKey: string;
      readonly caseId: string;
      readonly entries: number;
      readonly candidates: readonly { readonly caseKey: string; readonly caseId: string }[];
    }
  | {
      /** A reader of this library, or of another sender, goes by the same local name. */
      readonly kind: 'same name';
      readonly name: string;
      readonly entries: number;
    }
  | {
      /** Two files of one sender tell two stories: its library was copied, or set back to a backup. */
      readonly kind: 'trails part';
      /** The first place at which they differ. */
      readonly place: number;
    }
);

/** What a person decided. */
export interface SettledConflict {
  /** `keep`: what is in force stays, or the case waits; otherwise the version's `sealedAs`, the case's key, `same person` or `seen`. */
  readonly choice: string;
  readonly by: string;
  readonly at: string;
}

/** What a file holds, before or after it was received. */
export interface ReceivedSummary {
  readonly sender: Sender;
  readonly fileDigest: string;
  readonly writtenAt: string;
  readonly notes: 'included' | 'left out';
  readonly entries: number;
  readonly verdicts: number;
  readonly readers: readonly string[];
  readonly cases: number;
  /** Entries that are new here. */
  readonly fresh: number;
  /** Entries that were here already, from an earlier file. */
  readonly known: number;
  /** Cases of this library that they belong to. */
  readonly matched: number;
  /** Cases that this library does not have: their entries wait for them. */
  readonly waiting: number;
}

/** Entries whose case this library does not have. */
export interface WaitingReviews {
  readonly sender: Sender;
  readonly caseId: string;
  readonly entries: number;
  readonly verdicts: number;
}
