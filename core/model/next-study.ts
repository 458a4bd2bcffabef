import type { AnalysisParameters } from './parameters.ts';

/** Paired: both sites worn at once by each patient. Parallel: one site per patient. */
export const STUDY_DESIGNS = ['paired', 'parallel'] as const;
export type StudyDesign = (typeof STUDY_DESIGNS)[number];

/** Share of the monitored time that is lost, or dropouts per monitored hour. */
export const STUDY_OUTCOMES = ['share lost', 'dropouts per hour'] as const;
export type StudyOutcome = (typeof STUDY_OUTCOMES)[number];

/** How the two sites are compared: second / first of the totals, or second − first of the patients' own figures. */
export const STUDY_EFFECTS = ['ratio', 'difference'] as const;
export type StudyEffect = (typeof STUDY_EFFECTS)[number];

/** Whose figures stand for the second site: the library's own of that site, or those of the first. */
export const SECOND_PATTERNS = ['second site', 'first site'] as const;
export type SecondPattern = (typeof SECOND_PATTERNS)[number];

/** The study that is asked about. */
export interface NextStudyOptions {
  readonly design: StudyDesign;
  readonly outcome: StudyOutcome;
  /** Keys of sites, as `siteKey` gives them. */
  readonly firstKey: string;
  readonly secondKey: string;
  /** For the parallel design; a paired one needs both sites. */
  readonly secondAs: SecondPattern;
  readonly effect: StudyEffect;
  /** The effect to be found: ratio (1: none), or difference in share (0.02: two points) or in dropouts per hour. */
  readonly effectSize: number;
  readonly conf: number;
  /** Column that names the patient: the cases of one are summed. null: every case stands for itself. */
  readonly patientColumn: string | null;
  /** Sizes to be shown: patients, in the parallel design per group. */
  readonly sizes: readonly number[];
  /** null: not asked for. */
  readonly wantedPower: number | null;
  /** Half the width of the interval, in the unit of the effect; for a ratio the factor from the estimate to its limit. null: not asked for. */
  readonly wantedHalfWidth: number | null;
  readonly draws: number;
  readonly seed: number;
  /** Which dropouts count. Left out: as computed. */
  readonly dropouts?: 'computed' | 'confirmed' | undefined;
}

/** Effect to be looked for unless another is asked: half the loss. Convention of this program without source. */
export const DEFAULT_NEXT_STUDY: Omit<NextStudyOptions, 'firstKey' | 'secondKey'> = {
  design: 'paired',
  outcome: 'share lost',
  secondAs: 'second site',
  effect: 'ratio',
  effectSize: 0.5,
  conf: 0.95,
  patientColumn: null,
  sizes: [10, 15, 20, 30, 40, 60, 80, 120, 160, 240, 320],
  wantedPower: 0.8,
  wantedHalfWidth: null,
  draws: 2000,
  seed: 20_260_101,
};

/** What one site gave in one patient. */
export interface UnitSite {
  readonly lostMs: number;
  readonly monitoredMs: number;
  readonly dropouts: number;
}

/** One patient (a case, where no patient is stated): what is drawn whole. */
export interface StudyUnit {
  /** Sorts the units before any drawing. */
  readonly unitId: string;
  readonly first: UnitSite | null;
  readonly second: UnitSite | null;
}

/** A simulated figure and its Monte Carlo standard error. */
export interface Simulated {
  readonly value: number;
  readonly error: number;
}

/** What a study of one size would give. */
export interface StudySize {
  readonly n: number;
  /** Share of simulated studies whose interval leaves out "no difference". */
  readonly power: Simulated;
  /** The same by ranks: signed ranks (zeros after Pratt) or rank sums, normal law. */
  readonly rankPower: Simulated;
  /** Mean over the simulated studies. null: no study gave an interval. */
  readonly halfWidth: Simulated | null;
  /** Share of the intervals that held the true effect. */
  readonly coverage: Simulated | null;
  /** Simulated studies without an interval: nothing lost at one site, or all alike. They count as "not found". */
  readonly without: number;
}

