import { totalMs } from '../base/interval.ts';
import type { CohortCase, CohortSite } from '../model/cohort-case.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import type { SitesWithinPatients, WithinPatients, WithinPatientsAll, WithinPatientsRow } from '../model/cohort-sites.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { SITES } from '../model/site.ts';
import { ratioOf } from '../stats/case-draws.ts';
import { clusterBootstrap } from '../stats/cluster-bootstrap.ts';
import { friedman } from '../stats/friedman.ts';
import { hodgesLehmann } from '../stats/hodges-lehmann.ts';
import { holmAdjusted } from '../stats/holm.ts';
import { median } from '../stats/quantile.ts';
import { signFlip } from '../stats/sign-flip.ts';
import { signTest } from '../stats/sign-test.ts';
import { signedRank } from '../stats/signed-rank.ts';
import { clusterOf, inCodePointOrder } from './clusters.ts';
import { LEAST_COMMON_MS, commonTime } from './common-time.ts';
import { drawnInterval } from './drawn-interval.ts';
import { grouped } from './grouped.ts';
import { lostWithin, onsetOf, spansOf } from './loss-within.ts';
import { siteCoverage } from './site-coverage.ts';
import { HOUR_MS } from '../time/civil.ts';

const OUTCOMES = ['share lost', 'dropouts per hour'] as const;

/** What sensors of one case gave over the time in which all of them were meant to inform. */
interface Common {
  readonly one: CohortCase;
  readonly sharedMs: number;
  /** One per sensor, in the order asked for. */
  readonly lostMs: readonly number[];
  readonly onsets: readonly number[];
}

/** The same of one unit: its cases together. */
interface UnitCommon extends Omit<Common, 'one'> {
  readonly unit: string;
  readonly cases: readonly CohortCase[];
}

/**
 * Returns each two sites, and all sites, compared within the patients who wore them at the same time.
 * Shape   `cases` chosen and in order. Only the common time counts: record gaps, and bypass unless the parameters keep it, taken
 *         out; a unit takes part from 10 min of it on. Pairs in the order of sites; p values adjusted over the pairs of one outcome.
 * Units   ms; shares from 0 to 1; dropouts per hour of common time. A dropout counts from the middle of its onset to the middle of
 *         its end, bridged information taken off in proportion; it began at the middle of its onset.
 * Missing fewer than 6 units: no 95 % interval. No difference in any: estimate 0, p 1, no interval.
 * Source  statistics c; docs/metrics/sites-within-patients.md. Site is not chosen at random: describes, does not rank.
 */
export function sitesWithinPatients(cases: readonly CohortCase[], { conf, draws, seed }: Pick<CohortOptions, 'conf' | 'draws' | 'seed'>, { keepBypass }: Pick<AnalysisParameters, 'keepBypass'>): SitesWithinPatients {
  const keys = sensorKeys(cases);
  const together = keys.flatMap((firstKey, i) => keys.slice(i + 1).map((secondKey) => ({ firstKey, secondKey, units: unitsOf(cases, [firstKey, secondKey], keepBypass) }))).filter(({ units }) => units.length > 0);
  const found = OUTCOMES.flatMap((outcome) => {
    const pairs = together.map(({ firstKey, secondKey, units }) => pairOf(firstKey, secondKey, outcome, units, { conf, draws, seed }));
    const adjusted = holmAdjusted(pairs.map(({ p }) => p));
    return pairs.map((pair, i): WithinPatients => ({ ...pair, pHolm: adjusted[i] ?? null }));
  });
  const complete = keys.length < 3 ? [] : unitsOf(cases, keys, keepBypass);
  const all = keys.length < 3 ? [] : OUTCOMES.map((outcome) => allOf(keys, outcome, complete));
  return { leastSharedMs: LEAST_COMMON_MS, pairs: found, all, coverage: siteCoverage(cases, conf) };
}

/** Monitored sensors over all cases, in the order of sites. */
function sensorKeys(cases: readonly CohortCase[]): string[] {
  const sites = new Map<string, CohortSite>();
  for (const one of cases) for (const site of one.sites) if (site.any.monitoredMs > 0) sites.set(site.siteKey, site);
  return [...sites.values()].sort((a, b) => SITES.indexOf(a.site) - SITES.indexOf(b.site) || inCodePointOrder(a.sensor, b.sensor)).map(({ siteKey }) => siteKey);
}

