import type { CaseAnalysis, Dropout, SiteAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';

/** Returns a channel of `values` at one-second steps; NaN where a value is missing. */
export function buildChannel(values: readonly number[], over: Partial<Channel> = {}): Channel {
  return {
    channelId: 'spo2@finger',
    quantity: 'spo2',
    label: 'SpO2',
    unit: '%',
    site: 'finger',
    sensor: '',
    sourceIndex: 0,
    layout: 'wide',
    tMs: Float64Array.from(values, (_, i) => i * 1000),
    value: Float64Array.from(values),
    mark: Uint8Array.from(values, (v) => (Number.isNaN(v) ? 1 : 0)),
    line: Uint32Array.from(values, (_, i) => i + 2),
    ...over,
  };
}

/** Returns a small valid case with one channel, one event and one drug. */
export function buildCaseRecord(over: Partial<CaseRecord> = {}): CaseRecord {
  return {
    caseId: 'case-1',
    origin: { epochMs: 1_900_000_000_000, clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: false },
    sources: [{ name: 'trends.csv', sha256: 'ab'.repeat(32), byteLength: 123, kind: 'trends', clockOffsetMs: 0 }],
    channels: [buildChannel([98, 97, Number.NaN, 96])],
    events: [{ eventId: 'e1', kind: 'position', term: 'arms tucked', phase: 'start', text: 'arms tucked', atMs: 1000, endMs: null, manual: true, site: null, source: { sourceIndex: 0, line: 3 } }],
    drugs: [
      {
        drugId: 'd1', inn: 'phenylephrine', atc: 'C01CA06', isVasopressor: true, route: 'IV', form: 'bolus', amount: 100, unit: 'ug',
        atMs: 500, endMs: null, manual: false, flags: [], text: 'phenylephrine 100 mcg IV', source: { sourceIndex: 0, line: 2 },
      },
    ],
    findings: [{ code: 'zone-assumed', severity: 'note', message: 'No zone is stated; UTC was taken.', count: 1 }],
    attributes: { service: 'vascular' },
    ...over,
  };
}

/** Returns a dropout of 30 s (25 to 35 s) at the finger. */
export function buildDropout(over: Partial<Dropout> = {}): Dropout {
  return {
    dropoutId: 'finger-2000', number: 1, siteKey: 'finger', lastGoodMs: 1000, firstLostMs: 2000, lastLostMs: 31_000, firstGoodMs: 32_000,
    lostMs: { low: 25_000, mid: 30_000, high: 35_000 }, restoredBy: 'same site', restoredSiteKey: null, restoredAfterMs: null, censoredAtMs: null,
    spo2Before: 97, spo2After: 92, dropOnReturn: 5, isMarked: true, returnComparison: null, cannotExclude: { pct: 80, atMs: 16_000, edge: [{ atMs: 1000, pct: 97 }, { atMs: 32_000, pct: 92 }] }, perfusionBefore: 0.4, lostSamples: { absent: 30 }, bridgedMs: 0,
    recordGapMs: { low: 0, mid: 0, high: 0 }, patterns: [], evidence: { perfusion: null, cuff: null, unsteady: { shortLosses: 0, doubtfulRuns: 0 }, temperature: null, plannedBy: [] }, pressureBefore: { quantity: 'nibp-mean', mean: 61, lowest: 52, n: 4 },
    links: [{ exposureId: 'x1', leadMs: 1500, certainty: 'certain' }], responses: [], ...over,
  };
}

/** Returns an analysis with one site and the given dropouts. */
export function buildCaseAnalysis(dropouts: readonly Dropout[] = [buildDropout()], over: Partial<CaseAnalysis> = {}): CaseAnalysis {
  const lost = { low: 0, mid: 0, high: 0 };
  let longestMidMs = 0;
  for (const dropout of dropouts) {
    lost.low += dropout.lostMs.low;
    lost.mid += dropout.lostMs.mid;
    lost.high += dropout.lostMs.high;
    longestMidMs = Math.max(longestMidMs, dropout.lostMs.mid);
  }
  const totals = { count: dropouts.length, lostMs: lost, longestMidMs, shareMid: lost.mid / 600_000 };
  const none = { count: 0, lostMs: { low: 0, mid: 0, high: 0 }, longestMidMs: 0, shareMid: 0 };
  const below = [{ thresholdPct: 90, observedMs: 0, lowMs: 0, highMs: 30_000, areaPctS: 0, areaLowPctS: 0, areaHighPctS: 900 }];
  const hypoxaemia: SiteAnalysis['hypoxaemia'] = {
    observedMs: 570_000, meanPct: 97, lowest: { pct: 92, atMs: 32_000, dyeIds: [], sensorIds: [], headDownIds: [] }, t90: { observed: 0, low: 0, high: 0.05 }, lowRuns: [], desaturations: [],
  };
  const restoration: SiteAnalysis['restoration'] = {
    sameSite: dropouts.length, otherSite: 0, notRestored: 0, medianMs: 30_000, medianElsewhereMs: null, dropoutsAnswered: 0, medianToResponseMs: null, responses: [], patterns: [],
  };
  return {
    caseId: 'case-1',
    parameters: DEFAULT_PARAMETERS,
    productVersion: '0.0.0-test',
    inputDigests: ['ab'.repeat(32)],
    bounds: { startMs: 0, endMs: 600_000, startFrom: 'first row', endFrom: 'last row' },
    sites: [
      {
        siteKey: 'finger', site: 'finger', sensor: '', channelId: 'spo2@finger', segments: [{ startMs: 0, endMs: 600_000, intervalMs: 1000 }], intervalMs: 1000,
        monitored: { startMs: 0, endMs: 600_000 }, notMonitoredReason: null, monitoredMs: 600_000,
        statusCounts: { absent: 30, implausible: 0, flagged: 0, held: 0, weak: 0, disputed: 0, good: 570 },
        doubtfulMs: 0, statusRuns: { implausible: [], flagged: [], held: [], weak: [], disputed: [] }, recordGapMs: 0, dropouts, totals, dropoutsDoubtfulLost: dropouts, totalsDoubtfulLost: totals,
        below, hypoxaemia, belowDoubtfulLost: below, hypoxaemiaDoubtfulLost: hypoxaemia,
        signal: { perfusion: null, shortLosses: 0, doubtfulRuns: 0 },
        restoration, restorationDoubtfulLost: restoration,
      },
    ],
    pairs: [],
    blind: [], blindTotals: none, blindDoubtfulLost: [], blindTotalsDoubtfulLost: none, recordGaps: [], recordGapsCanBeTold: true,
    exposures: [
      {
        exposureId: 'x1', kind: 'vasopressor bolus', label: 'phenylephrine', atc: 'C01CA06', dose: 100, unit: 'ug', atMs: 500, endMs: null, windowMs: 600_000,
        manual: false, flags: [], sourceText: 'phenylephrine 100 mcg IV', dropoutsAfter: 1,
      },
    ],
    findings: [],
    ...over,
  };
}
