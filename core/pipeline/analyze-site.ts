import { assert } from '../base/assert.ts';
import type { Interval } from '../base/interval.ts';
import { coveredMs } from '../base/interval.ts';
import type { Dropout, SiteAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { InformationRule, SiteTrack } from '../quality/site-track.ts';
import { countStatuses } from '../quality/site-track.ts';
import { statusRuns } from '../quality/status-runs.ts';
import type { BareDropout, LossContext, SiteLosses } from '../episodes/dropouts.ts';
import { findLosses, intervalAround } from '../episodes/dropouts.ts';
import { gapSpans } from '../episodes/gap-spans.ts';
import { isWhollyInGaps } from '../episodes/lost-time.ts';
import { judgedMs, meantSpan } from '../episodes/meant-span.ts';
import { notMonitoredReason } from '../episodes/not-monitored.ts';
import type { BareExposure } from '../model/prepared-case.ts';
import { linkDropout } from '../linkage/link.ts';
import type { JudgedOnset, OnsetContext } from '../linkage/patterns.ts';
import { judgeOnsets } from '../linkage/patterns.ts';
import { pressureBefore } from '../linkage/pressure-before.ts';
import { doubtfulMs } from '../metrics/doubtful-time.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import type { FalseLowSpan } from '../metrics/false-low.ts';
import { signsBetween } from '../metrics/false-low.ts';
import { hypoxaemia } from '../metrics/hypoxaemia.ts';
import { lowestPossible } from '../metrics/lowest-possible.ts';
import { restoration } from '../metrics/restoration.ts';
import { returnComparisons } from '../metrics/matched-intervals.ts';
import { timeBelow } from '../metrics/time-below.ts';
import { informationSeries } from '../metrics/value-series.ts';
import { signalStrength } from '../sites/signal-strength.ts';

/** What is known of the case beside its sensors. */
export interface AboutCase {
  readonly record: CaseRecord;
  readonly exposures: readonly BareExposure[];
  readonly cuffInstants: readonly number[];
  readonly falseLow: readonly FalseLowSpan[];
}

export interface FinishedSite {
  readonly site: SiteTrack;
  readonly losses: SiteLosses;
  /** The losses with doubtful samples counted as lost. */
  readonly doubtfulLost: SiteLosses;
  readonly analysis: SiteAnalysis;
}

/** Returns everything that is stated about one sensor of a case, and its losses however short. */
export function analyzeSite(site: SiteTrack, context: LossContext, about: AboutCase): FinishedSite {
  const { parameters, gaps, bounds } = context;
  const losses = findLosses(site, 'any', context);
  const doubtfulLost = findLosses(site, 'good', context);
  const { monitored } = losses;
  // Where the recorder stood still nothing is known of the signal, so such a run says nothing of its steadiness either.
  const runs = parameters.keepRecordGaps ? losses.runs : losses.runs.filter((run) => !isWhollyInGaps(run, gaps, intervalAround(site, run)));
  const onset: OnsetContext = {
    site,
    runs,
    channels: about.record.channels,
    events: about.record.events,
    cuffInstants: about.cuffInstants,
    caseEndMs: bounds.endMs,
    parameters,
  };
  const series = informationSeries(site, monitored ?? NOWHERE, 'any');
  const seriesGood = informationSeries(site, monitored ?? NOWHERE, 'good');
  const signsOf = (startMs: number, endMs: number) => signsBetween(about.falseLow, site.site, startMs, endMs);
  const compare = returnComparisons(series);
  const finish = (found: readonly BareDropout[], rule: InformationRule): Dropout[] => {
    const onsets = judgeOnsets(found, onset);
    return found.map((dropout, i): Dropout => {
      const endMs = dropout.firstGoodMs ?? dropout.censoredAtMs ?? bounds.endMs;
      const { lastGoodMs, firstLostMs, firstGoodMs, spo2Before, spo2After } = dropout;
      return {
        ...dropout,
        returnComparison: firstGoodMs === null || spo2After === null ? null : compare(firstGoodMs - lastGoodMs, spo2After - spo2Before),
        cannotExclude: lowestPossible(dropout, endMs, site, rule, parameters),
        ...onsetOf(onsets, i),
        pressureBefore: pressureBefore(about.record.channels, lastGoodMs, parameters.pressureBeforeS * 1000),
        ...linkDropout({ lastGoodMs, firstLostMs, endMs }, about.exposures, parameters.handTimeS * 1000),
      };
    });
  };
  const dropouts = finish(losses.dropouts, 'any');
  const dropoutsDoubtfulLost = finish(doubtfulLost.dropouts, 'good');
  const meantBy = (found: readonly Dropout[]) => (monitored === null ? NOWHERE : meantSpan(monitored, found.at(-1)?.censoredAtMs ?? null));
  const denominatorOf = (found: readonly Dropout[]) => (monitored === null ? 0 : judgedMs(meantBy(found), site, gaps, parameters.keepRecordGaps));
  const monitoredMs = denominatorOf(dropouts);
  const totals = dropoutTotals(dropouts.map((d) => d.lostMs), monitoredMs);
  const monitoredMsDoubtfulLost = denominatorOf(dropoutsDoubtfulLost);
  const totalsDoubtfulLost = dropoutTotals(dropoutsDoubtfulLost.map((d) => d.lostMs), monitoredMsDoubtfulLost);
  const analysis: SiteAnalysis = {
    siteKey: site.siteKey,
    site: site.site,
    sensor: site.sensor,
    channelId: site.channel.channelId,
    segments: site.segments,
    intervalMs: site.mainMs,
    monitored,
    notMonitoredReason: monitored === null ? notMonitoredReason(site, bounds) : null,
    monitoredMs,
    statusCounts: countStatuses(site.track.status),
    doubtfulMs: monitored === null ? 0 : doubtfulMs(site, monitored),
    statusRuns: statusRuns(site),
    recordGapMs: monitored === null ? 0 : coveredMs(meantBy(dropouts), gapSpans(gaps)),
    dropouts,
    totals,
    dropoutsDoubtfulLost,
    totalsDoubtfulLost,
    below: timeBelow(series, totals.lostMs.mid, parameters.hypoxaemiaFloorPct),
    hypoxaemia: hypoxaemia(series, monitored, monitoredMs, signsOf, parameters),
    belowDoubtfulLost: timeBelow(seriesGood, totalsDoubtfulLost.lostMs.mid, parameters.hypoxaemiaFloorPct),
    hypoxaemiaDoubtfulLost: hypoxaemia(seriesGood, monitored, monitoredMsDoubtfulLost, signsOf, parameters),
    signal: signalStrength(site, monitored, runs, dropouts, parameters),
    restoration: restoration(dropouts, about.exposures),
    restorationDoubtfulLost: restoration(dropoutsDoubtfulLost, about.exposures),
  };
  return { site, losses, doubtfulLost, analysis };
}

/** The span of a sensor that was never monitored: it holds no sample. */
const NOWHERE: Interval = { startMs: Infinity, endMs: -Infinity };

function onsetOf(onsets: readonly JudgedOnset[], i: number): JudgedOnset {
  const onset = onsets[i];
  assert(onset !== undefined, 'one judged onset per dropout');
  return onset;
}
