import type { CaseMs } from '../base/brand.ts';
import type { Finding } from '../base/finding.ts';
import type { Interval, Range3 } from '../base/interval.ts';
import type { Hypoxaemia, LowestPossible, ReturnComparison } from './hypoxaemia.ts';
import type { OnsetEvidence } from './onset-evidence.ts';
import type { AnalysisParameters } from './parameters.ts';
import type { Restoration } from './restoration.ts';
import type { Site } from './site.ts';
import type { SignalStrength, SitePair } from './site-comparison.ts';

/** Status of one SpO2 sample; the number is what the status arrays hold. Order is the order of testing (analysis-spec 3). */
export const STATUS = { absent: 1, implausible: 2, flagged: 3, held: 4, weak: 5, disputed: 6, good: 7 } as const;
export type StatusName = keyof typeof STATUS;
export const STATUS_NAMES: readonly StatusName[] = ['absent', 'implausible', 'flagged', 'held', 'weak', 'disputed', 'good'];

/** A stretch of a channel that is recorded at one interval. */
export interface IntervalSegment {
  /** Time of the first and last recorded row of the stretch. */
  readonly startMs: CaseMs;
  readonly endMs: CaseMs;
  /** null: recorded irregularly. */
  readonly intervalMs: number | null;
}

/** The SpO2 samples of one sensor with their statuses, in time order; the arrays have one length. */
export interface StatusTrack {
  readonly tMs: Float64Array;
  readonly value: Float64Array;
  readonly status: Uint8Array;
}

/** Four instants around a loss. The last two are null when information never came back. */
export interface FourInstants {
  readonly lastGoodMs: CaseMs;
  readonly firstLostMs: CaseMs;
  readonly lastLostMs: CaseMs | null;
  readonly firstGoodMs: CaseMs | null;
}

export type RestoredBy = 'same site' | 'other site' | 'not restored';

export interface PressureBefore {
  /** Which channel it came from: invasive mean, cuff mean, or systolic where no mean exists. */
  readonly quantity: 'art-mean' | 'nibp-mean' | 'art-sys' | 'nibp-sys';
  readonly mean: number;
  readonly lowest: number;
  readonly n: number;
}

export interface Link {
  readonly exposureId: string;
  /** Mid of the onset interval minus the time of the exposure. Negative for a response. */
  readonly leadMs: number;
  readonly certainty: 'certain' | 'possible' | 'during';
}

/** One episode at one sensor in which SpO2 information was lost (analysis-spec 5). */
export interface Dropout extends FourInstants {
  /** Stable: derived from sensor and first lost instant. */
  readonly dropoutId: string;
  /** 1, 2, 3 … in time order within the site. */
  readonly number: number;
  readonly siteKey: string;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
  readonly restoredSiteKey: string | null;
  /** From first lost to information at the other site; null unless restored there. */
  readonly restoredAfterMs: number | null;
  /** Where the count ends when it was not restored at this sensor. */
  readonly censoredAtMs: CaseMs | null;
  readonly spo2Before: number;
  readonly spo2After: number | null;
  /** before − after when positive, else 0; null when nothing came after. */
  readonly dropOnReturn: number | null;
  /** Returned `returnDropPoints` or more lower, or below `returnBelowPct`. */
  readonly isMarked: boolean;
  /** The change over the dropout beside changes without loss; null when nothing came after, or nothing is comparable. */
  readonly returnComparison: ReturnComparison | null;
  /** How low SpO2 can have been inside: to be shown only with the words "cannot be excluded". */
  readonly cannotExclude: LowestPossible;
  readonly perfusionBefore: number | null;
  /** Lost samples by status, within first lost to last lost. */
  readonly lostSamples: Readonly<Partial<Record<StatusName, number>>>;
  /** Information inside, taken off the time lost. */
  readonly bridgedMs: number;
  /** Record gap inside, taken off the time lost unless parameters keep it. */
  readonly recordGapMs: Range3;
  /** Onset patterns whose rule holds, in the order of `ONSET_PATTERNS` (analysis-spec 6). */
  readonly patterns: readonly string[];
  /** The figures behind the patterns. */
  readonly evidence: OnsetEvidence;
  readonly pressureBefore: PressureBefore | null;
  /** Preceding exposures, nearest first. */
  readonly links: readonly Link[];
  /** What was done during the dropout, in time order. */
  readonly responses: readonly Link[];
}

/**
 * Where samples of a sensor were not plainly good and not plainly absent: per status the starts and ends of its unbroken
 * runs in turn, ms, ascending. A run ends where its last sample ceases to stand.
 */
export type StatusRuns = Readonly<Record<Exclude<StatusName, 'absent' | 'good'>, readonly number[]>>;

