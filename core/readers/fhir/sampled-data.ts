import { MARK } from '../../model/channel.ts';
import { DAY_MS } from '../../time/civil.ts';
import { DECIMAL, nodeAt, numberAt, textAt, type FhirNode } from './element.ts';

export interface Samples {
  readonly periodMs: number;
  readonly value: readonly number[];
  readonly mark: readonly number[];
  /** Samples said to lie below or above what can be measured: no value. */
  readonly nBeyond: number;
}

/**
 * Returns the samples of a SampledData, or why they cannot be read.
 * Units   value = origin + factor × sample, in the origin's unit; `period` is in ms.
 * Missing `E` (no value), `L` and `U` (beyond the limits) are NaN.
 * Source  HL7 FHIR R4, SampledData; handbook 8.5 (E and U from memory there). `interval` with its unit is R5's, from memory.
 */
export function readSampledData(data: FhirNode): Samples | string {
  const origin = numberAt(nodeAt(data, 'origin'), 'value');
  const periodMs = numberAt(data, 'period');
  const dimensions = numberAt(data, 'dimensions');
  const factor = Number.isNaN(numberAt(data, 'factor')) ? 1 : numberAt(data, 'factor');
  if (Number.isNaN(origin)) return 'sampled data without an origin';
  if (!(periodMs > 0 && periodMs <= DAY_MS)) return 'sampled data without a period that can be used';
  if (dimensions !== 1) return Number.isNaN(dimensions) ? 'sampled data that do not say of how many dimensions they are' : 'sampled data of several dimensions';
  const text = textAt(data, 'data');
  if (text === '') return 'sampled data without samples';
  const value: number[] = [];
  const mark: number[] = [];
  let nBeyond = 0;
  for (const word of text.split(/\s+/)) {
    if (word === 'E' || word === 'L' || word === 'U') {
      if (word !== 'E') nBeyond += 1;
      value.push(NaN);
      mark.push(MARK.sentinel);
      continue;
    }
    // Noise of the multiplication in doubles is taken off (0.1 × 973 is 97.3).
    const sample = DECIMAL.test(word) ? Math.round((origin + factor * Number(word)) * 1e8) / 1e8 : NaN;
    if (!Number.isFinite(sample)) return 'sampled data with a sample that is no number';
    value.push(sample);
    mark.push(MARK.none);
  }
  return { periodMs, value, mark, nBeyond };
}
