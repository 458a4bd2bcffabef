import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { selectLosses } from '../cohort/select-losses.ts';
import { studyCaseOf } from '../cohort/study-units.ts';
import type { StudyCase } from '../model/next-study.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { CASE_EXCLUDED, storedCohortCase, type ReviewOf } from './cohort-case.ts';

/**
 * Returns what a stored case gives to the planning of a study.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one; with its dropouts as computed, or those
 *         that readers confirmed.
 * Errors  those of `decodeCase`; `case-excluded` where a reader has flagged the case to be left out of figures.
 */
export function storedStudyCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf, selection: 'computed' | 'confirmed'): Result<StudyCase> {
  const read = storedCohortCase(bytes, caseKey, parameters, productVersion, reviewOf);
  if (read.ok && read.value.notUsable === 'flagged by a reader: exclude from figures') return fail(CASE_EXCLUDED);
  return read.ok ? ok(studyCaseOf(selectLosses(read.value, selection), parameters)) : read;
}