/** An episode of the whole case in which no site gave information. */
export interface BlindInterval extends FourInstants {
  readonly number: number;
  readonly lostMs: Range3;
  readonly restoredBy: RestoredBy;
  readonly restoredSiteKey: string | null;
}

/** A time in which every channel of the record is missing: the recorder stopped, not the sensor. */
export interface RecordGap {
  readonly lastRowMs: CaseMs;
  readonly firstMissingMs: CaseMs;
  readonly lastMissingMs: CaseMs;
  readonly firstRowMs: CaseMs;
  readonly gapMs: Range3;
}

export interface DropoutTotals {
  readonly count: number;
  readonly lostMs: Range3;
  readonly longestMidMs: number;
  /** lost mid / monitored; null when nothing was monitored. */
  readonly shareMid: number | null;
}

export interface BelowThreshold {
  readonly thresholdPct: number;
  /** As observed while there was information. */
  readonly observedMs: number;
  /** If the lost time had been all above / all below. */
  readonly lowMs: number;
  readonly highMs: number;
  /** Area between the threshold and the values below it, %·s, as observed; with the lost time all above, all at `hypoxaemiaFloorPct`. */
  readonly areaPctS: number;
  readonly areaLowPctS: number;
  readonly areaHighPctS: number;
}

/** All that is known of one SpO2 sensor of a case. */
export interface SiteAnalysis {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  readonly channelId: string;
  readonly segments: readonly IntervalSegment[];
  /** The interval that covers most time; null when irregular. */
  readonly intervalMs: number | null;
  /** null with a reason when the site was never monitored. */
  readonly monitored: Interval | null;
  readonly notMonitoredReason: string | null;
  /** Denominator: monitored span and, beyond it, a loss not restored; record gaps taken out unless parameters keep them. */
  readonly monitoredMs: number;
  readonly statusCounts: Readonly<Record<StatusName, number>>;
  /** Time standing under weak and disputed samples. */
  readonly doubtfulMs: number;
  readonly statusRuns: StatusRuns;
  readonly recordGapMs: number;
  readonly dropouts: readonly Dropout[];
  readonly totals: DropoutTotals;
  /** The same with doubtful samples counted as lost: always computed, always shown beside. */
  readonly dropoutsDoubtfulLost: readonly Dropout[];
  readonly totalsDoubtfulLost: DropoutTotals;
  readonly below: readonly BelowThreshold[];
  readonly hypoxaemia: Hypoxaemia;
  /** Both with doubtful samples counted as lost. */
  readonly belowDoubtfulLost: readonly BelowThreshold[];
  readonly hypoxaemiaDoubtfulLost: Hypoxaemia;
  readonly signal: SignalStrength;
  readonly restoration: Restoration;
  readonly restorationDoubtfulLost: Restoration;
}

/** Something that may precede a dropout, or a response to it. */
export interface Exposure {
  readonly exposureId: string;
  readonly kind: 'vasopressor bolus' | 'infusion change' | 'position' | 'bypass' | 'cross-clamp' | 'tourniquet' | 'sensor' | 'cuff moved' | 'warming';
  /** INN or dictionary term: what is written on the mark. */
  readonly label: string;
  readonly atc: string | null;
  readonly dose: number | null;
  readonly unit: string;
  readonly atMs: CaseMs;
  /** End of a state (or of the case for one never ended); null for a momentary exposure. */
  readonly endMs: CaseMs | null;
  /** Look-back; null for states, which reach as far as they last. */
  readonly windowMs: number | null;
  readonly manual: boolean;
  readonly flags: readonly string[];
  readonly sourceText: string;
  readonly dropoutsAfter: number;
}

export interface CaseBounds {
  readonly startMs: CaseMs;
  readonly endMs: CaseMs;
  readonly startFrom: 'anaesthesia start' | 'first row';
  readonly endFrom: 'anaesthesia end' | 'last row';
}

export interface CaseAnalysis {
  readonly caseId: string;
  readonly parameters: AnalysisParameters;
  readonly productVersion: string;
  /** sha-256 of every input, in source order. */
  readonly inputDigests: readonly string[];
  readonly bounds: CaseBounds;
  readonly sites: readonly SiteAnalysis[];
  /** Every pair of monitored sensors against each other. */
  readonly pairs: readonly SitePair[];
  readonly blind: readonly BlindInterval[];
  readonly blindTotals: DropoutTotals;
  /** The same with doubtful samples counted as lost: always computed, always shown beside. */
  readonly blindDoubtfulLost: readonly BlindInterval[];
  readonly blindTotalsDoubtfulLost: DropoutTotals;
  readonly recordGaps: readonly RecordGap[];
  /** False where the export holds no channel but those of the oximeter: record gaps cannot be told. */
  readonly recordGapsCanBeTold: boolean;
  readonly exposures: readonly Exposure[];
  readonly findings: readonly Finding[];
}
