import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';

/** Returns the default parameters with some of them changed. */
export function parametersWith(changes: Partial<AnalysisParameters>): AnalysisParameters {
  return { ...DEFAULT_PARAMETERS, name: 'changed', ...changes };
}
