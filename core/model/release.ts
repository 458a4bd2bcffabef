import type { Deck } from './deck.ts';
import type { ReportDocument, ReportSheets } from './report-document.ts';

/** What may identify somebody, by itself or beside other things: asked about before anything leaves. Source: Safe Harbor, 45 CFR 164.514(b)(2)(i); handbook 9.4. */
export const ASKED_KINDS = ['name', 'date', 'clock time', 'identifier', 'place', 'age', 'unknown word'] as const;
/** What is listed and not asked about. */
export const LISTED_KINDS = ['word', 'time from the first row', 'length of time', 'year', 'number', 'digest'] as const;
export const RELEASE_KINDS = [...ASKED_KINDS, ...LISTED_KINDS] as const;
export type ReleaseKind = (typeof RELEASE_KINDS)[number];

export const RELEASE_DECISIONS = ['keep', 'replace', 'leave out'] as const;
export type ReleaseDecision = (typeof RELEASE_DECISIONS)[number];

/** What a person said about one word, wherever it stands. */
export interface ReleaseAnswer {
  readonly kind: ReleaseKind;
  /** As it is listed. Capital and small letters are one. */
  readonly text: string;
  readonly decision: ReleaseDecision;
  /** What stands in its place; '' unless it is replaced. */
  readonly with: string;
}

/** What leaves: slides of a story, a report, or sheets of several cases. */
export type ReleaseContent = { readonly kind: 'deck'; readonly deck: Deck } | { readonly kind: 'report'; readonly document: ReportDocument } | { readonly kind: 'sheets'; readonly sheets: ReportSheets };

/** One word, date or number that would go out. */
export interface ReleaseToken {
  readonly kind: ReleaseKind;
  /** In the spelling in which it stands first. */
  readonly text: string;
  readonly count: number;
  /** Where it stands first: slide or part, and a few words around it. */
  readonly place: string;
  readonly context: string;
  /** In how many texts beside that one. */
  readonly otherPlaces: number;
  /** Whether somebody said that it may stay. */
  readonly isKept: boolean;
}

/** What was replaced or left out. */
export interface ReleaseRemoval extends ReleaseAnswer {
  readonly count: number;
  /** The answers of it go in a circle: what it was replaced with is itself replaced. */
  readonly isCircular: boolean;
}

/** Everything that would go out if it were written now. */
export interface ReleaseList {
  /** By kind in the order of `RELEASE_KINDS`, then as they stand in the text. */
  readonly tokens: readonly ReleaseToken[];
  readonly removals: readonly ReleaseRemoval[];
  /** How many have to be answered before anything is written. */
  readonly open: number;
}

/** What stands where something was left out. */
export const LEFT_OUT = '[…]';

export const RELEASE_LIMITS = { answers: 20_000, textCharacters: 4000, withCharacters: 500 } as const;

/** Returns whether somebody has to say of it that it may leave. */
export function isAsked(kind: ReleaseKind): boolean {
  return ASKED_KINDS.some((asked) => asked === kind);
}

/** Returns what an answer is found by. */
export function releaseKey({ kind, text }: Pick<ReleaseAnswer, 'kind' | 'text'>): string {
  return `${kind} ${text.toLowerCase()}`;
}
