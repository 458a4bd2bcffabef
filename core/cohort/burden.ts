import type { Range3 } from '../base/interval.ts';
import type { CohortBurden } from '../metrics/burden.ts';
import { cohortBurden } from '../metrics/burden.ts';
import { sumOfCounts } from '../metrics/confirmed-figures.ts';
import type { BurdenFigures, BurdenRow, BurdenScope, CaseBurdenRow, CohortBurdenResult, NamedInterval } from '../model/cohort-burden.ts';
import { ALL_SENSORS, WHOLE_CASE } from '../model/cohort-burden.ts';
import type { CohortBlind, CohortCase, CohortLosses, CohortSite } from '../model/cohort-case.ts';
import type { ReviewCounts } from '../model/confirmed.ts';
import type { CohortOptions } from '../model/cohort-options.ts';
import { UNSTATED } from '../model/cohort-options.ts';
import { clusterBootstrap } from '../stats/cluster-bootstrap.ts';
import { ratioOf } from '../stats/case-draws.ts';
import type { ClusterRatio } from '../stats/cluster-ratio.ts';
import { clusterRobustShare } from '../stats/cluster-share.ts';
import { facetName, facetValuesOf, inValueOrder } from './case-facets.ts';
import { clusterOf, inCodePointOrder } from './clusters.ts';
import { drawnInterval } from './drawn-interval.ts';
import { grouped } from './grouped.ts';
import { countsAt } from './select-losses.ts';
import { HOUR_MS } from '../time/civil.ts';

/** Below so many units intervals from cases drawn anew are too narrow and not offered. Source: simulated coverage, statistics 0. */
const DRAWN_FROM_UNITS = 20;

/** One place of a case: a sensor, all sensors together, or the case as a whole. */
interface Part {
  readonly one: CohortCase;
  readonly cluster: string;
  readonly place: string;
  readonly intervalMs: number | null;
  readonly primary: Losses;
  readonly doubtfulLost: Losses;
  readonly review: ReviewCounts | null;
}
interface Losses {
  readonly monitoredMs: number;
  readonly lostMs: readonly Range3[];
}

/**
 * Returns how often and how long information was lost: over all cases, by the property that they are compared by, by month, and
 * per case, at each place and in both results (doubtful samples as information, and as lost).
 * Shape   `cases` chosen and in order. A case with several values of the property counts in each of their groups.
 * Units   ms; shares from 0 to 1; rates per monitored hour.
 * Missing see `BurdenFigures`: what is not defined is null with a reason, never 0.
 * Source  statistics 0 and a; docs/metrics/burden.md.
 */
export function burden(cases: readonly CohortCase[], { groupBy, conf, draws, seed }: Pick<CohortOptions, 'groupBy' | 'conf' | 'draws' | 'seed'>): CohortBurdenResult {
  const parts = cases.flatMap(partsOf);
  const places = placesOf(parts);
  const rows: BurdenRow[] = [];
  const add = (scope: BurdenScope, value: string | null, within: readonly Part[]): void => {
    const byPlace = grouped(within, ({ place }) => place);
    for (const place of places) {
      const here = byPlace.get(place);
      if (here !== undefined) rows.push(rowOf(scope, value, place, here, { conf, draws, seed }));
    }
  };
  add('all', null, parts);
  if (groupBy !== null) {
    const values = [...new Set(cases.flatMap((one) => facetValuesOf(one, groupBy)))].sort(inValueOrder);
    for (const value of values) add('group', value, parts.filter(({ one }) => facetValuesOf(one, groupBy).includes(value)));
  }
  const byMonth = grouped(parts, ({ one }) => one.date?.slice(0, 7) ?? UNSTATED);
  for (const month of [...byMonth.keys()].sort(inValueOrder)) add('month', month, byMonth.get(month) ?? []);
  return {
    rows,
    cases: parts.filter(({ place }) => place !== ALL_SENSORS).map((part) => caseRow(part, groupBy === null ? [] : facetValuesOf(part.one, groupBy))),
    warnings: warningsOf(rows, groupBy === null ? '' : facetName(groupBy)),
  };
}

