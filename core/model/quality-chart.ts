import type { AnalysisParameters } from './parameters.ts';
import type { Site } from './site.ts';

/** What a point of a chart is. */
export const CHART_MEASURES = [
  /** Cases with a loss longer than `longerThanS` among cases. */
  'cases with a long loss',
  /** Losses per monitored hour. */
  'losses per hour',
  /** Time lost among time monitored. */
  'share of time lost',
  /** Median duration of the losses, seconds. */
  'median duration',
  /** Cases without a long loss between two that have one. */
  'cases between long losses',
  /** Days between two cases that have one. */
  'days between long losses',
] as const;
export type ChartMeasure = (typeof CHART_MEASURES)[number];

/** `line`: points without a rule. The others bear the names of the trade; a prime is Laney's correction. */
export const CHART_KINDS = ['line', 'run', 'p', 'p prime', 'u', 'u prime', 'xmr', 'g', 't'] as const;
export type ChartKind = (typeof CHART_KINDS)[number];

/** Kinds that a measure can be drawn as, whatever the table of methods names. */
export const KINDS_OF_MEASURE: Readonly<Record<ChartMeasure, readonly ChartKind[]>> = {
  'cases with a long loss': ['line', 'run', 'p', 'p prime', 'xmr'],
  'losses per hour': ['line', 'run', 'u', 'u prime', 'xmr'],
  'share of time lost': ['line', 'run', 'xmr'],
  'median duration': ['line', 'run', 'xmr'],
  'cases between long losses': ['line', 'run', 'g'],
  'days between long losses': ['line', 'run', 't'],
};

/** Patterns that can be looked for beside the two rules of runs: by their numbers in Nelson's paper, or the fixed rules of Perla et al. */
export type ChartRule = NelsonRule | 'shift of 6' | 'trend of 5';
export type NelsonRule = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** Points that a baseline needs to be more than provisional, and to have limits at all. Source: handbook 9.3; statistics g. */
export const BASELINE_POINTS = 20;
export const PROVISIONAL_POINTS = 12;
/** Points from which on runs are judged. */
export const RUN_POINTS = 10;

/** What a chart shows: fixed when the chart is made, since another definition makes other points. */
export interface QualityDefinition {
  readonly measure: ChartMeasure;
  /** Dropouts at sensors, or times in which no sensor of the case gave information. */
  readonly lossOf: 'dropouts' | 'blind intervals';
  /** A loss is long when its mid estimate lies above this, s. Used by the measures that speak of long losses. */
  readonly longerThanS: number;
  /** Whether doubtful samples count as lost. */
  readonly doubtfulLost: boolean;
  /** Sensors at these sites only; null: at every site. */
  readonly sites: readonly Site[] | null;
  /** Only cases that have one of the values in each of the columns. */
  readonly choice: readonly ColumnChoice[];
  /** By calendar month, or so many cases in order of time; not used by the measures between two events. */
  readonly grouping: ChartGrouping;
  /** The set of parameters that says what a dropout is. */
  readonly parameters: AnalysisParameters;
  /** Column of the case list that names the patient, for the intervals before and after a change. Left out, or null: every case stands for itself. */
  readonly patientColumn?: string | null | undefined;
  /** Which dropouts count. Left out: as computed. Of confirmed ones only cases take part of which every dropout has been read. */
  readonly dropouts?: 'computed' | 'confirmed' | undefined;
}

export interface ColumnChoice {
  readonly column: string;
  readonly values: readonly string[];
}

export type ChartGrouping = { readonly by: 'month' } | { readonly by: 'cases'; readonly size: number };

/** The figures of one point. */
export interface PointFigures {
  readonly cases: number;
  /** Cases with a long loss, losses, ms lost, or events; see the measure. */
  readonly numerator: number;
  /** Cases, hours monitored, ms monitored; null where the value is no ratio. */
  readonly denominator: number | null;
  /** null: nothing to divide by, or no loss to have a median. Shares from 0 to 1, rates per hour, durations in s, days. */
  readonly value: number | null;
  /** SHA-256 of what every case of the point gave, hexadecimal. */
  readonly digest: string;
}

