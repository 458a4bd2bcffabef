import type { Result } from '../base/result.ts';
import { ok } from '../base/result.ts';
import { qualityCaseOf } from '../cohort/quality-case-of.ts';
import { identifierOfHeading } from '../identity/identifier-heading.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { QualityCase } from '../model/quality-case.ts';
import { plainHeading } from '../readers/heading-words.ts';
import { storedCohortCase, type ReviewOf } from './cohort-case.ts';

/**
 * Returns what a stored case gives to quality charts and funnels under given parameters.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one.
 * Errors  those of `decodeCase`.
 */
export function storedQualityCase(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf): Result<QualityCase> {
  const read = storedCohortCase(bytes, caseKey, parameters, productVersion, reviewOf);
  return read.ok ? ok(qualityCaseOf(read.value)) : read;
}

/** Returns whether the heading of a column says that it holds persons: such a column was kept by a person, and nothing is compared by it. */
export function isPersonColumn(column: string): boolean {
  const kind = identifierOfHeading(plainHeading(column));
  return kind !== null && kind !== 'age';
}
