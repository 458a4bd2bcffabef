import type { Interval } from '../base/interval.ts';
import type { CaseAnalysis, Dropout, FourInstants } from './analysis.ts';
import type { CaseOrigin, CaseRecord } from './case.ts';
import { markTimes, placeOfMark } from './case-mark.ts';
import type { LaneChoice } from './lane-choice.ts';

/**
 * The parts of a structured presentation, in the order in which they are told. Situation, background, assessment and recommendations
 * after Mitchell et al. (handbook 9.2); what was known when, contributing factors, what went well and the follow-up of the last
 * meeting's actions are what the trade expects beside them (common practice, no source). The names of the parts in the window are ours.
 */
export const STORY_PARTS = ['follow-up', 'situation', 'background', 'known when', 'assessment', 'factors', 'went well', 'recommendations'] as const;
export type StoryPart = (typeof STORY_PARTS)[number];

/** What each part is called, and what belongs into it. */
export const STORY_PART_WORDS: Readonly<Record<StoryPart, { readonly name: string; readonly asks: string }>> = {
  'follow-up': { name: 'Since the last meeting', asks: 'What became of the actions that were agreed last time?' },
  'situation': { name: 'Situation', asks: 'What is this about, and which information was lost?' },
  'background': { name: 'Background', asks: 'Who was it (age band, procedure), which sensors, which positions, which drugs?' },
  'known when': { name: 'What was known when', asks: 'What did the record show at each instant, before the end was known? What else could be seen?' },
  'assessment': { name: 'Assessment', asks: 'What speaks for and against each explanation? What cannot be known?' },
  'factors': { name: 'Contributing factors', asks: 'Patient, task, individual, team, environment, organisation: the system before the person.' },
  'went well': { name: 'What went well', asks: 'What was noticed, done and passed on as one would wish it?' },
  'recommendations': { name: 'Recommendations', asks: 'What is to change, which role sees to it, and how is it measured again?' },
};

/** Where a contributing factor lies (handbook 9.2). */
export const STORY_FACTORS = ['patient', 'task', 'individual', 'team', 'environment', 'organisation'] as const;
export type StoryFactor = (typeof STORY_FACTORS)[number];

/** The dropout that a view points at, as it was computed when the view was taken. Instants in ms of the clock of the view. */
export interface StoryDropout extends FourInstants {
  readonly siteKey: string;
  /** Where the loss is taken to end when information never came back at this sensor. */
  readonly censoredAtMs: number | null;
}

/** A view of a case: what stood on the screen when it was taken. Times are those of the record's clock, as in a `CaseMark`. */
export interface StoryView {
  readonly caseKey: string;
  readonly clock: CaseOrigin['clock'];
  /** The stretch of time that fills the screen. */
  readonly startMs: number;
  readonly endMs: number;
  /** The instant that the moment is about: the cursor; null: none. What was known then ends here. */
  readonly instantMs: number | null;
  readonly dropout: StoryDropout | null;
  readonly lanes: LaneChoice;
  /** Whether what cannot be excluded is drawn inside dropouts. */
  readonly isBoundShown: boolean;
  /** The files of the case and the clocks that were set for them, in source order. */
  readonly inputs: readonly { readonly sha256: string; readonly clockOffsetMs: number }[];
}

/** One screen of a presentation: a view with words, or words alone. */
export interface StoryMoment {
  /** 32 hexadecimal digits, made with the moment. */
  readonly momentId: string;
  readonly part: StoryPart;
  /** In the part of contributing factors; null elsewhere, or where nobody has said. */
  readonly factor: StoryFactor | null;
  readonly title: string;
  readonly text: string;
  /** For the presenter alone. */
  readonly notes: string;
  readonly view: StoryView | null;
  /** Whether marks and notes that were pinned to the case are shown in a presentation, with what may identify somebody left out. Missing: not. */
  readonly showsMarks?: boolean | undefined;
}