function partsOf(one: CohortCase): Part[] {
  const cluster = clusterOf(one);
  const monitored = one.sites.flatMap((site, i) => (site.any.monitoredMs > 0 ? [{ site, review: countsAt(one, i) }] : []));
  const sensor = ({ site, review }: { readonly site: CohortSite; readonly review: ReviewCounts }): Part => ({ one, cluster, place: site.siteKey, intervalMs: site.intervalMs, primary: ofLosses(site.any), doubtfulLost: ofLosses(site.doubtfulLost), review });
  const sensors = monitored.map(sensor);
  if (sensors.length === 0) return [];
  const finest = sensors.reduce<number | null>((least, { intervalMs }) => (intervalMs === null ? least : Math.min(least ?? Infinity, intervalMs)), null);
  const together = (pick: (part: Part) => Losses): Losses => ({
    monitoredMs: sensors.reduce((sum, part) => sum + pick(part).monitoredMs, 0),
    lostMs: sensors.flatMap((part) => pick(part).lostMs),
  });
  return [
    ...sensors,
    { one, cluster, place: ALL_SENSORS, intervalMs: finest, primary: together((part) => part.primary), doubtfulLost: together((part) => part.doubtfulLost), review: sumOfCounts(monitored.map(({ review }) => review)) },
    { one, cluster, place: WHOLE_CASE, intervalMs: finest, primary: ofBlind(one.blind), doubtfulLost: ofBlind(one.blindDoubtfulLost), review: null },
  ];
}

function ofLosses({ monitoredMs, dropouts }: CohortLosses): Losses {
  return { monitoredMs, lostMs: dropouts.map(({ lostMs }) => lostMs) };
}

function ofBlind({ monitoredMs, lengthsMs }: CohortBlind): Losses {
  return { monitoredMs, lostMs: lengthsMs };
}

/** Sensors by name, then all of them, then the case. */
function placesOf(parts: readonly Part[]): string[] {
  const last = [ALL_SENSORS, WHOLE_CASE];
  const names = [...new Set(parts.map(({ place }) => place))];
  return [...names.filter((name) => !last.includes(name)).sort(inCodePointOrder), ...last.filter((name) => names.includes(name))];
}

function rowOf(scope: BurdenScope, value: string | null, place: string, parts: readonly Part[], { conf, draws, seed }: { readonly conf: number; readonly draws: number; readonly seed: number }): BurdenRow {
  const counts = grouped(parts, ({ intervalMs }) => intervalMs);
  const intervals = [...counts].map(([intervalMs, has]) => ({ intervalMs, cases: has.length })).sort((a, b) => (a.intervalMs ?? Infinity) - (b.intervalMs ?? Infinity));
  return {
    scope,
    value,
    place,
    primary: figuresOf(parts, ({ primary }) => primary, conf),
    doubtfulLost: figuresOf(parts, ({ doubtfulLost }) => doubtfulLost, conf),
    review: place === WHOLE_CASE ? null : sumOfCounts(parts.flatMap(({ review }) => review ?? [])),
    intervals,
    drawn: scope === 'month' ? null : drawnOf(parts, { conf, replicates: draws, seed }),
  };
}

function figuresOf(parts: readonly Part[], pick: (part: Part) => Losses, conf: number): BurdenFigures {
  const found = cohortBurden(parts.map((part) => ({ cluster: part.cluster, ...pick(part) })), conf);
  return {
    cases: found.cases,
    units: found.clusters,
    monitoredMs: found.monitoredMs,
    dropouts: found.losses,
    lostMs: found.lostMs,
    share: found.share,
    shareInterval: robust(found.shareOverCases),
    perHour: found.perHour.estimate,
    perHourInterval: rateInterval(found),
    dispersion: found.perHour.dispersion,
    casesWithDropout: found.casesWithLoss,
    withDropout: found.withLoss.estimate,
    withDropoutInterval: found.clusters < found.cases ? shareOverUnits(parts, pick, conf) : { method: found.withLoss.reason === null ? 'Clopper-Pearson' : null, lower: found.withLoss.lower, upper: found.withLoss.upper, n: found.cases, reason: found.withLoss.reason },
    lowerQuartileMs: found.lowerQuartileMs,
    medianMs: found.medianMs,
    upperQuartileMs: found.upperQuartileMs,
    longestMs: found.longestMs,
    medianShareOfCases: found.medianShareOfCases,
  };
}

const SHARE_REASONS = { 'no denominator': 'nothing was monitored', 'one cluster': 'one unit only', 'nothing counted': 'no dropout', 'everything counted': 'a dropout in every case', 'all clusters alike': 'all units alike' } as const;

/** Cases of one patient are no independent trials: the exact binomial interval would be too narrow. */
function shareOverUnits(parts: readonly Part[], pick: (part: Part) => Losses, conf: number): NamedInterval {
  const units = [...grouped(parts, ({ cluster }) => cluster).values()];
  const { lower, upper, clusters, reason } = clusterRobustShare(units.map((members) => members.filter((part) => pick(part).lostMs.length > 0).length), units.map((members) => members.length), conf);
  return { method: reason === null ? 'cluster-robust t (logit)' : null, lower, upper, n: clusters, reason: reason === null ? null : SHARE_REASONS[reason] };
}

const REASONS = { 'no denominator': 'nothing was monitored', 'one cluster': 'one unit only', 'nothing counted': 'no dropout' } as const;

