import { DEFAULT_PARAMETERS, type AnalysisParameters } from './parameters.ts';

/** A whole set of parameters that comes with the program. */
export interface ParameterPreset {
  readonly parameters: AnalysisParameters;
  /** What it is for, in a sentence. */
  readonly about: string;
  /** The publication whose definition it follows, or where else its figures are from. */
  readonly source: string;
}

function preset(name: string, over: Partial<AnalysisParameters>, about: string, source: string): ParameterPreset {
  return { parameters: { ...DEFAULT_PARAMETERS, ...over, name }, about, source };
}

/**
 * The sets that come with the program. Those after a publication take over its rule of duration only: statuses, bounds and
 * links are this program's, since no publication states them.
 * Source  handbook 1.1 (`fail-preset-thresholds`) for durations, 7.1 for greatest rates of fall.
 */
export const PARAMETER_PRESETS: readonly ParameterPreset[] = [
  { parameters: DEFAULT_PARAMETERS, about: 'The definitions that the program starts with.', source: 'specification of this program' },
  preset('loss over 10 s', { minDurationS: 10 }, 'Every loss of 10 s or more. Only for records with an interval of 5 s or less.', 'Oh 2024, J Anesth 38:364 (more than 10 s, continuous)'),
  preset('gap over 3 min', { minDurationS: 180 }, 'Losses of 3 min or more.', 'Anesth Analg 2003;96:11 (more than 3 min, continuous)'),
  preset('gap of 10 min', { minDurationS: 600 }, 'Losses of 10 min or more.', 'Reich 1996, Anesthesiology 84:859 (10 min or more, continuous)'),
  preset('child', { fallPctPerS: 1 }, 'As the default, with the greater rate of fall of a child behind “cannot be excluded”.', 'proposal; derived for a child of 10 kg 0.83 %/s'),
  preset('preterm infant', { fallPctPerS: 8 }, 'As the default, with the greatest rate of fall of a preterm infant.', 'proposal; observed and modelled 3 to 8 %/s (Sands 2009)'),
];

/** Name of a set that was changed and not saved. */
export const UNSAVED_SET_NAME = 'own';

/** Returns whether a name belongs to the program, so that no set of a person may carry it. */
export function isReservedSetName(name: string): boolean {
  return name === UNSAVED_SET_NAME || PARAMETER_PRESETS.some((one) => one.parameters.name === name);
}
