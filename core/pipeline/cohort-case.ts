import type { Failure, Result } from '../base/result.ts';
import { ok } from '../base/result.ts';
import { cohortCaseOf } from '../cohort/cohort-case-of.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { CaseReview } from '../model/review.ts';
import { sameParameters } from '../model/same-parameters.ts';
import { decodeCase } from '../persist/case-bytes.ts';
import { analyzeCase } from './analyze-case.ts';

/** Returns what is in force about a case with its analysis of today; null where nothing is known of any review. */
export type ReviewOf = (record: CaseRecord, analysis: CaseAnalysis) => CaseReview | null;

/** Why a case takes no part where only cases that can be counted are handed on. */
export const CASE_EXCLUDED: Failure = { code: 'case-excluded', message: 'A reader has flagged it: exclude from figures.', remedy: 'Take the flag away in the review of the case where it is to be counted.' };

/**
 * Returns what a stored case gives to a cohort.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one.
 * Errors  those of `decodeCase`.
 */
export function storedCohortCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf): Result<CohortCase> {
  const decoded = decodeCase(bytes);
  if (!decoded.ok) return decoded;
  const { record, analysis: stored } = decoded.value;
  const analysis = stored !== null && sameParameters(stored.parameters, parameters) ? stored : analyzeCase(record, parameters, productVersion);
  return ok(cohortCaseOf(caseKey, record, analysis, reviewOf(record, analysis)));
}
