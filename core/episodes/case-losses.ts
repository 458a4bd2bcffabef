import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { siteTracks } from '../quality/site-track.ts';
import { caseBounds } from './case-bounds.ts';
import type { LossContext, SiteLosses } from './dropouts.ts';
import { findLosses } from './dropouts.ts';
import { findRecordGaps } from './record-gaps.ts';

/** The losses of one sensor: with doubtful samples as information, and as lost. */
export interface LossesOfSite {
  readonly site: SiteTrack;
  readonly any: SiteLosses;
  readonly good: SiteLosses;
}

/** Returns every loss of a case, sensor by sensor in the order of the SpO2 channels, and what they were looked for in. */
export function caseLosses(record: CaseRecord, parameters: AnalysisParameters): { readonly context: LossContext; readonly sites: readonly LossesOfSite[] } {
  const { bounds } = caseBounds(record);
  const channels = channelIntervals(record.channels);
  const sites = siteTracks(channels, parameters);
  const { gaps } = findRecordGaps(channels, bounds.startMs, bounds.endMs);
  const context: LossContext = { bounds, sites, channels, events: record.events, gaps, parameters };
  return { context, sites: sites.map((site) => ({ site, any: findLosses(site, 'any', context), good: findLosses(site, 'good', context) })) };
}
