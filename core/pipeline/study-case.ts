import type { Result } from '../base/result.ts';
import { ok } from '../base/result.ts';
import { studyCaseOf } from '../cohort/study-units.ts';
import type { StudyCase } from '../model/next-study.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { storedCohortCase, type ReviewOf } from './cohort-case.ts';

/**
 * Returns what a stored case gives to the planning of a study.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one.
 * Errors  those of `decodeCase`.
 */
export function storedStudyCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf): Result<StudyCase> {
  const read = storedCohortCase(bytes, caseKey, parameters, productVersion, reviewOf);
  return read.ok ? ok(studyCaseOf(read.value, parameters)) : read;
}
