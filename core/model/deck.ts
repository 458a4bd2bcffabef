import type { ReportBlock } from './report-document.ts';

/** One slide. */
export interface DeckSlide {
  /** Unique in the deck. */
  readonly slideId: string;
  /** Which part of the presentation it belongs to, in words; '' for none. */
  readonly part: string;
  readonly title: string;
  /** They fit on it: a deck is divided into slides where it is made. */
  readonly blocks: readonly ReportBlock[];
  /** For the presenter; '' unless they were asked for. */
  readonly notes: string;
}

/** Slides: what HTML, PDF, PPTX and single pictures are all written from. Plain data. */
export interface Deck {
  readonly title: string;
  /** BCP 47. */
  readonly language: 'en';
  /** Printed on each slide, as local policy words it; '' for none. */
  readonly header: string;
  /** Printed on each slide: product, version, definition. */
  readonly footer: string;
  readonly slides: readonly DeckSlide[];
}

/** What a person chooses for slides. */
export interface DeckWishes {
  /** Whether the notes for the presenter leave too. */
  readonly withNotes: boolean;
  /** Whether marks and notes that a person pinned to the cases leave too. */
  readonly withMarks: boolean;
  /** Whether each picture comes first as recorded until the instant of its moment, and then whole. */
  readonly keepsLaterBack: boolean;
}

/** Slides are 16 to 9: pt. */
export const SLIDE_SIZE = { width: 960, height: 540 } as const;

/** How slides can be written. `svg` and `png`: one picture of them. */
export const DECK_FORMS = ['pdf', 'pptx', 'html', 'svg', 'png'] as const;
export type DeckForm = (typeof DECK_FORMS)[number];
export const REPORT_FORMS = ['pdf', 'html'] as const;
export type ReportForm = (typeof REPORT_FORMS)[number];

/** Pictures are as many pixels wide: those of a screen of 3840 × 2160. */
export const PICTURE_PIXELS = 3840;
