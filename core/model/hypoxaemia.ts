import type { CaseMs } from '../base/brand.ts';

/** A published or customary rule for a low SpO2 that lasted. */
export interface LowRunRule {
  readonly name: 'hypoxaemia' | 'severe hypoxaemia';
  readonly limitPct: number;
  /** Whether the limit itself counts as low. */
  readonly atLimit: boolean;
  readonly minS: number;
  readonly source: string;
}

/** Strict below 90 % and at or below 85 %, each for 2 consecutive minutes or more: the limits are mixed in the source, and kept so. */
export const LOW_RUN_RULES: readonly LowRunRule[] = [
  { name: 'hypoxaemia', limitPct: 90, atLimit: false, minS: 120, source: 'Ehrenfeld 2010, Can J Anaesth 57:888 (below 90 % for 2 min or more)' },
  { name: 'severe hypoxaemia', limitPct: 85, atLimit: true, minS: 120, source: 'Ehrenfeld 2010, Can J Anaesth 57:888 (85 % or below for 2 min or more)' },
];

/** What is on record beside a low value that can make SpO2 read falsely low: ids of events or drugs. It explains no loss. */
export interface FalseLowSigns {
  /** Dyes given so shortly before that they may explain it. */
  readonly dyeIds: readonly string[];
  /** The sensor was put on, moved or taken off within `handTimeS`. */
  readonly sensorIds: readonly string[];
  /** The patient lay head down, and the sensor sat on the forehead. */
  readonly headDownIds: readonly string[];
}

/** SpO2 low for long enough under a rule, without a loss inside. */
export interface LowRun extends FalseLowSigns {
  readonly rule: LowRunRule['name'];
  readonly startMs: CaseMs;
  /** Last low sample. */
  readonly endMs: CaseMs;
  /** How long the low samples stand. */
  readonly lastedMs: number;
  readonly lowestPct: number;
}

/** A fall of SpO2 from its running baseline. */
export interface Desaturation extends FalseLowSigns {
  /** First sample far enough below the baseline. */
  readonly startMs: CaseMs;
  /** First sample back near the baseline; the last one seen where it ended otherwise. */
  readonly endMs: CaseMs;
  readonly endedBy: 'return' | 'loss' | 'end of monitoring';
  readonly baselinePct: number;
  readonly lowestPct: number;
  readonly lowestAtMs: CaseMs;
}

/** The lowest sample seen, and when it first stood. */
export interface LowestSample extends FalseLowSigns {
  readonly pct: number;
  readonly atMs: CaseMs;
}

/** A share of time with what it can have been. */
export interface BoundedShare {
  /** Of the time observed; null when nothing was. */
  readonly observed: number | null;
  /** If all the time that was not observed had been above, and below. Of the monitored time, a loss not restored with it. */
  readonly low: number | null;
  readonly high: number | null;
}

/** What is known of low SpO2 at one sensor, while there was information. */
export interface Hypoxaemia {
  /** Time between neighbouring samples with information. */
  readonly observedMs: number;
  /** Mean weighted by time; null when nothing was observed. */
  readonly meanPct: number | null;
  readonly lowest: LowestSample | null;
  /** Share of time below 90 %, each value standing until the next. */
  readonly t90: BoundedShare;
  readonly lowRuns: readonly LowRun[];
  readonly desaturations: readonly Desaturation[];
}

/**
 * A change over a dropout beside the changes over intervals of the same length in the same case at the same sensor in
 * which nothing was lost. Changes are after − before, in points: a fall is negative.
 */
export interface ReturnComparison {
  readonly changePoints: number;
  /** Intervals compared with; they may overlap. */
  readonly intervals: number;
  /** How many of them could lie side by side: what the comparison really rests on. */
  readonly separate: number;
  readonly medianPoints: number;
  /** 5 % and 95 % of them lie at or below. */
  readonly lowPoints: number;
  readonly highPoints: number;
  /** Share of them whose change was no higher: of a fall, that fell by as much or more. */
  readonly shareAsLow: number;
}

/** How low SpO2 can have been inside a dropout under the greatest rates of fall and rise: a bound, "cannot be excluded". */
export interface LowestPossible {
  readonly pct: number;
  readonly atMs: CaseMs;
  /** The lower edge of what cannot be excluded, from last good to first good (or to where a loss not restored is censored). */
  readonly edge: readonly { readonly atMs: CaseMs; readonly pct: number }[];
}
