import { blindRuns } from '../episodes/blind.ts';
import { caseLosses } from '../episodes/case-losses.ts';
import type { LossContext, SiteLosses } from '../episodes/dropouts.ts';
import { intervalAround } from '../episodes/dropouts.ts';
import { isWhollyInGaps } from '../episodes/lost-time.ts';
import { judgedMs, meantSpan } from '../episodes/meant-span.ts';
import { findExposures } from '../linkage/exposures.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { PreparedCase, PreparedLosses, PreparedSite } from '../model/prepared-case.ts';
import type { SiteTrack } from '../quality/site-track.ts';

/**
 * Returns what of a case does not depend on how a dropout is defined, worked out once.
 * Shape   plain data; sites in the order of the SpO2 channels. Statuses, record gaps, device hold and hand times are those
 *         of `parameters`.
 */
export function prepareRobustness(record: CaseRecord, parameters: AnalysisParameters): PreparedCase {
  const { context, sites: losses } = caseLosses(record, parameters);
  const { gaps, bounds } = context;
  const deviceHoldMs = parameters.deviceHoldS * 1000;
  return {
    sites: losses.map(({ site, any, good }) => prepareSite(site, any, good, context)),
    blind: {
      any: blindRuns(losses.map(({ site, any }) => ({ site, losses: any })), gaps, deviceHoldMs),
      good: blindRuns(losses.map(({ site, good }) => ({ site, losses: good })), gaps, deviceHoldMs),
    },
    gaps,
    exposures: findExposures(record, bounds, parameters).exposures,
    caseEndMs: bounds.endMs,
    deviceHoldMs,
    handTimeMs: parameters.handTimeS * 1000,
    keepRecordGaps: parameters.keepRecordGaps,
  };
}

function prepareSite(site: SiteTrack, any: SiteLosses, good: SiteLosses, { gaps, parameters }: LossContext): PreparedSite {
  // As in the whole analysis, the denominator is the monitored span of the primary rule for both results.
  const { monitored } = any;
  const prepared = ({ runs, censoring }: SiteLosses): PreparedLosses => {
    const denominator = (censoredAtMs: number | null) =>
      monitored === null ? 0 : judgedMs(meantSpan(monitored, censoredAtMs), site, gaps, parameters.keepRecordGaps);
    const openUntilMs = censoring?.atMs ?? null;
    return {
      runs,
      inGaps: runs.map((run) => isWhollyInGaps(run, gaps, intervalAround(site, run))),
      monitoredMs: denominator(null),
      monitoredWithOpenMs: denominator(openUntilMs),
      openUntilMs,
    };
  };
  return { siteKey: site.siteKey, site: site.site, sensor: site.sensor, monitored, any: prepared(any), good: prepared(good) };
}
