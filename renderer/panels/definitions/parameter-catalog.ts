import type { AnalysisParameters } from '../../../core/model/parameters.ts';

type NumberKey = { [Key in keyof AnalysisParameters]: AnalysisParameters[Key] extends number ? Key : never }[keyof AnalysisParameters];
type PairKey = 'spo2Plausible' | 'perfusionPlausible' | 'pulsePlausible';

interface EntryBase {
  readonly label: string;
  /** In plain words: what it does, and what changes when it is raised or lowered. */
  readonly explanation: string;
  readonly source: string;
}

export interface NumberEntry extends EntryBase {
  readonly kind: 'number';
  readonly key: NumberKey;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly wholeOnly: boolean;
  /** How much of the parameter one of `unit` is: 60 where seconds are shown as minutes. `min` and `max` are in `unit`. */
  readonly perUnit: number;
}

export interface PairEntry extends EntryBase {
  readonly kind: 'pair';
  readonly key: PairKey;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
}

export interface FlagEntry extends EntryBase {
  readonly kind: 'flag';
  readonly key: 'keepRecordGaps' | 'keepBypass';
  readonly choiceLabel: string;
}

export interface LookBackEntry extends EntryBase {
  readonly kind: 'look-back';
  readonly key: 'lookBackBolusS' | 'lookBackPositionS';
  /** What one more entry is called: "drug". */
  readonly noun: string;
  readonly otherLabel: string;
}

export type ParameterEntry = NumberEntry | PairEntry | FlagEntry | LookBackEntry;

export interface ParameterGroup {
  readonly title: string;
  readonly intro: string;
  readonly entries: readonly ParameterEntry[];
}

const SPEC = 'default of this program';
const PRACTICE = 'common practice without source';