/** A point as it was kept: it does not move when cases come later. */
export interface KeptPoint extends PointFigures {
  /** `2026-03`, or the dates of its first and last case. */
  readonly label: string;
  /** `YYYY-MM-DD`: first and last day of the month, or of the cases. */
  readonly firstDate: string;
  readonly lastDate: string;
  /** Start of its first and last case, UTC ms; null for a month without cases. Between two events: the two. */
  readonly firstMs: number | null;
  readonly lastMs: number | null;
}

/** What limits follow from, as it was when the phase was made. Only those that the kind of chart uses are set. */
export interface FrozenLimits {
  readonly centre: number | null;
  /** Factor on the limits of chance (p′, u′). */
  readonly sigmaZ: number | null;
  /** XmR and t; of t in transformed days. */
  readonly meanMovingRange: number | null;
  /** g: the mean that its limits follow from; t: the transformed mean. */
  readonly mean: number | null;
}

/** Why a chart is of its kind. */
export const CHOICE_REASONS = [
  'fewer than 10 points',
  '10 to 19 points',
  'shares of cases',
  'shares that scatter more than chance',
  'shares of very many cases',
  'counts in time',
  'counts that scatter more than chance',
  'counts in very many hours',
  'time is not counted in cases',
  'rare events',
  'chosen by a person',
] as const;
export type ChoiceReason = (typeof CHOICE_REASONS)[number];

/** The chart that the table of methods names for a measure, with the figures that decided. */
export interface ChartChoice {
  readonly kind: ChartKind;
  readonly reason: ChoiceReason;
  readonly points: number;
  readonly sigmaZ: number | null;
  readonly meanDenominator: number | null;
  /** Events to expect in a point; null where the measure counts none. */
  readonly expectedPerPoint: number | null;
  /** Fewer than one event is expected in a point: one of the measures between two events tells more. */
  readonly isRare: boolean;
}

/** A stretch of the chart with its own limits. For a point the phase that was made last counts, of those that begin at it or before. */
export interface ChartPhase {
  /** First point that it holds for, from 0. */
  readonly fromPoint: number;
  readonly kind: ChartKind;
  readonly choice: ChartChoice;
  readonly limits: FrozenLimits;
  readonly baseline: ChartBaseline;
  /** Distance of the limits from the centre, standard deviations. */
  readonly sigmas: number;
  /** Patterns that are looked for, beside the two rules of runs. */
  readonly rules: readonly ChartRule[];
  /** What the person wrote. */
  readonly reason: string;
  /** ISO instant. */
  readonly madeAt: string;
}

/** The points that limits were worked out from, from 0, both ends included. */
export interface ChartBaseline {
  readonly firstPoint: number;
  readonly lastPoint: number;
  /** Points in between that do not count. */
  readonly excluded: readonly number[];
  /** Fewer points than `BASELINE_POINTS` count. */
  readonly isProvisional: boolean;
}

/** Something that was changed in the department. */
export interface ChartChange {
  readonly changeId: string;
  /** `YYYY-MM-DD`: the first day on which it held. */
  readonly date: string;
  readonly text: string;
  readonly madeAt: string;
}

/** A kept point that a person had worked out anew, as it was before. */
export interface RestatedPoint {
  readonly point: number;
  readonly before: KeptPoint;
  readonly reason: string;
  readonly madeAt: string;
}

/** A chart as the library keeps it. */
export interface QualityChart {
  readonly chartId: string;
  readonly name: string;
  readonly madeAt: string;
  readonly definition: QualityDefinition;
  /** In order of time, without a hole. */
  readonly points: readonly KeptPoint[];
  /** In the order in which they were made; at least one. */
  readonly phases: readonly ChartPhase[];
  /** In order of their dates. */
  readonly changes: readonly ChartChange[];
  readonly restated: readonly RestatedPoint[];
}

/** Why a point stands out. */
export type PointSignal = 'beyond the limits' | 'in a long run' | `pattern ${NelsonRule}` | 'shift of 6' | 'trend of 5';

/** A point as it is drawn. */
export interface ChartPoint extends KeptPoint {
  /** `kept`: stored. `new`: complete and not yet kept. `open`: its month or group is not over; drawn hollow, judged by no rule. */
  readonly state: 'kept' | 'new' | 'open';
  /** What the cases of today would give instead of what was kept; null where that is the same, and for points that are not kept. */
  readonly now: PointFigures | null;
  /** Number of the phase that holds here. */
  readonly phase: number;
  readonly centre: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Limits of chance alone, where points scatter less than chance (sigmaZ below 0.8) and p′ or u′ is drawn narrower; null otherwise. */
  readonly chance: { readonly lower: number; readonly upper: number } | null;
  readonly signals: readonly PointSignal[];
  /** Today's cases behind it, in order of time. */
  readonly caseKeys: readonly string[];
}

