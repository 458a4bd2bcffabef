import type { CaseAnalysis, SiteAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import { siteTracks } from '../quality/site-track.ts';
import { blindWithinMs, findBlind } from '../episodes/blind.ts';
import { caseBounds } from '../episodes/case-bounds.ts';
import type { LossContext } from '../episodes/dropouts.ts';
import { findRecordGaps } from '../episodes/record-gaps.ts';
import type { BareExposure } from '../model/prepared-case.ts';
import { findExposures } from '../linkage/exposures.ts';
import { cuffInstants } from '../linkage/onset/cuff-cycle.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import { falseLowSpans } from '../metrics/false-low.ts';
import { sitePairs } from '../sites/site-pairs.ts';
import { headDownSpans, pairContext } from './pair-context.ts';
import { foreheadFindings } from './forehead-findings.ts';
import { analysisFindings } from './analysis-findings.ts';
import { analyzeSite } from './analyze-site.ts';

/**
 * Returns everything the program states about a case under the given parameters.
 * Shape   plain data without a single NaN; the record is not modified. Same record and parameters, same result. Sites
 *         stand in the order of the SpO2 channels.
 * Units   ms since the case origin; see `CaseAnalysis`.
 * Missing a case without SpO2 has no sites and a finding; nothing makes it fail.
 * Errors  none expected: throws only on a broken promise of the reader (our bug).
 * Source  analysis-spec 2 to 9; docs/methods/ and docs/metrics/.
 */
export function analyzeCase(record: CaseRecord, parameters: AnalysisParameters, productVersion: string): CaseAnalysis {
  const { bounds, findings: boundsFindings } = caseBounds(record);
  const channels = channelIntervals(record.channels);
  const sites = siteTracks(channels, parameters);
  const { gaps, canBeTold } = findRecordGaps(channels, bounds.startMs, bounds.endMs);
  const { exposures, findings: exposureFindings } = findExposures(record, bounds, parameters);
  const context: LossContext = { bounds, sites, channels, events: record.events, gaps, parameters };

  const headDown = headDownSpans(record, bounds.endMs);
  const about = { record, exposures, cuffInstants: cuffInstants(record.channels), falseLow: falseLowSpans(record, headDown, parameters.handTimeS * 1000) };
  const finished = sites.map((site) => analyzeSite(site, context, about));
  const blind = findBlind(finished.map(({ site, losses }) => ({ site, losses })), gaps, parameters);
  const blindDoubtfulLost = findBlind(finished.map(({ site, doubtfulLost }) => ({ site, losses: doubtfulLost })), gaps, parameters);
  const analyses = finished.map((f) => f.analysis);
  const comparison = pairContext(headDown, exposures, gaps, parameters);
  return {
    caseId: record.caseId,
    parameters,
    productVersion,
    inputDigests: record.sources.map((source) => source.sha256),
    bounds,
    sites: analyses,
    pairs: sitePairs(finished, comparison),
    blind,
    blindTotals: dropoutTotals(blind.map((b) => b.lostMs), blindWithinMs(analyses, gaps, parameters.keepRecordGaps, 'dropouts')),
    blindDoubtfulLost,
    blindTotalsDoubtfulLost: dropoutTotals(blindDoubtfulLost.map((b) => b.lostMs), blindWithinMs(analyses, gaps, parameters.keepRecordGaps, 'dropoutsDoubtfulLost')),
    recordGaps: gaps,
    recordGapsCanBeTold: canBeTold,
    exposures: exposures.map((exposure) => ({ ...exposure, dropoutsAfter: countAfter(exposure, analyses) })),
    findings: [...boundsFindings, ...exposureFindings, ...analysisFindings(channels, sites, analyses, canBeTold, parameters), ...foreheadFindings(analyses, comparison.headDown)],
  };
}

function countAfter(exposure: BareExposure, sites: readonly SiteAnalysis[]): number {
  let count = 0;
  for (const site of sites) for (const dropout of site.dropouts) if (dropout.links.some((l) => l.exposureId === exposure.exposureId)) count++;
  return count;
}
