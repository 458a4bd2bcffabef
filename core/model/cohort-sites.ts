import type { NamedInterval } from './cohort-burden.ts';

/** Two sites over the same patients, in one outcome. Differences are first − second. */
export interface WithinPatients {
  readonly firstKey: string;
  readonly secondKey: string;
  /** Share of the common time that was lost, or dropouts that began per common hour. */
  readonly outcome: 'share lost' | 'dropouts per hour';
  /** Patients (or cases) with both at once for long enough, and those with both but too little common time. */
  readonly units: number;
  readonly unitsTooShort: number;
  readonly cases: number;
  readonly sharedMs: number;
  /** Over the units: medians of each site's own values. */
  readonly firstMedian: number | null;
  readonly secondMedian: number | null;
  /** Hodges–Lehmann. */
  readonly difference: number | null;
  readonly differenceLower: number | null;
  readonly differenceUpper: number | null;
  /** The confidence that the interval of ranks really has; null without an interval. */
  readonly achievedConf: number | null;
  readonly reason: string | null;
  /** Units without a difference; Pratt's ranks keep them. */
  readonly zeros: number;
  readonly p: number | null;
  readonly pMethod: 'exact' | 'normal' | null;
  readonly pHolm: number | null;
  /** Sensitivity: without the units that have no difference, by sign alone, and by turning signs over at random. */
  readonly pWithoutZeros: number | null;
  readonly pSign: number | null;
  readonly pSignFlip: number | null;
  readonly meanDifference: number | null;
  /** Ratio of the totals of first and second over common time, from drawing units anew; null where the second lost nothing. */
  readonly ratio: number | null;
  readonly ratioInterval: NamedInterval;
  readonly rows: readonly WithinPatientsRow[];
}

/** One unit behind a paired comparison. */
export interface WithinPatientsRow {
  readonly unit: string;
  readonly caseKeys: readonly string[];
  readonly caseIds: readonly string[];
  readonly sharedMs: number;
  readonly first: number;
  readonly second: number;
}

/** Three or more sites in the same patients. */
export interface WithinPatientsAll {
  readonly outcome: WithinPatients['outcome'];
  readonly siteKeys: readonly string[];
  /** Units in which all of them were worn at once for long enough. */
  readonly units: number;
  readonly chiSquare: number | null;
  readonly df: number | null;
  readonly p: number | null;
  readonly reason: string | null;
}

/** How much of the time lost at one sensor another, worn at the same time, had information. */
export interface CoverageFigure {
  readonly lostKey: string;
  readonly otherKey: string;
  readonly cases: number;
  readonly sharedMs: number;
  /** Of the common time, every loss, however short. */
  readonly lostMs: number;
  readonly coveredMs: number;
  /** Ratio of the totals; null: nothing was lost. */
  readonly share: number | null;
  readonly interval: NamedInterval;
}

/** Sites within the same patients. */
export interface SitesWithinPatients {
  /** Common time that a comparison asks for, ms. */
  readonly leastSharedMs: number;
  readonly pairs: readonly WithinPatients[];
  readonly all: readonly WithinPatientsAll[];
  readonly coverage: readonly CoverageFigure[];
}
