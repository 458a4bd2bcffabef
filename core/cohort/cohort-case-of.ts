import type { Interval } from '../base/interval.ts';
import { difference, totalMs, union } from '../base/interval.ts';
import { blindWithinMs } from '../episodes/blind.ts';
import { gapSpans } from '../episodes/gap-spans.ts';
import { meantSpan } from '../episodes/meant-span.ts';
import type { BlindInterval, CaseAnalysis, Dropout, DropoutTotals, SiteAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { CohortBlind, CohortCase, CohortDropout, CohortExposure, CohortLosses, CohortSite, LossCandidates } from '../model/cohort-case.ts';
import { CANDIDATE_BRIDGES_S, CANDIDATE_FIELDS, CANDIDATE_MIN_S } from '../model/cohort-case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { PreparedCase, PreparedLosses } from '../model/prepared-case.ts';
import type { CaseReview } from '../model/review.ts';
import { isFlaggedOut } from '../metrics/confirmed-figures.ts';
import { SITES } from '../model/site.ts';
import { channelIntervals } from '../quality/channel-intervals.ts';
import { siteTracks } from '../quality/site-track.ts';
import { applyDefinition } from '../robustness/apply-definition.ts';
import { prepareRobustness } from '../robustness/prepare-robustness.ts';
import { CaseClock } from '../time/case-clock.ts';
import { alignedValues } from './aligned-values.ts';
import { cohortReviewOf } from './cohort-review-of.ts';

/**
 * Returns what a case gives to a cohort.
 * Shape   plain data, small; sites in the order of the output files. `analysis` is that of `record`, `review` (null: nothing is known
 *         of any) that of `analysis`; the losses under other definitions are worked out with its parameters.
 * Units   ms since the case origin.
 * Missing a case without SpO2, or whose sensors were never monitored, or that a reader flagged to be left out of figures, is kept with the
 *         reason, so that it can be counted.
 * Source  analysis-spec 4 to 10; docs/metrics/cohort-case.md.
 */
export function cohortCaseOf(caseKey: string, record: CaseRecord, analysis: CaseAnalysis, review: CaseReview | null): CohortCase {
  const { parameters, recordGaps } = analysis;
  const prepared = prepareRobustness(record, parameters);
  const exposures = analysis.exposures.map(({ exposureId, kind, label, dose, unit, atMs, endMs, windowMs, manual }): CohortExposure => ({ exposureId, kind, label, dose, unit, atMs, endMs, windowMs, manual }));
  const sites = [...analysis.sites].sort((a, b) => SITES.indexOf(a.site) - SITES.indexOf(b.site) || (a.sensor < b.sensor ? -1 : a.sensor > b.sensor ? 1 : 0));
  const gaps = parameters.keepRecordGaps ? [] : gapSpans(recordGaps);
  const blindMs = (result: 'dropouts' | 'dropoutsDoubtfulLost') => blindWithinMs(analysis.sites, recordGaps, parameters.keepRecordGaps, result);
  const isExcluded = review !== null && isFlaggedOut(review);
  const cohortSites = sites.map((site) => cohortSite(site, gaps, analysis, prepared));
  const blind = blindOf(analysis.blind, analysis.blindTotals, blindMs('dropouts'));
  const day = new CaseClock(record.origin).isoText(0).slice(0, 10);
  return {
    caseKey,
    caseId: record.caseId,
    patientKey: null,
    attributes: record.attributes,
    startedAtMs: record.origin.epochMs,
    date: day === '' ? null : day,
    bounds: { startMs: analysis.bounds.startMs, endMs: analysis.bounds.endMs },
    surgery: {
      startMs: record.events.find(({ kind }) => kind === 'surgery start')?.atMs ?? null,
      endMs: record.events.findLast(({ kind }) => kind === 'surgery end')?.atMs ?? null,
    },
    notUsable: sites.length === 0 ? 'no SpO2' : sites.every(({ monitoredMs }) => monitoredMs === 0) ? 'no monitored sensor' : isExcluded ? 'flagged by a reader: exclude from figures' : null,
    recordGapsCanBeTold: analysis.recordGapsCanBeTold,
    sites: cohortSites,
    blind,
    blindDoubtfulLost: blindOf(analysis.blindDoubtfulLost, analysis.blindTotalsDoubtfulLost, blindMs('dropoutsDoubtfulLost')),
    exposures,
    pairs: analysis.pairs.map(({ firstKey, secondKey, sharedMs, onlyFirstMs, onlySecondMs, neitherMs, cautions }) => ({ firstKey, secondKey, sharedMs, onlyFirstMs, onlySecondMs, neitherMs, cautions })),
    aligned: alignedValues(siteTracks(channelIntervals(record.channels), parameters), record.channels, exposures, parameters),
    review: review === null ? null : cohortReviewOf(record, analysis, review, { sites: cohortSites, blind, exposures }),
  };
}

function cohortSite(site: SiteAnalysis, gaps: readonly Interval[], analysis: CaseAnalysis, prepared: PreparedCase): CohortSite {
  const kinds = new Map(analysis.exposures.map(({ exposureId, kind, atMs }) => [exposureId, { kind, atMs }]));
  const own = prepared.sites.find(({ siteKey }) => siteKey === site.siteKey);
  const cut = union([...gaps, ...site.segments.filter(({ intervalMs }) => intervalMs === null)]);
  const within = (startMs: number, endMs: number): Interval[] => (endMs > startMs ? difference([{ startMs, endMs }], cut) : []);
  const losses = (dropouts: readonly Dropout[], { lostMs, longestMidMs }: DropoutTotals, found: PreparedLosses | undefined): CohortLosses => {
    const { monitored } = site;
    const meant = monitored === null ? null : meantSpan(monitored, dropouts.at(-1)?.censoredAtMs ?? null);
    const spans = meant === null ? [] : within(meant.startMs, meant.endMs);
    const open = found?.runs.findLast(({ isOpen }) => isOpen);
    return {
      dropouts: dropouts.map((dropout) => cohortDropout(dropout, kinds)),
      lostMs,
      longestMidMs,
      monitoredMs: totalMs(spans),
      monitoredSpans: flat(spans),
      openTail: monitored === null || open === undefined ? [] : flat(within(monitored.endMs, open.firstGoodMs)),
    };
  };
  return {
    siteKey: site.siteKey,
    site: site.site,
    sensor: site.sensor,
    intervalMs: site.intervalMs,
    firstInformationMs: site.monitored?.startMs ?? null,
    lastInformationMs: site.monitored?.endMs ?? null,
    any: losses(site.dropouts, site.totals, own?.any),
    doubtfulLost: losses(site.dropoutsDoubtfulLost, site.totalsDoubtfulLost, own?.good),
    candidates: candidatesOf(site.siteKey, prepared, analysis.parameters),
  };
}

function flat(spans: readonly Interval[]): number[] {
  return spans.flatMap(({ startMs, endMs }) => [startMs, endMs]);
}

function cohortDropout(dropout: Dropout, kinds: ReadonlyMap<string, CohortDropout['responses'][number]>): CohortDropout {
  const { dropoutId, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs, restoredBy, restoredSiteKey, restoredAfterMs, patterns, links, isMarked, spo2Before, spo2After } = dropout;
  return {
    dropoutId, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs, restoredBy, restoredSiteKey, restoredAfterMs, patterns, links, isMarked, spo2Before, spo2After,
    responses: dropout.responses.flatMap(({ exposureId }) => kinds.get(exposureId) ?? []),
    pressureBefore: dropout.pressureBefore !== null && dropout.pressureBefore.quantity.endsWith('-mean') ? dropout.pressureBefore.mean : null,
  };
}

function candidatesOf(siteKey: string, prepared: PreparedCase, { bridgeS: ownBridgeS, minDurationS: ownMinS }: AnalysisParameters): LossCandidates[] {
  const bridges = [...new Set([ownBridgeS, ...CANDIDATE_BRIDGES_S])].sort((a, b) => a - b);
  // Links are made when a definition is asked for: without exposures this is fast.
  const bare: PreparedCase = { ...prepared, sites: prepared.sites.filter((site) => site.siteKey === siteKey), exposures: [] };
  return bridges.flatMap((bridgeS) =>
    [false, true].map((doubtfulLost): LossCandidates => {
      const found = applyDefinition(bare, { minDurationS: Math.min(CANDIDATE_MIN_S, ownMinS), bridgeS, lookBackFactor: 1, doubtfulLost }).sites[0]?.dropouts ?? [];
      const losses = new Float64Array(found.length * CANDIDATE_FIELDS);
      found.forEach(({ lastGoodMs, firstLostMs, lastLostMs, endMs, isOpen, lostMs }, i) => losses.set([lastGoodMs, firstLostMs, lastLostMs, endMs, isOpen ? 1 : 0, lostMs.low, lostMs.mid, lostMs.high], i * CANDIDATE_FIELDS));
      return { bridgeS, doubtfulLost, losses };
    }),
  );
}

function blindOf(blind: readonly BlindInterval[], { count, lostMs, longestMidMs }: DropoutTotals, monitoredMs: number): CohortBlind {
  return { count, lostMs, longestMidMs, lengthsMs: blind.map((one) => one.lostMs), monitoredMs };
}