/** What is told at a meeting: moments out of one or more cases. */
export interface Story {
  /** 32 hexadecimal digits. */
  readonly storyId: string;
  /** Counts the changes that were kept: a change made on an older one is refused. 0: never kept. */
  readonly revision: number;
  readonly title: string;
  /** The question that the meeting is asked; '' for none. */
  readonly question: string;
  /** Minutes planned for each case. */
  readonly minutesPerCase: number;
  /** Whether what came after a moment's instant is hidden until it is revealed. */
  readonly hidesLater: boolean;
  /** In the order in which they are told: by part, then as they were put. */
  readonly moments: readonly StoryMoment[];
}

export const STORY_LIMITS = { titleCharacters: 200, questionCharacters: 500, textCharacters: 4000, notesCharacters: 8000, moments: 200, stories: 500, minutesLeast: 1, minutesMost: 120 } as const;

/** 10 to 15 min a case are what is expected at such a meeting (handbook 9.2: common practice, no source); the middle, rounded. */
export const DEFAULT_MINUTES_PER_CASE = 12;
export const USUAL_MINUTES_PER_CASE = { least: 10, most: 15 } as const;

/** Returns the moments in the order in which they are told; those of one part keep their order. */
export function inStoryOrder(moments: readonly StoryMoment[]): StoryMoment[] {
  return STORY_PARTS.flatMap((part) => moments.filter((moment) => moment.part === part));
}

/** Returns the keys of the cases of a story in the order in which they appear. */
export function casesOfStory(story: Pick<Story, 'moments'>): string[] {
  return [...new Set(inStoryOrder(story.moments).flatMap(({ view }) => (view === null ? [] : [view.caseKey])))];
}

/** Returns what each case of a story is called in it, by its key: `Case A`, `Case B`, … `Case Z`, `Case AA`, in the order in which they appear. */
export function caseLabels(story: Pick<Story, 'moments'>): ReadonlyMap<string, string> {
  return new Map(casesOfStory(story).map((caseKey, at) => [caseKey, `Case ${letters(at)}`]));
}

function letters(at: number): string {
  const last = String.fromCharCode(65 + (at % 26));
  return at < 26 ? last : `${letters(Math.floor(at / 26) - 1)}${last}`;
}

/** Returns the minutes planned for a story: those of a case for each of its cases, and for one where it has none. */
export function plannedMinutes(story: Pick<Story, 'moments' | 'minutesPerCase'>): number {
  return Math.max(1, casesOfStory(story).length) * story.minutesPerCase;
}

export interface ViewTaken {
  readonly caseKey: string;
  readonly record: Pick<CaseRecord, 'origin' | 'sources'>;
  /** The stretch on the screen, and the cursor, in CaseMs. */
  readonly window: Interval;
  readonly instantMs: number | null;
  readonly dropout: Dropout | null;
  readonly lanes: LaneChoice;
  readonly isBoundShown: boolean;
}

/** Returns a view as a story keeps it. */
export function takeView({ caseKey, record, window, instantMs, dropout, lanes, isBoundShown }: ViewTaken): StoryView {
  const { clock, startMs, endMs } = markTimes(record.origin, window.startMs, window.endMs);
  const atMs = (ms: number): number => markTimes(record.origin, ms, null).startMs;
  const orNull = (ms: number | null): number | null => (ms === null ? null : atMs(ms));
  return {
    caseKey, clock, startMs, endMs: endMs ?? startMs,
    instantMs: orNull(instantMs),
    dropout: dropout === null ? null : {
      siteKey: dropout.siteKey,
      lastGoodMs: atMs(dropout.lastGoodMs), firstLostMs: atMs(dropout.firstLostMs), lastLostMs: orNull(dropout.lastLostMs), firstGoodMs: orNull(dropout.firstGoodMs), censoredAtMs: orNull(dropout.censoredAtMs),
    },
    lanes, isBoundShown,
    inputs: record.sources.map(({ sha256, clockOffsetMs }) => ({ sha256, clockOffsetMs })),
  };
}

