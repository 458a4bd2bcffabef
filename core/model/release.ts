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
  /** '' where it stands alone in its cell. */
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

/** A column whose values are summed up and not listed one by one: numbers, and dates or codes of which there are very many. */
export interface ReleaseColumn {
  readonly kind: ReleaseKind;
  readonly file: string;
  readonly column: string;
  /** Cells with a value. */
  readonly cells: number;
  /** As they are written; texts in the order of their signs. */
  readonly smallest: string;
  readonly largest: string;
}

/** Everything that would go out if it were written now. */
export interface ReleaseList {
  /** By kind in the order of `RELEASE_KINDS`, then as they stand in the text. */
  readonly tokens: readonly ReleaseToken[];
  /** Of tables only. */
  readonly columns: readonly ReleaseColumn[];
  readonly removals: readonly ReleaseRemoval[];
  /** How many have to be answered before anything is written. */
  readonly open: number;
  /** Nothing in it can be replaced or left out: a research bundle can be made anew byte by byte, and leaves as it is or not at all. */
  readonly isKeepOnly: boolean;
}

/** How many words of something that left were listed and asked about, and what was said of them. */
export interface ReleaseTally {
  readonly listed: number;
  /** Those that may identify somebody. */
  readonly asked: number;
  readonly kept: number;
  readonly replaced: number;
  readonly leftOut: number;
}

/** Returns these of a list; what was replaced or left out counts as listed. */
export function tallyOf({ tokens, removals }: Pick<ReleaseList, 'tokens' | 'removals'>): ReleaseTally {
  const removed = (decision: ReleaseDecision): number => removals.filter((one) => one.decision === decision).length;
  return {
    listed: tokens.length + removals.length,
    asked: [...tokens, ...removals].filter(({ kind }) => isAsked(kind)).length,
    kept: tokens.filter(({ kind, isKept }) => isKept && isAsked(kind)).length,
    replaced: removed('replace'),
    leftOut: removed('leave out'),
  };
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
