/** Colours of a print: dark enough on white for text, and told apart by lightness, dash or shape too. */
export const INKS = {
  paper: '#ffffff',
  ink: '#1d252b',
  soft: '#4c5860',
  rule: '#9aa5ac',
  faint: '#e3e7ea',
  loss: '#a3341c',
  lossFaint: '#f1c9be',
  doubt: '#8a6a00',
  finger: '#0062a0',
  toe: '#1f2b33',
  earLobe: '#00705a',
  nasalAla: '#b54700',
  forehead: '#7a5c00',
  other: '#51606a',
  unstated: '#35657f',
} as const;
export type Ink = keyof typeof INKS;

export type Point = readonly [x: number, y: number];

/** What a picture is made of. Units pt (1/72 inch), origin at the upper left, y downwards. */
export type Shape =
  | { readonly kind: 'line'; readonly points: readonly Point[]; readonly ink: Ink; readonly width: number; readonly dash?: readonly number[] | undefined }
  | { readonly kind: 'area'; readonly points: readonly Point[]; readonly fill: Ink }
  | { readonly kind: 'box'; readonly x: number; readonly y: number; readonly width: number; readonly height: number; readonly fill: Ink | null; readonly edge: Ink | null; readonly dash?: readonly number[] | undefined }
  | { readonly kind: 'text'; readonly x: number; readonly y: number; readonly text: string; readonly size: number; readonly ink: Ink; readonly align: 'start' | 'middle' | 'end'; readonly isBold?: boolean | undefined }
  | { readonly kind: 'mark'; readonly form: MarkForm; readonly x: number; readonly y: number; readonly size: number; readonly ink: Ink; readonly isHollow?: boolean | undefined };
export const MARK_FORMS = ['circle', 'square', 'triangle', 'triangle down', 'diamond', 'cross'] as const;
export type MarkForm = (typeof MARK_FORMS)[number];

/** A picture as shapes: drawn as SVG in one writer and as paths of a PDF in the other. */
export interface Scene {
  readonly width: number;
  readonly height: number;
  readonly shapes: readonly Shape[];
}

/** A table. Cells are text: every number is rounded by whoever makes the report, nowhere else. */
export interface ReportTable {
  readonly caption: string;
  readonly columns: readonly { readonly heading: string; readonly align: 'start' | 'end' }[];
  /** The first cell of a row names it. */
  readonly rows: readonly (readonly string[])[];
  /** What the reader has to know of it; '' for nothing. */
  readonly note: string;
}

export interface ReportFigure {
  readonly caption: string;
  /** What the picture shows, in words: for who cannot see it. */
  readonly alternative: string;
  readonly scene: Scene;
}

/** A part of a report, in reading order. */
export type ReportBlock =
  | { readonly kind: 'heading'; readonly level: 2 | 3; readonly text: string }
  | { readonly kind: 'paragraph'; readonly text: string; readonly tone: 'plain' | 'soft' | 'lead' }
  | { readonly kind: 'list'; readonly items: readonly string[]; readonly isNumbered: boolean }
  | { readonly kind: 'facts'; readonly rows: readonly (readonly [name: string, text: string])[] }
  | { readonly kind: 'table'; readonly table: ReportTable }
  /** `table` holds the figures behind the picture; null where a table of the report that is named in the caption does. */
  | { readonly kind: 'figure'; readonly figure: ReportFigure; readonly table: ReportTable | null };

/** Papers that reports are set for. Sizes in pt. */
export const PAPERS = { A4: { width: 595.28, height: 841.89 }, Letter: { width: 612, height: 792 } } as const;
export type Paper = keyof typeof PAPERS;
export const PAPER_NAMES = ['A4', 'Letter'] as const satisfies readonly Paper[];

/** One report: what HTML and PDF are both written from. Plain data. */
export interface ReportDocument {
  readonly title: string;
  /** What it is of, in one line. */
  readonly subtitle: string;
  /** BCP 47. */
  readonly language: 'en';
  /** Printed at the head of each page, as local policy words it; '' for none. */
  readonly header: string;
  /** Printed at the foot of each page: product, version, digest. */
  readonly footer: string;
  readonly paper: Paper;
  /** Set small and close, for what has to stand on one page. */
  readonly isDense: boolean;
  readonly blocks: readonly ReportBlock[];
}

/** Several reports that are written into one file, each beginning on a page of its own: sheets of several cases. */
export interface ReportSheets {
  /** Of all of them together. */
  readonly title: string;
  /** In the order of the pages; on the same paper, with the same header. */
  readonly documents: readonly ReportDocument[];
}

/** Sheets that are made at once in the window; more are made without it. */
export const MOST_SHEETS = 100;

/** What a person chooses for reports. */
export interface ReportWishes {
  readonly header: string;
  readonly paper: Paper;
  /** Whether dates and clock times are left out: times count from the first row of the case. */
  readonly relativeTime: boolean;
}

/** Neutral, and to be worded as local policy says: it has no legal effect of its own. */
export const DEFAULT_HEADER = 'Confidential – quality improvement – see local policy';
/** It has to fit on one line of a page. */
export const MOST_HEADER_CHARACTERS = 120;
