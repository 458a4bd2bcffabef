/** Every number the analysis depends on. Written beside every result. Seconds unless the name says otherwise. */
export interface AnalysisParameters {
  readonly name: string;
  /** A dropout is kept when its mid estimate is at least this long. */
  readonly minDurationS: number;
  /** Two losses parted by information shorter than this are one dropout. */
  readonly bridgeS: number;
  /** Unchanged for longer than this counts as a held display. */
  readonly heldS: number;
  readonly heldMinSamples: number;
  readonly heldMaxIntervalS: number;
  /** How long the device shows its last value before it blanks; widens `lost_high` only. */
  readonly deviceHoldS: number;
  readonly weakPerfusionIndex: number;
  readonly disputedPerMin: number;
  readonly disputedPct: number;
  readonly disputedS: number;
  readonly spo2Plausible: readonly [number, number];
  readonly perfusionPlausible: readonly [number, number];
  readonly pulsePlausible: readonly [number, number];
  /** Other channels must go on this long after the last good sample for an unrestored dropout. */
  readonly afterLastGoodS: number;
  /** Look-back per vasopressor (INN), `other` for the rest. */
  readonly lookBackBolusS: Readonly<Record<string, number>>;
  readonly lookBackInfusionS: number;
  /** A rise of the rate by at least this many per cent is an exposure. */
  readonly infusionRisePct: number;
  /** Look-back per position term, `other` for the rest. */
  readonly lookBackPositionS: Readonly<Record<string, number>>;
  /** A link that hangs on less than this is at best possible where a time was typed by hand. */
  readonly handTimeS: number;
  /** Whether record gaps stay in numerator and denominator (default: taken out). */
  readonly keepRecordGaps: boolean;
  /** A dropout that returns this many points lower, or below `returnBelowPct`, is marked. */
  readonly returnDropPoints: number;
  readonly returnBelowPct: number;
  /** Window before onset in which mean and lowest arterial pressure are given. */
  readonly pressureBeforeS: number;
  /** Fading: the perfusion index fell by at least `fadeFallPct` within this time before the loss. */
  readonly fadeWindowS: number;
  readonly fadeFallPct: number;
  /** The last part before a loss, by which fading and abrupt are judged. */
  readonly onsetLastS: number;
  /** Abrupt: the last part stands at `abruptKeepPct` or more of the median of this time before the loss. */
  readonly steadyWindowS: number;
  readonly abruptKeepPct: number;
  /** A perfusion index from which on a signal is strong. */
  readonly desirablePerfusionIndex: number;
  /** Cuff: a measurement within this time of the loss, which lasted no longer than `cuffMaxS`. */
  readonly cuffMarginS: number;
  readonly cuffMaxS: number;
  /** How many such dropouts a sensor must have before one counts. */
  readonly cuffMinDropouts: number;
  /** Unsteady: at least `unsteadyMinRuns` short losses and doubtful runs within this time before the loss. */
  readonly unsteadyWindowS: number;
  readonly unsteadyMinRuns: number;
  /** Cold: core temperature below this at onset, °C. */
  readonly coldBelowC: number;
  /** The lost time is taken as no lower than this in the upper limit of an area, %. */
  readonly hypoxaemiaFloorPct: number;
  /** Desaturation: a fall by at least this many points from the median of `desaturationBaselineS` before … */
  readonly desaturationFallPoints: number;
  readonly desaturationBaselineS: number;
  /** … for at least this long, up to the return within `desaturationReturnPoints` of it. */
  readonly desaturationMinS: number;
  readonly desaturationReturnPoints: number;
  /** Greatest rates of SpO2, per cent per second, by which a dropout is bounded. */
  readonly fallPctPerS: number;
  readonly risePctPerS: number;
  /** Whether time on bypass stays in the comparison of sites (default: left out). */
  readonly keepBypass: boolean;
  /** The lag between two sensors is searched up to this long, around swings of at least `lagSwingPoints`. */
  readonly lagMaxS: number;
  readonly lagSwingPoints: number;
  /** A stretch is stable where both sensors stay within so many points for this long. */
  readonly stablePoints: number;
  readonly stableS: number;
}