/** Units with some common time, in the order of their first case. */
function unitsOf(cases: readonly CohortCase[], keys: readonly string[], keepBypass: boolean): UnitCommon[] {
  const found = cases.flatMap((one) => commonOf(one, keys, keepBypass) ?? []);
  return [...grouped(found, ({ one }) => clusterOf(one))].map(([unit, members]) => ({
    unit,
    cases: members.map(({ one }) => one),
    sharedMs: members.reduce((sum, { sharedMs }) => sum + sharedMs, 0),
    lostMs: keys.map((_, i) => members.reduce((sum, { lostMs }) => sum + (lostMs[i] ?? 0), 0)),
    onsets: keys.map((_, i) => members.reduce((sum, { onsets }) => sum + (onsets[i] ?? 0), 0)),
  }));
}

function commonOf(one: CohortCase, keys: readonly string[], keepBypass: boolean): Common | null {
  const sites = keys.flatMap((key) => one.sites.find(({ siteKey }) => siteKey === key) ?? []);
  if (sites.length < keys.length) return null;
  const within = commonTime(one, sites, { keepBypass });
  const sharedMs = totalMs(within);
  if (sharedMs === 0) return null;
  return {
    one,
    sharedMs,
    lostMs: sites.map(({ any }) => {
      const monitored = spansOf(any.monitoredSpans);
      return any.dropouts.reduce((sum, dropout) => sum + lostWithin(dropout, within, monitored), 0);
    }),
    onsets: sites.map(({ any }) => any.dropouts.filter((dropout) => within.some(({ startMs, endMs }) => onsetOf(dropout) >= startMs && onsetOf(dropout) < endMs)).length),
  };
}

function valueOf(unit: UnitCommon, place: number, outcome: WithinPatients['outcome']): number {
  return outcome === 'share lost' ? (unit.lostMs[place] ?? NaN) / unit.sharedMs : ((unit.onsets[place] ?? NaN) * HOUR_MS) / unit.sharedMs;
}

function pairOf(firstKey: string, secondKey: string, outcome: WithinPatients['outcome'], all: readonly UnitCommon[], { conf, draws, seed }: { readonly conf: number; readonly draws: number; readonly seed: number }): WithinPatients {
  const units = all.filter(({ sharedMs }) => sharedMs >= LEAST_COMMON_MS);
  const rows = units.map((unit): WithinPatientsRow => ({
    unit: unit.cases.map(({ caseId }) => caseId).join(', '),
    caseKeys: unit.cases.map(({ caseKey }) => caseKey),
    caseIds: unit.cases.map(({ caseId }) => caseId),
    sharedMs: unit.sharedMs,
    first: valueOf(unit, 0, outcome),
    second: valueOf(unit, 1, outcome),
  }));
  const differences = rows.map(({ first, second }) => first - second);
  const ranks = signedRank(differences, { zeros: 'pratt' });
  const middle = hodgesLehmann(differences, conf);
  const flips = signFlip(differences, { replicates: draws, seed });
  const totals = (place: number) => units.map((unit) => (outcome === 'share lost' ? (unit.lostMs[place] ?? 0) : (unit.onsets[place] ?? 0)));
  const [ratio] = clusterBootstrap([totals(0), totals(1)], [ratioOf(0, 1)], { replicates: draws, seed, conf });
  return {
    firstKey,
    secondKey,
    outcome,
    units: units.length,
    unitsTooShort: all.length - units.length,
    cases: units.reduce((sum, unit) => sum + unit.cases.length, 0),
    sharedMs: units.reduce((sum, unit) => sum + unit.sharedMs, 0),
    firstMedian: median(rows.map(({ first }) => first)),
    secondMedian: median(rows.map(({ second }) => second)),
    difference: middle.estimate,
    differenceLower: middle.lower,
    differenceUpper: middle.upper,
    achievedConf: middle.achievedConf,
    reason: middle.reason,
    zeros: ranks.n - ranks.nonzero,
    p: ranks.p,
    pMethod: ranks.method,
    pHolm: null,
    pWithoutZeros: signedRank(differences, { zeros: 'wilcox' }).p,
    pSign: signTest(differences).p,
    pSignFlip: flips.pTwoSided,
    meanDifference: flips.meanDifference,
    ratio: ratio?.estimate ?? null,
    ratioInterval: ratio === undefined ? { method: null, lower: null, upper: null, n: units.length, reason: 'not defined' } : drawnInterval(ratio, units.length),
    rows,
  };
}

function allOf(keys: readonly string[], outcome: WithinPatients['outcome'], all: readonly UnitCommon[]): WithinPatientsAll {
  const units = all.filter(({ sharedMs }) => sharedMs >= LEAST_COMMON_MS);
  const { n, chiSquare, df, p, reason } = friedman(units.map((unit) => keys.map((_, place) => valueOf(unit, place, outcome))));
  return { outcome, siteKeys: keys, units: n, chiSquare, df, p, reason };
}