function robust({ lower, upper, clusters, reason }: ClusterRatio): NamedInterval {
  return { method: reason === null ? 'cluster-robust t' : null, lower, upper, n: clusters, reason: reason === null ? null : REASONS[reason] };
}

/** One unit, or no event at all, has an exact interval instead of none. */
function rateInterval({ perHour, perHourIfIndependent }: CohortBurden): NamedInterval {
  if (perHour.reason !== 'one cluster' && perHour.reason !== 'nothing counted') return robust(perHour);
  const { lower, upper } = perHourIfIndependent;
  return { method: 'exact Poisson', lower, upper, n: perHour.clusters, reason: REASONS[perHour.reason] };
}

function drawnOf(parts: readonly Part[], resampling: { readonly conf: number; readonly replicates: number; readonly seed: number }): BurdenRow['drawn'] {
  const sums = [...grouped(parts, ({ cluster }) => cluster).values()];
  if (sums.length < DRAWN_FROM_UNITS) return null;
  const sum = (of: (losses: Losses) => number) => sums.map((members) => members.reduce((total, { primary }) => total + of(primary), 0));
  const columns = [sum(({ lostMs }) => lostMs.reduce((total, { mid }) => total + mid, 0)), sum(({ lostMs }) => lostMs.length), sum(({ monitoredMs }) => monitoredMs / HOUR_MS)];
  const [share, perHour] = clusterBootstrap(columns, [(totals) => ratioOf(0, 2)(totals) / HOUR_MS, ratioOf(1, 2)], resampling);
  if (share === undefined || perHour === undefined) return null;
  return { share: drawnInterval(share, sums.length), perHour: drawnInterval(perHour, sums.length) };
}

function caseRow({ one, place, intervalMs, primary, doubtfulLost, review }: Part, values: readonly string[]): CaseBurdenRow {
  const { monitoredMs } = primary;
  const lostMs = totalOf(primary.lostMs);
  const lostMidDoubtfulLostMs = totalOf(doubtfulLost.lostMs).mid;
  return {
    caseKey: one.caseKey,
    caseId: one.caseId,
    month: one.date?.slice(0, 7) ?? UNSTATED,
    values,
    place,
    intervalMs,
    monitoredMs,
    dropouts: primary.lostMs.length,
    lostMs,
    share: monitoredMs > 0 ? { low: lostMs.low / monitoredMs, mid: lostMs.mid / monitoredMs, high: lostMs.high / monitoredMs } : null,
    perHour: monitoredMs > 0 ? primary.lostMs.length / (monitoredMs / HOUR_MS) : null,
    longestMidMs: primary.lostMs.length === 0 ? null : primary.lostMs.reduce((most, { mid }) => Math.max(most, mid), 0),
    review,
    dropoutsDoubtfulLost: doubtfulLost.lostMs.length,
    lostMidDoubtfulLostMs,
    shareMidDoubtfulLost: doubtfulLost.monitoredMs > 0 ? lostMidDoubtfulLostMs / doubtfulLost.monitoredMs : null,
  };
}

function totalOf(parts: readonly Range3[]): Range3 {
  return parts.reduce((sum, { low, mid, high }) => ({ low: sum.low + low, mid: sum.mid + mid, high: sum.high + high }), { low: 0, mid: 0, high: 0 });
}

/** Counts from records with different intervals are not to be compared. Source: handbook 3.4. */
function warningsOf(rows: readonly BurdenRow[], groupName: string): string[] {
  const warnings: string[] = [];
  const intervalsText = ({ intervals }: BurdenRow): string => intervals.map(({ intervalMs }) => (intervalMs === null ? 'irregular' : `${intervalMs / 1000} s`)).join(', ');
  const differ = (compared: readonly BurdenRow[]): boolean => new Set(compared.map(intervalsText)).size > 1;
  const say = (between: string): void => {
    warnings.push(`Recording intervals differ between ${between}: counts and rates of dropouts must not be compared between them without thinning to the coarser interval; shares of time lost survive better.`);
  };
  const all = rows.filter(({ scope }) => scope === 'all');
  const sensors = all.filter(({ place }) => place !== ALL_SENSORS && place !== WHOLE_CASE);
  if (differ(sensors)) say('sites');
  for (const row of sensors) if (row.intervals.length > 1) warnings.push(`At the site ${row.place} cases were recorded at different intervals (${intervalsText(row)}): its count and rate mix them.`);
  const byPlace = (scope: BurdenScope) => [...grouped(rows.filter((row) => row.scope === scope && row.place !== WHOLE_CASE && row.place !== ALL_SENSORS), ({ place }) => place).values()];
  if (byPlace('group').some(differ)) say(`the groups of ${groupName}`);
  if (byPlace('month').some(differ)) say('months');
  return warnings;
}
