import type { FileReport } from '../model/import-report.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { Mapping } from '../model/mapping.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { JsonField } from './json-field.ts';
import { jsonText } from './json-field.ts';

/** What a run depends on besides its input. */
export interface RunSettings {
  readonly productVersion: string;
  readonly parameters: AnalysisParameters;
  /** As stated by the user; null when nobody did. */
  readonly zone: string | null;
  readonly mapping: Mapping | null;
  readonly keepIdentifiers: boolean;
  /** Where the key of the codes for persons came from; the key itself stands nowhere. */
  readonly pseudonyms: 'key from a file' | 'key from the input' | 'key of the library';
  /** Whether every instant is left out but as seconds from the start of its case. */
  readonly relativeTime: boolean;
  /** Names of the files that the run writes: a later run into the same folder takes away those that it does not write itself. */
  readonly written: readonly string[];
  /** Files with reviews, by their senders; left out where none were given. */
  readonly reviews?: readonly ReviewsGiven[] | undefined;
  /** What was said in the library that the cases come from; left out where that was not asked for, or they come from none. */
  readonly libraryReviews?: LibraryReviews | undefined;
  /** How a cohort was worked out; left out in runs without one. */
  readonly cohort?: CohortOptions | undefined;
}

/** A file with reviews that a run was given. */
export interface ReviewsGiven {
  /** Name without its folder. */
  readonly file: string;
  readonly sha256: string;
  /** Fingerprint of the key that signed it. */
  readonly signed_by: string;
  readonly entries: number;
}

/** What readers said in a library, as a bundle took it. */
export interface LibraryReviews {
  /** Entries of the trail about the cases of the bundle. */
  readonly entries: number;
  /** Hash of the last of them in the order of the trail; '' where there is none. */
  readonly last: string;
}

/** Returns parameters.json: everything that, with the same input, gives the same output again. */
export function parametersText(settings: RunSettings, files: readonly FileReport[]): string {
  return jsonText({
    product: 'lacuna',
    product_version: settings.productVersion,
    parameters: settings.parameters,
    zone: settings.zone,
    mapping: settings.mapping,
    keep_identifiers: settings.keepIdentifiers,
    pseudonyms: settings.pseudonyms,
    relative_time: settings.relativeTime,
    inputs: inputsOf(files),
    ...(settings.reviews === undefined ? {} : { reviews: settings.reviews }),
    ...(settings.libraryReviews === undefined ? {} : { library_reviews: settings.libraryReviews }),
    ...(settings.cohort === undefined ? {} : { cohort: settings.cohort }),
    written: settings.written,
  });
}

/** Returns each file on the disk once, however many parts it had. */
function inputsOf(files: readonly FileReport[]): Input[] {
  const inputs = new Map<string, Input>();
  for (const report of files) {
    const { file, sha256, byte_length } = report.container ?? report;
    const before = inputs.get(file)?.value_making ?? [];
    const making = report.value_making === undefined ? [] : [{ value_making: report.value_making, device_hold_s: report.device_hold_s ?? null }];
    const isKnown = (one: Input['value_making'][number]): boolean => before.some((own) => own.value_making === one.value_making && own.device_hold_s === one.device_hold_s);
    inputs.set(file, { file, sha256, byte_length, value_making: [...before, ...making.filter((one) => !isKnown(one))] });
  }
  return [...inputs.values()];
}

interface Input {
  readonly file: string;
  readonly sha256: string;
  readonly byte_length: number;
  /** What is stated of the values in it, each different statement once. */
  readonly value_making: readonly { readonly value_making: string; readonly device_hold_s: number | null }[];
}

type Described = Readonly<Record<keyof AnalysisParameters, readonly [meaning: string, unit: string, how: string]>>;