/**
 * The defaults of analysis-spec sections 3 to 9.
 * Source: analysis-spec; look-backs per drug: handbook section 5 (proposals).
 */
export const DEFAULT_PARAMETERS: AnalysisParameters = {
  name: 'default',
  minDurationS: 30,
  bridgeS: 10,
  heldS: 30,
  heldMinSamples: 10,
  heldMaxIntervalS: 5,
  deviceHoldS: 0,
  weakPerfusionIndex: 0.3,
  disputedPerMin: 10,
  disputedPct: 10,
  disputedS: 10,
  spo2Plausible: [1, 100],
  perfusionPlausible: [0.01, 40],
  pulsePlausible: [15, 300],
  afterLastGoodS: 300,
  lookBackBolusS: {
    norepinephrine: 300,
    phenylephrine: 600,
    epinephrine: 600,
    ephedrine: 900,
    metaraminol: 1200,
    vasopressin: 1200,
    other: 600,
  },
  lookBackInfusionS: 900,
  infusionRisePct: 25,
  lookBackPositionS: { other: 900 },
  handTimeS: 120,
  keepRecordGaps: false,
  returnDropPoints: 4,
  returnBelowPct: 90,
  pressureBeforeS: 600,
  fadeWindowS: 180,
  fadeFallPct: 50,
  onsetLastS: 30,
  steadyWindowS: 300,
  abruptKeepPct: 80,
  desirablePerfusionIndex: 1,
  cuffMarginS: 60,
  cuffMaxS: 90,
  cuffMinDropouts: 2,
  unsteadyWindowS: 120,
  unsteadyMinRuns: 3,
  coldBelowC: 36,
  hypoxaemiaFloorPct: 60,
  desaturationFallPoints: 4,
  desaturationBaselineS: 120,
  desaturationMinS: 10,
  desaturationReturnPoints: 2,
  fallPctPerS: 0.5,
  risePctPerS: 2,
  keepBypass: false,
  lagMaxS: 120,
  lagSwingPoints: 4,
  stablePoints: 2,
  stableS: 30,
};

/** A published or customary minimum duration, offered as a preset. */
export interface DurationPreset {
  readonly label: string;
  readonly seconds: number;
  /** 'continuous': one gap; 'cumulative': all gaps of a case together. */
  readonly rule: 'continuous' | 'cumulative';
  readonly source: string;
}

/** Source: handbook 1.1 and `fail-preset-thresholds`. */
export const DURATION_PRESETS: readonly DurationPreset[] = [
  { label: '10 s', seconds: 10, rule: 'continuous', source: 'Oh 2024, J Anesth 38:364 (more than 10 s, continuous)' },
  { label: '30 s', seconds: 30, rule: 'continuous', source: 'default of this program' },
  { label: '60 s', seconds: 60, rule: 'continuous', source: 'customary' },
  { label: '2 min', seconds: 120, rule: 'continuous', source: 'customary' },
  { label: '3 min', seconds: 180, rule: 'continuous', source: 'Anesth Analg 2003;96:11 (more than 3 min, continuous)' },
  { label: '10 min', seconds: 600, rule: 'continuous', source: 'Reich 1996, Anesthesiology 84:859 (10 min or more, continuous)' },
  { label: '30 min per case', seconds: 1800, rule: 'cumulative', source: 'Freund 1991, J Clin Monit 7:253 (more than 30 min in one anaesthetic)' },
];

/** Greatest rates of fall that bound a dropout, by patient. Source: handbook 7.1 (proposals above what was observed or derived). */
export const FALL_RATE_PRESETS: readonly { readonly label: string; readonly pctPerS: number; readonly source: string }[] = [
  { label: 'adult', pctPerS: 0.5, source: 'proposal; derived from the oxygen store 0.41 %/s, breath-hold 0.15 %/s (Stewart 2005)' },
  { label: 'child', pctPerS: 1, source: 'proposal; derived for a child of 10 kg 0.83 %/s' },
  { label: 'preterm', pctPerS: 8, source: 'proposal; observed and modelled 3 to 8 %/s (Sands 2009)' },
];
