import type { JSX } from 'react';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';

/** What a picture is made of. Left out: 960 × 600 at one device pixel for each CSS pixel, light, on a screen. */
export interface Picture {
  readonly element: JSX.Element;
  readonly widthPx?: number;
  readonly heightPx?: number;
  /** Device pixels for one CSS pixel. */
  readonly ratio?: number;
  readonly theme?: 'light' | 'dark';
  readonly isPrint?: boolean;
  /** Keys pressed on the first timeline of the picture, one after the other, once it is drawn. */
  readonly keys?: readonly string[];
}

export interface PictureCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
}

/** The cases that pictures show. */
export interface PictureCases {
  /** A sample case that the test serves beside the page. */
  sample(name: SampleName): PictureCase;
  built(name: BuiltName): PictureCase;
}

export const SAMPLE_NAMES = ['K02-arms-tucked', 'K05-move-to-nasal-ala', 'K06-finger-and-ear', 'K07-blind-interval', 'K08-record-gap', 'K09-minute-data', 'K10-without-loss', 'K11-bypass', 'K13-cold-hands', 'K17-prone-infusion'] as const;
export type SampleName = (typeof SAMPLE_NAMES)[number];
export const BUILT_NAMES = ['three hours', 'huge', 'many lanes', 'states', 'nothing'] as const;
export type BuiltName = (typeof BUILT_NAMES)[number];

/** Named for what it shows: the name of the function is that of the picture. */
export type DrawPicture = (cases: PictureCases) => Picture;
