import type { Result } from '../base/result.ts';
import { ok } from '../base/result.ts';
import { confirmedFigures } from '../metrics/confirmed-figures.ts';
import type { ConfirmedFigures } from '../model/confirmed.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { sameParameters } from '../model/same-parameters.ts';
import { decodeCase } from '../persist/case-bytes.ts';
import { analyzeCase } from './analyze-case.ts';
import type { ReviewOf } from './cohort-case.ts';

/**
 * Returns what reviewers made of the dropouts of a stored case; null where `reviewOf` finds nothing that was said of any.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one, at whose dropouts verdicts are anchored anew.
 * Errors  those of `decodeCase`.
 */
export function storedConfirmedFigures(bytes: Uint8Array, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf): Result<ConfirmedFigures | null> {
  const decoded = decodeCase(bytes);
  if (!decoded.ok) return decoded;
  const { record, analysis: stored } = decoded.value;
  const analysis = stored !== null && sameParameters(stored.parameters, parameters) ? stored : analyzeCase(record, parameters, productVersion);
  const review = reviewOf(record, analysis);
  if (review === null || (review.without.length === 0 && review.dropouts.every(({ outcome }) => outcome === 'not reviewed'))) return ok(null);
  return ok(confirmedFigures(record, analysis, review));
}
