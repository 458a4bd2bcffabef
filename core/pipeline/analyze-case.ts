import type { Interval } from '../base/interval.ts';
import { coveredMs, lengthMs } from '../base/interval.ts';
import type { CaseAnalysis, Dropout, RecordGap, SiteAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { countStatuses, siteTracks } from '../quality/site-track.ts';
import { findBlind, spansMs } from '../episodes/blind.ts';
import { caseBounds } from '../episodes/case-bounds.ts';
import type { BareDropout, LossContext, SiteLosses } from '../episodes/dropouts.ts';
import { findLosses } from '../episodes/dropouts.ts';
import { gapSpans } from '../episodes/gap-spans.ts';
import { notMonitoredReason } from '../episodes/not-monitored.ts';
import { findRecordGaps } from '../episodes/record-gaps.ts';
import type { BareExposure } from '../linkage/exposures.ts';
import { findExposures } from '../linkage/exposures.ts';
import { linkDropout } from '../linkage/link.ts';
import { cuffInstants } from '../linkage/onset/cuff-cycle.ts';
import type { JudgedOnset } from '../linkage/patterns.ts';
import { judgeOnsets } from '../linkage/patterns.ts';
import { pressureBefore } from '../linkage/pressure-before.ts';
import { doubtfulMs } from '../metrics/doubtful-time.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import { timeBelow } from '../metrics/time-below.ts';
import { analysisFindings } from './analysis-findings.ts';

/**
 * Returns everything the program states about a case under the given parameters.
 * Shape   plain data without a single NaN; the record is not modified. Same record and parameters, same result. Sites
 *         stand in the order of the SpO2 channels.
 * Units   ms since the case origin; see `CaseAnalysis`.
 * Missing a case without SpO2 has no sites and a finding; nothing makes it fail.
 * Errors  none expected: throws only on a broken promise of the reader (our bug).
 * Source  analysis-spec 2 to 7, and of 8 the time below a threshold; docs/methods/.
 */
export function analyzeCase(record: CaseRecord, parameters: AnalysisParameters, productVersion: string): CaseAnalysis {
  const { bounds, findings: boundsFindings } = caseBounds(record);
  const channels = channelIntervals(record.channels);
  const sites = siteTracks(channels, parameters);
  const { gaps, canBeTold } = findRecordGaps(channels, bounds.startMs, bounds.endMs);
  const { exposures, findings: exposureFindings } = findExposures(record, bounds, parameters);
  const context: LossContext = { bounds, sites, channels, events: record.events, gaps, parameters };

  const finished = sites.map((site) => analyzeSite(site, context, record, exposures));
  const { blind, spans } = findBlind(finished.map(({ site, losses }) => ({ site, losses })), gaps, parameters);
  const analyses = finished.map((f) => f.analysis);
  const blindDenominator = spansMs(spans, gapSpans(gaps), parameters.keepRecordGaps);
  return {
    caseId: record.caseId,
    parameters,
    productVersion,
    inputDigests: record.sources.map((source) => source.sha256),
    bounds,
    sites: analyses,
    blind,
    blindTotals: dropoutTotals(blind.map((b) => b.lostMs), blindDenominator),
    recordGaps: gaps,
    recordGapsCanBeTold: canBeTold,
    exposures: exposures.map((exposure) => ({ ...exposure, dropoutsAfter: countAfter(exposure, analyses) })),
    findings: [...boundsFindings, ...exposureFindings, ...analysisFindings(channels, sites, analyses, canBeTold, parameters)],
  };
}

interface FinishedSite {
  readonly site: SiteTrack;
  readonly losses: SiteLosses;
  readonly analysis: SiteAnalysis;
}

function analyzeSite(site: SiteTrack, context: LossContext, record: CaseRecord, exposures: readonly BareExposure[]): FinishedSite {
  const { parameters, gaps } = context;
  const losses = findLosses(site, 'any', context);
  const doubtfulLost = findLosses(site, 'good', context);
  const cuffs = cuffInstants(record.channels);
  const onset = { site, runs: losses.runs, channels: record.channels, events: record.events, cuffInstants: cuffs, caseEndMs: context.bounds.endMs, parameters };
  const finishAll = (found: readonly BareDropout[]) => {
    const onsets = judgeOnsets(found, onset);
    return found.flatMap((dropout, i) => (onsets[i] === undefined ? [] : [finishDropout(dropout, onsets[i], context, record, exposures)]));
  };
  const dropouts = finishAll(losses.dropouts);
  const dropoutsDoubtfulLost = finishAll(doubtfulLost.dropouts);
  const { monitored } = losses;
  const denominatorOf = (found: readonly Dropout[]) => (monitored === null ? 0 : judgedMs(meantSpan(monitored, found), site, gaps, parameters));
  const monitoredMs = denominatorOf(dropouts);
  const totals = dropoutTotals(dropouts.map((d) => d.lostMs), monitoredMs);
  const analysis: SiteAnalysis = {
    siteKey: site.siteKey,
    site: site.site,
    sensor: site.sensor,
    channelId: site.channel.channelId,
    segments: site.segments,
    intervalMs: site.mainMs,
    monitored,
    notMonitoredReason: monitored === null ? notMonitoredReason(site, context.bounds) : null,
    monitoredMs,
    statusCounts: countStatuses(site.track.status),
    doubtfulMs: monitored === null ? 0 : doubtfulMs(site, monitored),
    recordGapMs: monitored === null ? 0 : coveredMs(meantSpan(monitored, dropouts), gapSpans(gaps)),
    dropouts,
    totals,
    dropoutsDoubtfulLost,
    totalsDoubtfulLost: dropoutTotals(dropoutsDoubtfulLost.map((d) => d.lostMs), denominatorOf(dropoutsDoubtfulLost)),
    below: timeBelow(site, monitored ?? { startMs: 0, endMs: 0 }, totals.lostMs.mid),
  };
  return { site, losses, analysis };
}

/** The span in which the sensor was meant to inform: first to last information and, beyond it, a loss not restored. */
function meantSpan(monitored: Interval, dropouts: readonly Dropout[]): Interval {
  const censoredAtMs = dropouts[dropouts.length - 1]?.censoredAtMs ?? null;
  return { startMs: monitored.startMs, endMs: Math.max(monitored.endMs, censoredAtMs ?? -Infinity) };
}

/** A span without its record gaps (unless they are kept) and without stretches in which the channel has no interval. */
function judgedMs(span: Interval, site: SiteTrack, gaps: readonly RecordGap[], parameters: AnalysisParameters): number {
  const irregular = site.segments.filter((s) => s.intervalMs === null);
  const out = [...irregular, ...(parameters.keepRecordGaps ? [] : gapSpans(gaps))];
  return lengthMs(span) - coveredMs(span, out);
}

function finishDropout(dropout: BareDropout, onset: JudgedOnset, context: LossContext, record: CaseRecord, exposures: readonly BareExposure[]): Dropout {
  const { bounds, parameters } = context;
  const handTimeMs = parameters.handTimeS * 1000;
  const endMs = dropout.firstGoodMs ?? dropout.censoredAtMs ?? bounds.endMs;
  const { links, responses } = linkDropout({ lastGoodMs: dropout.lastGoodMs, firstLostMs: dropout.firstLostMs, endMs }, exposures, handTimeMs);
  return {
    ...dropout,
    patterns: onset.patterns,
    evidence: onset.evidence,
    pressureBefore: pressureBefore(record.channels, dropout.lastGoodMs, parameters.pressureBeforeS * 1000),
    links,
    responses,
  };
}

function countAfter(exposure: BareExposure, sites: readonly SiteAnalysis[]): number {
  let count = 0;
  for (const site of sites) for (const dropout of site.dropouts) if (dropout.links.some((l) => l.exposureId === exposure.exposureId)) count++;
  return count;
}
