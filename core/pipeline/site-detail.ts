import type { Result } from '../base/result.ts';
import { ok } from '../base/result.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { SiteDetail } from '../model/site-detail.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import { siteTracks } from '../quality/site-track.ts';
import { caseBounds } from '../episodes/case-bounds.ts';
import type { LossContext } from '../episodes/dropouts.ts';
import { findLosses } from '../episodes/dropouts.ts';
import { findRecordGaps } from '../episodes/record-gaps.ts';
import { findExposures } from '../linkage/exposures.ts';
import { decodeCase } from '../persist/case-bytes.ts';
import { pairDetails } from '../sites/pair-detail.ts';
import { sensorCoverage } from '../sites/sensor-coverage.ts';
import { headDownSpans, pairContext } from './pair-context.ts';

/**
 * Returns the sensors of a case over time, and every two of them against each other, under the given parameters.
 * Shape   plain data without a single NaN; sensors in the order of the SpO2 channels, pairs as in `CaseAnalysis.pairs`, which
 *         holds the figures that these spans, swings and pairs add up to.
 * Units   ms since the case origin, per cent.
 * Missing a case without SpO2 has neither; one sensor has no pairs.
 * Source  analysis-spec 9; docs/metrics/site-pairs.md, site-lag.md.
 */
export function siteDetail(record: CaseRecord, parameters: AnalysisParameters): SiteDetail {
  const { bounds } = caseBounds(record);
  const channels = channelIntervals(record.channels);
  const sites = siteTracks(channels, parameters);
  const { gaps } = findRecordGaps(channels, bounds.startMs, bounds.endMs);
  const losses: LossContext = { bounds, sites, channels, events: record.events, gaps, parameters };
  const compared = sites.map((site) => ({ site, losses: findLosses(site, 'any', losses) }));
  const headDown = headDownSpans(record, bounds.endMs);
  const context = pairContext(headDown, findExposures(record, bounds, parameters).exposures, gaps, parameters);
  const span = { startMs: bounds.startMs, endMs: bounds.endMs };
  return {
    bounds: span,
    sensors: compared.map((sensor) => sensorCoverage(sensor, span, context)),
    pairs: pairDetails(compared, span, context),
    bypass: context.bypass,
    headDown: headDown.map(({ startMs, endMs }) => ({ startMs, endMs })),
  };
}

/**
 * Returns the same for a stored case.
 * Errors  those of `decodeCase`.
 */
export function storedSiteDetail(bytes: Uint8Array, parameters: AnalysisParameters): Result<SiteDetail> {
  const decoded = decodeCase(bytes);
  return decoded.ok ? ok(siteDetail(decoded.value.record, parameters)) : decoded;
}
