import type { CohortCase, CohortDropout, CohortExposure, CohortLosses, CohortSite } from '../../core/model/cohort-case.ts';
import type { Range3 } from '../../core/base/interval.ts';
import type { Site } from '../../core/model/site.ts';

/** A sensor of a built case; times in seconds from the case's origin. */
export interface BuiltSensor {
  readonly site?: Site;
  readonly sensor?: string;
  readonly intervalS?: number | null;
  /** Starts and ends of monitored stretches; default one stretch of 0 to 3600 s. */
  readonly monitored?: readonly (readonly [number, number])[];
  /** Start and end of each loss; end null: not restored, censored at the end of monitoring. */
  readonly losses?: readonly (readonly [number, number | null])[];
  /** The same with doubtful samples as lost; left out: the same losses. */
  readonly doubtful?: readonly (readonly [number, number | null])[];
}

/** Returns a dropout known to the second: it lasted from `startS` to `endS`, neither end uncertain. */
export function cohortDropout(siteKey: string, startS: number, endS: number | null, censoredS = 3600, over: Partial<CohortDropout> = {}): CohortDropout {
  const endMs = (endS ?? censoredS) * 1000;
  const lostMs = endMs - startS * 1000;
  return {
    dropoutId: `${siteKey}@${startS * 1000}`,
    number: 1,
    lastGoodMs: startS * 1000,
    firstLostMs: startS * 1000,
    lastLostMs: endS === null ? null : endMs,
    firstGoodMs: endS === null ? null : endMs,
    censoredAtMs: endS === null ? endMs : null,
    lostMs: { low: lostMs, mid: lostMs, high: lostMs },
    restoredBy: endS === null ? 'not restored' : 'same site',
    restoredSiteKey: null,
    restoredAfterMs: null,
    patterns: [],
    links: [],
    responses: [],
    isMarked: false,
    spo2Before: 97,
    spo2After: endS === null ? null : 96,
    pressureBefore: null,
    ...over,
  };
}

/** Returns the sensors of a case that give information as said. */
export function cohortSite({ site = 'finger', sensor = '', intervalS = 1, monitored = [[0, 3600]], losses = [], doubtful = losses }: BuiltSensor): CohortSite {
  const siteKey = sensor === '' ? site : `${site} ${sensor}`;
  const spans = monitored.flatMap(([from, to]) => [from * 1000, to * 1000]);
  const monitoredMs = monitored.reduce((sum, [from, to]) => sum + (to - from) * 1000, 0);
  const endS = monitored[monitored.length - 1]?.[1] ?? 0;
  const of = (list: readonly (readonly [number, number | null])[]): CohortLosses => {
    const dropouts = list.map(([from, to], i) => cohortDropout(siteKey, from, to, endS, { number: i + 1 }));
    return { dropouts, lostMs: sum(dropouts.map((dropout) => dropout.lostMs)), longestMidMs: dropouts.reduce((most, { lostMs }) => Math.max(most, lostMs.mid), 0), monitoredMs, monitoredSpans: spans, openTail: [] };
  };
  const candidates = (list: readonly (readonly [number, number | null])[], doubtfulLost: boolean) =>
    [0, 10, 30, 60].map((bridgeS) => ({ bridgeS, doubtfulLost, losses: Float64Array.from(of(list).dropouts.flatMap((d) => [d.lastGoodMs, d.firstLostMs, d.lastLostMs ?? d.censoredAtMs ?? 0, d.firstGoodMs ?? d.censoredAtMs ?? 0, d.firstGoodMs === null ? 1 : 0, d.lostMs.low, d.lostMs.mid, d.lostMs.high])) }));
  return {
    siteKey,
    site,
    sensor,
    intervalMs: intervalS === null ? null : intervalS * 1000,
    firstInformationMs: monitored.length === 0 ? null : (monitored[0]?.[0] ?? 0) * 1000,
    lastInformationMs: monitored.length === 0 ? null : endS * 1000,
    any: of(losses),
    doubtfulLost: of(doubtful),
    candidates: [...candidates(losses, false), ...candidates(doubtful, true)],
  };
}

/** Returns an exposure at a time in seconds. */
export function cohortExposure(atS: number, over: Partial<CohortExposure> = {}): CohortExposure {
  return { exposureId: `x${atS}`, kind: 'vasopressor bolus', label: 'phenylephrine', dose: 100, unit: 'ug', atMs: atS * 1000, endMs: null, windowMs: 600_000, manual: false, ...over };
}

/** Returns a case of a cohort with the given sensors. */
export function cohortCase(caseId: string, sensors: readonly BuiltSensor[], over: Partial<CohortCase> = {}): CohortCase {
  const sites = sensors.map(cohortSite);
  const endMs = sites.reduce((most, { lastInformationMs }) => Math.max(most, lastInformationMs ?? 0), 0);
  const none = { count: 0, lostMs: { low: 0, mid: 0, high: 0 }, longestMidMs: 0, lengthsMs: [], monitoredMs: endMs };
  return {
    caseKey: `key-${caseId}`,
    caseId,
    patientKey: null,
    attributes: {},
    startedAtMs: Date.UTC(2031, 2, 4, 8),
    date: '2031-03-04',
    bounds: { startMs: 0, endMs },
    surgery: { startMs: null, endMs: null },
    notUsable: sites.length === 0 ? 'no SpO2' : null,
    recordGapsCanBeTold: true,
    sites,
    blind: none,
    blindDoubtfulLost: none,
    exposures: [],
    pairs: [],
    aligned: { exposureIds: [], series: [], values: new Uint16Array() },
    review: null,
    ...over,
  };
}

function sum(parts: readonly Range3[]): Range3 {
  return parts.reduce((total, { low, mid, high }) => ({ low: total.low + low, mid: total.mid + mid, high: total.high + high }), { low: 0, mid: 0, high: 0 });
}