/** Runs about the centre over one stretch without a change. A point in which a change falls belongs to no stretch. */
export interface ChartRuns {
  readonly firstPoint: number;
  readonly lastPoint: number;
  readonly centre: number | null;
  /** Points off the line. */
  readonly useful: number;
  readonly longestRun: number;
  readonly longestRunLimit: number | null;
  readonly crossings: number;
  readonly crossingsLimit: number | null;
  /** Ten useful points or more. */
  readonly isJudged: boolean;
  readonly isLongRun: boolean;
  readonly isFewCrossings: boolean;
}

/** The measure in a time before or after a change. */
export interface ChangeSide {
  /** `YYYY-MM-DD` of first and last case; null: no case. */
  readonly first: string | null;
  readonly last: string | null;
  readonly cases: number;
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly reason: string | null;
}

/** Before and after a change: from the change before it (or the first case) to the next one (or the last case). */
export interface ChangeEffect {
  readonly changeId: string;
  /** What is compared: the measure, or for the measures between events the share of cases with a long loss. */
  readonly compared: 'share of cases' | 'per hour' | 'share of time' | 'median seconds';
  readonly before: ChangeSide;
  readonly after: ChangeSide;
  /** After ÷ before (for medians after − before); null with a reason. */
  readonly effect: { readonly kind: 'ratio' | 'difference'; readonly estimate: number | null; readonly lower: number | null; readonly upper: number | null; readonly reason: string | null };
}

/** Cases that no point holds. */
export interface ChartLeftOut {
  readonly undated: number;
  /** No SpO2, no monitored sensor, or none at the sites of the definition. */
  readonly notUsable: number;
  /** Not of the chosen columns' values. */
  readonly notChosen: number;
  /** A dropout of it waits to be read; only of charts of confirmed dropouts. */
  readonly notReviewed?: number | undefined;
  /** Earlier than the first kept point. */
  readonly beforeFirst: number;
}

/** A chart with its points of today beside those that were kept. */
export interface QualityChartView {
  readonly chart: QualityChart;
  readonly points: readonly ChartPoint[];
  readonly runs: readonly ChartRuns[];
  readonly effects: readonly ChangeEffect[];
  readonly leftOut: ChartLeftOut;
  /** What the table of methods would choose today. */
  readonly choice: ChartChoice;
  /** Confidence of every interval of `effects`, and how units were drawn anew for those of medians. */
  readonly draws: { readonly replicates: number; readonly seed: number; readonly conf: number };
}

/** What a chart of this definition would look like, before it is made. */
export interface QualityProposal {
  readonly points: readonly (KeptPoint & { readonly isOpen: boolean; readonly caseKeys: readonly string[] })[];
  readonly choice: ChartChoice;
  /** The baseline that is proposed; null: too few points for limits. */
  readonly baseline: ChartBaseline | null;
  readonly leftOut: ChartLeftOut;
}

/** What a person says of a new phase. */
export interface PhaseRequest {
  readonly fromPoint: number;
  /** null: as the table of methods says. */
  readonly kind: ChartKind | null;
  readonly firstPoint: number;
  readonly lastPoint: number;
  readonly excluded: readonly number[];
  readonly rules: readonly ChartRule[];
  readonly reason: string;
}

/** A change of a chart by a person. */
export type ChartEdit =
  /** Keeps the points that are complete and new. */
  | { readonly kind: 'keep points' }
  /** Takes what the cases of today give in place of a kept point. */
  | { readonly kind: 'restate point'; readonly point: number; readonly reason: string }
  | { readonly kind: 'new phase'; readonly phase: PhaseRequest }
  | { readonly kind: 'mark change'; readonly date: string; readonly text: string }
  | { readonly kind: 'remove change'; readonly changeId: string }
  | { readonly kind: 'rename'; readonly name: string };

/** A chart to be made. */
export interface ChartRequest {
  readonly name: string;
  readonly definition: QualityDefinition;
  /** The first phase; its `fromPoint` is 0. */
  readonly phase: PhaseRequest;
}
