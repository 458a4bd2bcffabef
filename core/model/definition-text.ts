import type { AnalysisParameters } from './parameters.ts';
import { durationText } from '../base/duration-text.ts';

/**
 * Returns the definition in force as one phrase: "a dropout is a loss of at least 30 s (mid estimate);
 * losses parted by less than 10 s of information count as one …". No rate is shown without it.
 */
export function definitionText(parameters: AnalysisParameters): string {
  const parts = [
    `set “${parameters.name}”: a dropout is a loss of at least ${durationText(parameters.minDurationS * 1000)}, mid estimate`,
    parameters.bridgeS === 0
      ? 'losses parted by any information, except a single value, count apart'
      : `losses parted by less than ${durationText(parameters.bridgeS * 1000)} of information count as one`,
    parameters.keepRecordGaps ? 'record gaps kept in' : 'record gaps taken out',
  ];
  if (parameters.deviceHoldS > 0) parts.push(`device hold of ${durationText(parameters.deviceHoldS * 1000)} added to the high limit`);
  return parts.join('; ');
}

/** Returns the definition in its shortest form, for a line under a number: "≥ 30 s, bridging < 10 s, record gaps out". */
export function shortDefinitionText(parameters: AnalysisParameters): string {
  const parts = [
    `“${parameters.name}”: ≥ ${durationText(parameters.minDurationS * 1000)}`,
    parameters.bridgeS === 0 ? 'no bridging' : `bridging < ${durationText(parameters.bridgeS * 1000)}`,
    parameters.keepRecordGaps ? 'record gaps kept' : 'record gaps out',
    `device hold ${durationText(parameters.deviceHoldS * 1000)}`,
  ];
  return parts.join(', ');
}
