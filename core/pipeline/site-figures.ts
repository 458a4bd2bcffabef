import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import { isFlaggedOut } from '../metrics/confirmed-figures.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { sameParameters } from '../model/same-parameters.ts';
import type { CaseSiteFigures } from '../model/site-cohort.ts';
import { decodeCase } from '../persist/case-bytes.ts';
import { analyzeCase } from './analyze-case.ts';
import { CASE_EXCLUDED, type ReviewOf } from './cohort-case.ts';

/**
 * Returns what a stored case gives to a comparison of sites over cases.
 * Shape   from the stored analysis where it was made with the same parameters, else from a new one.
 * Errors  those of `decodeCase`; `case-excluded` where a reader has flagged the case to be left out of figures.
 */
export function siteFigures(bytes: Uint8Array, caseKey: string, parameters: AnalysisParameters, productVersion: string, reviewOf: ReviewOf): Result<CaseSiteFigures> {
  const decoded = decodeCase(bytes);
  if (!decoded.ok) return decoded;
  const { record, analysis: stored } = decoded.value;
  const analysis = stored !== null && sameParameters(stored.parameters, parameters) ? stored : analyzeCase(record, parameters, productVersion);
  const review = reviewOf(record, analysis);
  if (review !== null && isFlaggedOut(review)) return fail(CASE_EXCLUDED);
  return ok({
    caseKey,
    caseId: record.caseId,
    pairs: analysis.pairs,
    sensors: analysis.sites.map(({ siteKey, monitoredMs, signal: { perfusion, shortLosses, doubtfulRuns } }) => ({
      siteKey,
      monitoredMs,
      shortLosses,
      doubtfulRuns,
      perfusion: perfusion === null ? null : { median: perfusion.median, belowWeakShare: perfusion.belowWeakShare, belowDesirableShare: perfusion.belowDesirableShare },
    })),
  });
}
