import type { AlignedQuantity } from './cohort-case.ts';
import type { CohortCaution } from './cohort-caution.ts';

/** How a value is held against its baseline: change in per cent of it, or the plain difference. */
export type AlignedScale = 'percent of baseline' | 'difference';

/** How the band was made: cases drawn anew, or Student's t over the cases' curves where drawing would take too long. */
export type BandMethod = 'cases drawn anew' | 't over cases';

/** The mean course of one quantity around boluses. */
export interface AlignedCourse {
  readonly quantity: AlignedQuantity;
  /** The sensor; null for a pressure. */
  readonly siteKey: string | null;
  /** The drug; null: any vasopressor. */
  readonly drug: string | null;
  /** A difference is in points of SpO2, or mmHg. */
  readonly scale: AlignedScale;
  readonly boluses: number;
  /** Without a value in the baseline: left out. */
  readonly bolusesLeftOut: number;
  readonly units: number;
  /** The cases whose boluses were looked at, those left out included, in their order. */
  readonly bolusCases: readonly { readonly caseKey: string; readonly boluses: number }[];
  /** One entry per lag. null: nothing recorded, and for limits fewer than two units. */
  readonly unitsAtLag: readonly number[];
  readonly mean: readonly (number | null)[];
  readonly lower: readonly (number | null)[];
  readonly upper: readonly (number | null)[];
  readonly band: BandMethod;
  readonly cautions: readonly CohortCaution[];
}

/** Courses around vasopressor boluses, over cases. */
export interface EventAlignedCourses {
  readonly lagsS: readonly number[];
  /** Lags from, up to and without to, s. */
  readonly baselineS: readonly [number, number];
  readonly conf: number;
  readonly seed: number;
  readonly draws: number;
  /** Vasopressor boluses of all cases, and those left out because another came within the span before them. */
  readonly boluses: number;
  readonly bolusesTooClose: number;
  readonly courses: readonly AlignedCourse[];
  readonly cautions: readonly CohortCaution[];
}