/** Every parameter of the analysis, explained. A test holds it against `AnalysisParameters`: none may be missing. */
export const PARAMETER_GROUPS: readonly ParameterGroup[] = [
  {
    title: 'What counts as a dropout',
    intro: 'No number of dropouts means anything without these. Counts made with different settings, or from records with different intervals, do not compare.',
    entries: [
      {
        kind: 'number', key: 'minDurationS', label: 'Shortest loss that counts', unit: 's', min: 0, max: 7200, wholeOnly: false, perUnit: 1,
        explanation: 'A loss is a dropout when its mid estimate is at least this long. Raise it and short losses go; lower it and cuff inflations and movement come in. It cannot find what the recording interval hides.',
        source: `${SPEC}; published rules reach from 10 s to 10 min (presets)`,
      },
      {
        kind: 'number', key: 'bridgeS', label: 'Information too short to part two losses', unit: 's', min: 0, max: 600, wholeOnly: false, perUnit: 1,
        explanation: 'Two losses parted by information shorter than this, or by a single value, are one dropout. The information between them is taken off the time lost.',
        source: SPEC,
      },
      {
        kind: 'number', key: 'deviceHoldS', label: 'Device hold', unit: 's', min: 0, max: 120, wholeOnly: false, perUnit: 1,
        explanation: 'How long the oximeter may have gone on showing its last value before it blanked. It moves only the high limit of the time lost. Devices commonly blank after about 10 s, but the setting of yours is not in the record.',
        source: `${SPEC}; holds of about 10 s are described, longer ones are possible`,
      },
      {
        kind: 'number', key: 'afterLastGoodS', label: 'A loss at the end counts when the case went on for', unit: 'min', min: 0, max: 120, wholeOnly: false, perUnit: 60,
        explanation: 'When SpO2 never came back, it is a dropout that was not restored only if other channels went on for longer than this and no event says that the sensor was taken off.',
        source: SPEC,
      },
      {
        kind: 'flag', key: 'keepRecordGaps', label: 'Record gaps', choiceLabel: 'Keep record gaps in lost and monitored time',
        explanation: 'In a record gap every channel is missing: the recorder stopped, not the sensor. By default such time counts neither as lost nor as monitored.',
        source: SPEC,
      },
    ],
  },
  {
    title: 'When a value is lost or doubtful',
    intro: 'Lost values make dropouts. Doubtful values count as information in the first result and as lost in the second; both are always shown.',
    entries: [
      { kind: 'pair', key: 'spo2Plausible', label: 'Plausible SpO2', unit: '%', min: 0, max: 100, explanation: 'A value outside is lost. Raise the lower limit and true low values go first: look at both.', source: SPEC },
      { kind: 'pair', key: 'perfusionPlausible', label: 'Plausible perfusion index', unit: '%', min: 0, max: 100, explanation: 'An index outside is not used: it makes nothing weak and counts in no level. The SpO2 beside it is not lost.', source: SPEC },
      { kind: 'pair', key: 'pulsePlausible', label: 'Plausible pulse rate', unit: '/min', min: 0, max: 500, explanation: 'A pulse or heart rate outside is not used: it disputes nothing and shows no held display. The SpO2 beside it is not lost.', source: SPEC },
      {
        kind: 'number', key: 'heldS', label: 'A held display: unchanged for longer than', unit: 's', min: 1, max: 3600, wholeOnly: false, perUnit: 1,
        explanation: 'SpO2, pulse rate and perfusion index all unchanged for longer than this while the heart rate of the ECG moved: the display was repeating an old value, so the values are lost.',
        source: SPEC,
      },
      {
        kind: 'number', key: 'heldMinSamples', label: 'A held display: at least this many values', unit: 'values', min: 2, max: 1000, wholeOnly: true, perUnit: 1,
        explanation: 'Fewer equal values are no evidence.', source: SPEC,
      },
      {
        kind: 'number', key: 'heldMaxIntervalS', label: 'A held display: looked for up to an interval of', unit: 's', min: 1, max: 60, wholeOnly: false, perUnit: 1,
        explanation: 'At longer intervals equal values are ordinary, so the rule is not applied.', source: SPEC,
      },
      {
        kind: 'number', key: 'weakPerfusionIndex', label: 'Weak: perfusion index below', unit: '%', min: 0, max: 20, wholeOnly: false, perUnit: 1,
        explanation: 'Values that stand on less are doubtful. Perfusion index does not compare between makes of oximeter.', source: PRACTICE,
      },
      {
        kind: 'number', key: 'disputedPerMin', label: 'Disputed: pulse and heart rate differ by more than', unit: '/min', min: 1, max: 200, wholeOnly: false, perUnit: 1,
        explanation: 'Both this difference and the next must be passed, for at least the time given; then the values are doubtful.', source: SPEC,
      },
      { kind: 'number', key: 'disputedPct', label: 'Disputed: and by more than', unit: '%', min: 1, max: 200, wholeOnly: false, perUnit: 1, explanation: 'Taken of the heart rate.', source: SPEC },
      { kind: 'number', key: 'disputedS', label: 'Disputed: for at least', unit: 's', min: 0, max: 3600, wholeOnly: false, perUnit: 1, explanation: 'Shorter disagreement is ordinary.', source: SPEC },
    ],
  },
  {
    title: 'What is looked for before a dropout',
    intro: 'A link says that something stood within the look-back before the onset, no more. Association is not cause.',
    entries: [
      {
        kind: 'look-back', key: 'lookBackBolusS', label: 'Look-back after a vasopressor bolus', noun: 'drug', otherLabel: 'any other vasopressor',
        explanation: 'How long before the onset a bolus may have been given and still be named. By drug, since effects last differently long.',
        source: 'proposals after published durations of effect; sources disagree by a factor of three',
      },
      {
        kind: 'number', key: 'lookBackInfusionS', label: 'Look-back after an infusion was started or raised', unit: 'min', min: 0, max: 240, wholeOnly: false, perUnit: 60,
        explanation: 'The same for changes of an infusion.', source: SPEC,
      },
      {
        kind: 'number', key: 'infusionRisePct', label: 'A rise of an infusion counts from', unit: '%', min: 1, max: 1000, wholeOnly: false, perUnit: 1,
        explanation: 'Smaller steps are not taken as exposures; a start from zero always is.', source: `${SPEC} (a proposal)`,
      },
      {
        kind: 'look-back', key: 'lookBackPositionS', label: 'Look-back after a change of position', noun: 'position', otherLabel: 'any other change',
        explanation: 'The same for turning, tilting, tucking. States such as arms tucked are named as long as they last.', source: SPEC,
      },
      {
        kind: 'number', key: 'handTimeS', label: 'Times typed by hand are soft by', unit: 'min', min: 0, max: 60, wholeOnly: false, perUnit: 60,
        explanation: 'A link that hangs on less than this is called possible at best where either time was typed by hand.', source: `${SPEC}; charting delays of minutes are published`,
      },
      {
        kind: 'number', key: 'pressureBeforeS', label: 'Pressure is given for the time before an onset of', unit: 'min', min: 1, max: 120, wholeOnly: false, perUnit: 60,
        explanation: 'Mean and lowest arterial pressure of this window stand beside the links, since low pressure itself predicts loss.', source: SPEC,
      },
    ],
  },
  {
    title: 'What is marked when information returns',
    intro: 'A mark points a reviewer to a dropout; it says nothing about what happened unseen.',
    entries: [
      {
        kind: 'number', key: 'returnDropPoints', label: 'SpO2 came back lower by at least', unit: 'points', min: 1, max: 50, wholeOnly: false, perUnit: 1,
        explanation: 'Compared with the last good value before.', source: SPEC,
      },
      { kind: 'number', key: 'returnBelowPct', label: 'or came back below', unit: '%', min: 50, max: 100, wholeOnly: false, perUnit: 1, explanation: 'Whatever it was before.', source: SPEC },
    ],
  },
  {
    title: 'How a loss began',
    intro: 'Onset patterns are evidence for a reviewer, with the figures behind each, and not a verdict. Several may hold for one dropout.',
    entries: [
      {
        kind: 'number', key: 'fadeWindowS', label: 'Fading: the perfusion index fell within', unit: 'min', min: 0.5, max: 60, wholeOnly: false, perUnit: 60,
        explanation: 'Compared with the highest level of this time before the loss. A sensor that was moved starts anew.', source: SPEC,
      },
      {
        kind: 'number', key: 'fadeFallPct', label: 'Fading: by at least', unit: '%', min: 1, max: 100, wholeOnly: false, perUnit: 1,
        explanation: 'Or it was weak in the last part before the loss.', source: SPEC,
      },
      {
        kind: 'number', key: 'onsetLastS', label: 'The last part before a loss', unit: 's', min: 5, max: 300, wholeOnly: false, perUnit: 1,
        explanation: 'What the signal was like just before it went, for fading and abrupt.', source: SPEC,
      },
      {
        kind: 'number', key: 'steadyWindowS', label: 'Abrupt: the last part is compared with', unit: 'min', min: 0.5, max: 60, wholeOnly: false, perUnit: 60,
        explanation: 'The median of this time before the loss.', source: SPEC,
      },
      {
        kind: 'number', key: 'abruptKeepPct', label: 'Abrupt: and stands at no less than', unit: '%', min: 1, max: 100, wholeOnly: false, perUnit: 1,
        explanation: 'Raise it and only losses out of an even signal are called abrupt.', source: SPEC,
      },
      {
        kind: 'number', key: 'desirablePerfusionIndex', label: 'A signal is strong from a perfusion index of', unit: '%', min: 0, max: 40, wholeOnly: false, perUnit: 1,
        explanation: 'Needed for abrupt. Not comparable between makes of oximeter.', source: PRACTICE,
      },
      {
        kind: 'number', key: 'cuffMarginS', label: 'Cuff: a pressure was measured within', unit: 's', min: 0, max: 600, wholeOnly: false, perUnit: 1,
        explanation: 'Before or after the loss, since its time stamp often stands at the end of the measurement.', source: PRACTICE,
      },
      {
        kind: 'number', key: 'cuffMaxS', label: 'Cuff: the loss lasted at most', unit: 's', min: 1, max: 600, wholeOnly: false, perUnit: 1,
        explanation: 'A cuff occludes for 20 to 60 s a cycle, longer when it has to repeat.', source: PRACTICE,
      },
      {
        kind: 'number', key: 'cuffMinDropouts', label: 'Cuff: and the sensor has so many of them', unit: '', min: 1, max: 100, wholeOnly: true, perUnit: 1,
        explanation: 'One alone may be chance. Regular spacing at the cycle of the cuff is the stronger sign, and is said beside it.', source: SPEC,
      },
      {
        kind: 'number', key: 'unsteadyWindowS', label: 'Unsteady: counted over the time before the loss of', unit: 'min', min: 0.5, max: 60, wholeOnly: false, perUnit: 60,
        explanation: 'Short losses and runs of doubtful values.', source: SPEC,
      },
      {
        kind: 'number', key: 'unsteadyMinRuns', label: 'Unsteady: at least so many of them', unit: '', min: 1, max: 100, wholeOnly: true, perUnit: 1, explanation: 'Together.', source: SPEC,
      },
      {
        kind: 'number', key: 'coldBelowC', label: 'Cold: core temperature below', unit: '°C', min: 25, max: 45, wholeOnly: false, perUnit: 1,
        explanation: 'At the onset. A temperature of no stated place is not used.', source: SPEC,
      },
    ],
  },
  {
    title: 'Low SpO2, and what a loss may hide',
    intro: 'Time and area below 90, 85 and 80 % are given as observed and with what the lost time could add. What cannot be excluded inside a dropout is a bound, not what happened.',
    entries: [
      {
        kind: 'number', key: 'hypoxaemiaFloorPct', label: 'Upper limit of an area: lost time taken as no lower than', unit: '%', min: 0, max: 90, wholeOnly: false, perUnit: 1,
        explanation: 'Lower it and the upper limit grows. The limits of time do not depend on it.', source: SPEC,
      },
      {
        kind: 'number', key: 'desaturationFallPoints', label: 'A desaturation is a fall by at least', unit: 'points', min: 1, max: 50, wholeOnly: false, perUnit: 1,
        explanation: 'From the running baseline.', source: 'sleep medicine (3 or 4 points); from memory',
      },
      {
        kind: 'number', key: 'desaturationBaselineS', label: 'from the median of the time before, over', unit: 'min', min: 0.5, max: 30, wholeOnly: false, perUnit: 60,
        explanation: 'A long baseline remembers better values; a slow fall is followed by a short one and not seen.', source: 'sleep medicine (1 to 5 min); from memory',
      },
      { kind: 'number', key: 'desaturationMinS', label: 'lasting at least', unit: 's', min: 0, max: 600, wholeOnly: false, perUnit: 1, explanation: 'Shorter falls are left out.', source: 'sleep medicine; from memory' },
      {
        kind: 'number', key: 'desaturationReturnPoints', label: 'and over when it is back within', unit: 'points', min: 0, max: 20, wholeOnly: false, perUnit: 1,
        explanation: 'Of the baseline before the fall.', source: 'sleep medicine (1 to 2 points); from memory',
      },
      {
        kind: 'number', key: 'fallPctPerS', label: 'Greatest rate of fall', unit: '%/s', min: 0.01, max: 20, wholeOnly: false, perUnit: 1,
        explanation: 'How fast SpO2 can have fallen unseen. Proposed: 0.5 for adults, 1 for children, 8 for preterm infants.', source: 'proposal above published and derived rates',
      },
      {
        kind: 'number', key: 'risePctPerS', label: 'Greatest rate of rise', unit: '%/s', min: 0.01, max: 20, wholeOnly: false, perUnit: 1,
        explanation: 'How fast it can have come back.', source: 'proposal',
      },
    ],
  },
  {
    title: 'Two sites against each other',
    intro: 'Only sensors worn at the same time, or assigned at random, answer which is better. Every other comparison describes use.',
    entries: [
      {
        kind: 'flag', key: 'keepBypass', label: 'Bypass', choiceLabel: 'Keep time on bypass in the comparison of sites',
        explanation: 'Without a pulse every site fails, which says nothing of the sites. Left out unless this is chosen.', source: SPEC,
      },
      {
        kind: 'number', key: 'lagMaxS', label: 'A lag is searched up to', unit: 's', min: 1, max: 600, wholeOnly: false, perUnit: 1,
        explanation: 'Either way. A best lag at the edge of the search is not given.', source: SPEC,
      },
      {
        kind: 'number', key: 'lagSwingPoints', label: 'around falls and rises of at least', unit: 'points', min: 1, max: 50, wholeOnly: false, perUnit: 1,
        explanation: 'Where SpO2 hardly moves, a lag is noise.', source: 'statistics plan of this program (4 points)',
      },
      {
        kind: 'number', key: 'stablePoints', label: 'Values are paired where both sites stay within', unit: 'points', min: 0, max: 20, wholeOnly: false, perUnit: 1,
        explanation: 'So that a lag does not pass for a difference.', source: 'statistics plan of this program',
      },
      {
        kind: 'number', key: 'stableS', label: 'for', unit: 's', min: 1, max: 600, wholeOnly: false, perUnit: 1,
        explanation: 'And at most one pair a minute: consecutive seconds tell nothing new.', source: 'statistics plan of this program',
      },
    ],
  },
];

/** Returns the keys that the catalogue explains. */
export function explainedKeys(): string[] {
  return PARAMETER_GROUPS.flatMap((group) => group.entries.map((entry) => entry.key));
}