/** The least size that does what is wanted. */
export interface WantedSize {
  /** null: more than `most`. */
  readonly n: number | null;
  /** What the error of the simulation leaves open. null: not settled below `most`. */
  readonly low: number | null;
  readonly high: number | null;
}

export const NO_STUDY_REASONS = ['too few patients', 'nothing lost at the first site', 'nothing lost at the second site', 'effect not possible', 'no effect', 'paired needs both sites', 'all patients alike'] as const;
export type NoStudyReason = (typeof NO_STUDY_REASONS)[number];

export const STUDY_CAUTIONS = ['fewer than 10 patients', 'fewer than 20 patients', 'most patients without loss', 'share capped', 'interval too narrow', 'site not assigned at random', 'second site assumed'] as const;
export type StudyCaution = (typeof STUDY_CAUTIONS)[number];

/** What the library says of one site: over patients, the outcome asked about. */
export interface LibrarySite {
  readonly patients: number;
  readonly withoutLoss: number;
  readonly monitoredMs: number;
  /** Mean and SD of the patients' own figures. SD null for one patient. */
  readonly mean: number;
  readonly sd: number | null;
  /** Total over total. */
  readonly pooled: number;
  /** How many times the variance of the dropouts per patient is that of independent ones (Pearson). null: no dropout, one patient. */
  readonly dispersion: number | null;
}

/** The same by a formula: the check beside the simulation. */
export interface FormulaSize {
  readonly method: 'paired t' | 'two-sample t' | 'delta method' | 'Hayes and Bennett';
  /** For the wanted power; null where none is wanted, or the formula does not reach it. */
  readonly n: number | null;
  /** With the spread at the upper 80 % limit that so few patients leave open. */
  readonly nIfSpreadUpper: number | null;
  readonly nForHalfWidth: number | null;
}

/** Sample size and precision of a comparison, from the library's own spread. */
export interface NextStudy {
  readonly options: NextStudyOptions;
  /** Patients behind it. In the paired design both are the same patients. */
  readonly first: LibrarySite | null;
  readonly second: LibrarySite | null;
  /** Of the two sites' figures within patients; null in the parallel design. */
  readonly correlation: number | null;
  /** The effect between the sites as the library has it, before it is set to the one asked about. */
  readonly observed: number | null;
  readonly reason: NoStudyReason | null;
  readonly sizes: readonly StudySize[];
  readonly forPower: WantedSize | null;
  readonly forHalfWidth: WantedSize | null;
  /** Sizes beyond this are not searched. */
  readonly most: number;
  readonly formula: FormulaSize | null;
  readonly cautions: readonly StudyCaution[];
  /** Patients whose share would pass 1 and was set to 1. */
  readonly capped: number;
}

/** What one case gives to the planning of a study. */
export interface StudyCase {
  readonly caseKey: string;
  readonly caseId: string;
  /** Of the case itself; a column may name its patient instead. */
  readonly unitId: string;
  readonly attributes: Readonly<Record<string, string>>;
  /** Dropouts of which nobody has said anything: where confirmed ones count, none of them does. */
  readonly notReviewed: number;
  /** Over the whole monitored time of each site. */
  readonly sites: readonly (UnitSite & { readonly siteKey: string })[];
  /** Over the time in which both were monitored, bypass left out unless the parameters keep it. */
  readonly pairs: readonly { readonly firstKey: string; readonly secondKey: string; readonly first: UnitSite; readonly second: UnitSite }[];
}

/** A planned study with what it was worked out from. */
export interface PlannedStudy {
  readonly study: NextStudy;
  readonly parameters: AnalysisParameters;
  readonly cases: number;
  /** Dropouts of these cases that wait to be read. */
  readonly notReviewed: number;
  readonly leftOut: readonly { readonly caseKey: string; readonly caseId: string; readonly reason: string }[];
}