const PARAMETER_MEANINGS: Described = {
  name: ['name of the set', '', 'chosen by the user'],
  minDurationS: ['a dropout is kept from this mid estimate on', 's', 'inclusive'],
  bridgeS: ['losses parted by information shorter than this, or by a single sample, are one dropout', 's', 'exclusive; the information between is taken off the time lost'],
  heldS: ['a display unchanged for longer than this may be repeating an old value', 's', 'SpO2, pulse rate and perfusion index all unchanged while the heart rate changed'],
  heldMinSamples: ['the fewest samples for that', '', 'inclusive'],
  heldMaxIntervalS: ['the longest recording interval for that', 's', 'inclusive'],
  deviceHoldS: ['how long the device showed its last value before it blanked', 's', 'added to the high estimate only'],
  weakPerfusionIndex: ['a sample beside a perfusion index below this is doubtful', '', 'perfusion index has no unit; common practice without source; not comparable between makes of oximeter'],
  disputedPerMin: ['pulse rate and heart rate disagree from this difference', '/min', 'together with disputedPct and disputedS'],
  disputedPct: ['and from this share of the heart rate', '%', 'together with disputedPerMin and disputedS'],
  disputedS: ['and for at least this long', 's', 'together with disputedPerMin and disputedPct'],
  spo2Plausible: ['plausible limits of SpO2', '%', 'inclusive; outside counts as lost'],
  perfusionPlausible: ['plausible limits of the perfusion index', '%', 'inclusive'],
  pulsePlausible: ['plausible limits of the pulse rate', '/min', 'inclusive'],
  afterLastGoodS: ['other channels must go on longer than this after the last good sample for a dropout that was not restored', 's', ''],
  lookBackBolusS: ['look-back of a vasopressor bolus, by drug; `other` for the rest', 's', 'proposals, not established durations of effect'],
  lookBackInfusionS: ['look-back of the start or rise of an infusion', 's', ''],
  infusionRisePct: ['a rise of the rate by at least this much is an exposure', '%', ''],
  lookBackPositionS: ['look-back of a change of position, by position; `other` for the rest', 's', ''],
  handTimeS: ['a link that hangs on less than this is at best possible where a time was typed by hand', 's', ''],
  keepRecordGaps: ['whether record gaps stay in numerator and denominator', '', ''],
  returnDropPoints: ['a dropout that returns at least this much lower is marked', '%', 'points of SpO2'],
  returnBelowPct: ['a dropout that returns below this is marked', '%', ''],
  pressureBeforeS: ['window before the onset in which mean and lowest arterial pressure are given', 's', ''],
  fadeWindowS: ['fading: the perfusion index fell within this time before the loss', 's', 'from the highest 10-s median since the sensor was last moved'],
  fadeFallPct: ['fading: by at least this much', '%', 'of the highest level; or it was below `weakPerfusionIndex` in the last part'],
  onsetLastS: ['the last part before a loss', 's', 'for fading and abrupt'],
  steadyWindowS: ['abrupt: the last part is compared with this time before the loss', 's', 'medians'],
  abruptKeepPct: ['abrupt: it stands at no less than this share', '%', 'of the median'],
  desirablePerfusionIndex: ['a signal is strong from this perfusion index on', '%', 'common practice without source; for abrupt and for the share of weak time; not comparable between makes of oximeter'],
  cuffMarginS: ['cuff: a measurement was recorded within this time of the loss', 's', 'on either side: stamps stand at the end of a measurement'],
  cuffMaxS: ['cuff: the loss lasted no longer', 's', 'mid estimate; common practice without source'],
  cuffMinDropouts: ['cuff: at least so many dropouts of the sensor are like that', '', 'this one included'],
  unsteadyWindowS: ['unsteady: short losses and doubtful runs are counted over this time before the loss', 's', ''],
  unsteadyMinRuns: ['unsteady: there are at least so many', '', ''],
  coldBelowC: ['cold: the core temperature at onset is below this', 'Cel', 'the last value, no older than 15 min'],
  hypoxaemiaFloorPct: ['the lost time is taken as no lower than this in the upper limit of an area', '%', ''],
  desaturationFallPoints: ['a desaturation is a fall by at least this much from the running baseline', '%', 'points of SpO2; from sleep medicine'],
  desaturationBaselineS: ['the baseline is the median of this time before', 's', 'at least half of it seen'],
  desaturationMinS: ['a desaturation lasts at least this long', 's', ''],
  desaturationReturnPoints: ['and ends within so much of the baseline', '%', 'points of SpO2'],
  fallPctPerS: ['greatest rate of fall by which a dropout is bounded', '%/s', 'a proposal: adult 0.5, child 1, preterm 8'],
  risePctPerS: ['greatest rate of rise by which a dropout is bounded', '%/s', 'a proposal'],
  keepBypass: ['whether time on bypass stays in the comparison of sites', '', ''],
  lagMaxS: ['the lag between two sensors is searched up to this', 's', 'either way'],
  lagSwingPoints: ['around falls and rises of at least so much', '%', 'points of SpO2; elsewhere a lag is noise'],
  stablePoints: ['values of two sensors are paired where both stay within so much', '%', 'points of SpO2'],
  stableS: ['for this long', 's', 'at most one pair a minute'],
};