/** How a view stands in its case of today. */
export type ViewPlace =
  /** The record's clock is of another kind than when the view was taken: nobody can say where it stands. */
  | { readonly kind: 'clock lost' }
  | {
      readonly kind: 'placed';
      readonly window: Interval;
      readonly instantMs: number | null;
      /** `not computed`: no dropout of today overlaps it at its sensor; `moved`: one does, with other instants; null: the view points at none. */
      readonly dropout: { readonly state: 'same' | 'moved'; readonly dropout: Dropout } | 'not computed' | null;
      /** Whether the clock of one of its files was set since: the view may show another stretch of it. */
      readonly isClockSet: boolean;
      /** Whether the case is read from other files than when the view was taken. */
      readonly hasOtherInputs: boolean;
    };

/**
 * Returns how a view stands in its case of today.
 * Units    CaseMs of today's origin.
 * Shape    the dropout is the one of the same sensor that overlaps the kept one most, first lost to first good; never one with the same number only.
 */
export function placeView(view: StoryView, record: Pick<CaseRecord, 'origin' | 'sources'>, analysis: Pick<CaseAnalysis, 'sites'>): ViewPlace {
  const stretch = (startMs: number, endMs: number | null): Interval | null => placeOfMark({ markId: '', text: '', clock: view.clock, startMs, endMs }, record.origin);
  const window = stretch(view.startMs, view.endMs);
  if (window === null) return { kind: 'clock lost' };
  const atMs = (ms: number): number => stretch(ms, null)?.startMs ?? ms;
  const offsets = new Map(record.sources.map(({ sha256, clockOffsetMs }) => [sha256, clockOffsetMs]));
  return {
    kind: 'placed',
    window,
    instantMs: view.instantMs === null ? null : atMs(view.instantMs),
    dropout: view.dropout === null ? null : dropoutOfToday(view.dropout, atMs, analysis),
    isClockSet: view.inputs.some(({ sha256, clockOffsetMs }) => offsets.has(sha256) && offsets.get(sha256) !== clockOffsetMs),
    hasOtherInputs: view.inputs.length !== record.sources.length || view.inputs.some(({ sha256 }) => !offsets.has(sha256)),
  };
}

/** Clocks are counted in ms since 1970, of which a double holds parts to some ten-thousandths only. */
const NEAR_MS = 0.01;

function dropoutOfToday(kept: StoryDropout, atMs: (ms: number) => number, analysis: Pick<CaseAnalysis, 'sites'>): { readonly state: 'same' | 'moved'; readonly dropout: Dropout } | 'not computed' {
  const orNull = (ms: number | null): number | null => (ms === null ? null : atMs(ms));
  const then = { lastGoodMs: atMs(kept.lastGoodMs), firstLostMs: atMs(kept.firstLostMs), lastLostMs: orNull(kept.lastLostMs), firstGoodMs: orNull(kept.firstGoodMs), censoredAtMs: orNull(kept.censoredAtMs) };
  const best = analysis.sites
    .filter(({ siteKey }) => siteKey === kept.siteKey)
    .flatMap(({ dropouts }) => dropouts)
    .map((dropout) => ({ dropout, overlapMs: Math.min(endOf(then), endOf(dropout)) - Math.max(then.firstLostMs, dropout.firstLostMs) }))
    .filter(({ overlapMs }) => overlapMs > 0)
    .sort((a, b) => b.overlapMs - a.overlapMs || a.dropout.firstLostMs - b.dropout.firstLostMs)[0];
  if (best === undefined) return 'not computed';
  const { dropout } = best;
  const pairs = [[then.lastGoodMs, dropout.lastGoodMs], [then.firstLostMs, dropout.firstLostMs], [then.lastLostMs, dropout.lastLostMs], [then.firstGoodMs, dropout.firstGoodMs]] as const;
  const isSame = pairs.every(([a, b]) => (a === null || b === null ? a === b : Math.abs(a - b) < NEAR_MS));
  return { state: isSame ? 'same' : 'moved', dropout };
}

/** A loss without length is taken as 1 ms, so that it can be found again. */
function endOf({ firstLostMs, firstGoodMs, censoredAtMs }: Pick<StoryDropout, 'firstLostMs' | 'firstGoodMs' | 'censoredAtMs'>): number {
  return Math.max(firstLostMs + 1, firstGoodMs ?? censoredAtMs ?? firstLostMs);
}