/** The fields of parameters.json. */
export const PARAMETERS_FIELDS: readonly JsonField[] = [
  { name: 'product', meaning: 'the program', unit: '', how: '' },
  { name: 'product_version', meaning: 'its version', unit: '', how: '' },
  ...Object.entries(PARAMETER_MEANINGS).map(([name, [meaning, unit, how]]) => ({ name: `parameters.${name}`, meaning, unit, how })),
  { name: 'zone', meaning: 'time zone stated for the run', unit: '', how: 'null where nobody stated one; the zone of each case stands in cases.csv' },
  { name: 'mapping', meaning: 'the mapping file of the run, whole', unit: '', how: 'null where none was given; a name of a person in it is a code, unless identifiers are kept' },
  { name: 'keep_identifiers', meaning: 'whether identifiers of patients were kept', unit: '', how: 'as stated by the user' },
  { name: 'pseudonyms', meaning: 'where the key of the codes for persons and records came from', unit: '', how: '`key from a file` (--pseudonym-key) or `key from the input`: made of the content of the input, so that the same input gives the same codes; or `key of the library`, where the cases come from one; the key stands in no file' },
  { name: 'relative_time', meaning: 'whether every instant was left out but as seconds from the start of its case', unit: '', how: 'as stated by the user (--relative-time)' },
  { name: 'inputs[].file', meaning: 'input file', unit: '', how: 'path relative to the given input' },
  { name: 'inputs[].sha256', meaning: 'digest of the file', unit: '', how: 'SHA-256 over its bytes; empty where it could not be opened' },
  { name: 'inputs[].byte_length', meaning: 'size of the file', unit: 'By', how: 'from the disk' },
  { name: 'inputs[].value_making[].value_making', meaning: 'how the stored values in it were made', unit: '', how: 'as a mapping states it, or `not stated`; each different statement about its parts once; empty where it holds no values' },
  { name: 'inputs[].value_making[].device_hold_s', meaning: 'device hold of these values', unit: 's', how: 'as a mapping states it; null: the parameter `deviceHoldS` holds' },
  { name: 'reviews[].file', meaning: 'file with reviews', unit: '', how: 'as given with `--reviews`, without its folder; in runs without any this field is left out' },
  { name: 'reviews[].sha256', meaning: 'digest of the file', unit: '', how: 'SHA-256 over its bytes' },
  { name: 'reviews[].signed_by', meaning: 'key that signed it', unit: '', how: 'fingerprint; whose it is was not checked by the run' },
  { name: 'reviews[].entries', meaning: 'entries in it', unit: '', how: '' },
  { name: 'library_reviews.entries', meaning: 'entries of the trail of verdicts about these cases', unit: '', how: 'only in a bundle of a library that holds what readers said; else this field is left out' },
  { name: 'library_reviews.last', meaning: 'hash of the last of them', unit: '', how: 'SHA-256, as the trail of the library holds it; empty where there is none' },
  { name: 'written', meaning: 'names of the files that the run wrote', unit: '', how: 'a later run into the same folder takes away those of them that it does not write itself' },
];

/** The fields of parameters.json that a cohort adds. */
export const COHORT_FIELDS: readonly JsonField[] = [
  { name: 'cohort.dropouts', meaning: 'which dropouts were asked for', unit: '', how: '`computed`, `confirmed`, or `both`: computed, with the burden of the confirmed ones beside it' },
  { name: 'cohort.choice', meaning: 'which cases were looked at', unit: '', how: 'properties with the values that were taken (an empty text stands for “not stated”), first and last day, and whether undated cases were kept' },
  { name: 'cohort.groupBy', meaning: 'what cases were compared by', unit: '', how: 'null: by nothing' },
  { name: 'cohort.patientColumn', meaning: 'column of the case list that names the patient', unit: '', how: 'null: every case is a unit of its own' },
  { name: 'cohort.change', meaning: 'a change with its first day', unit: '', how: 'null: none was stated' },
  { name: 'cohort.meanLimitS', meaning: 'limit of the mean time to restored information', unit: 's', how: 'fixed before the results' },
  { name: 'cohort.windows', meaning: 'windows in which a loss counts as after an exposure', unit: 's', how: 'from, up to and without to; `preS` before an exposure is kept apart; `washOutS` joins losses in one of the variants' },
  { name: 'cohort.seed', meaning: 'seed of the draws', unit: '', how: 'MT19937' },
  { name: 'cohort.draws', meaning: 'how often units were drawn anew', unit: '', how: '' },
  { name: 'cohort.conf', meaning: 'confidence of the intervals', unit: '1', how: '' },
];
