import type { Range3 } from '../base/interval.ts';
import type { CohortCase, CohortDropout } from '../model/cohort-case.ts';
import type { CohortCaution } from '../model/cohort-caution.ts';
import { FEW_UNITS } from '../model/cohort-caution.ts';
import type {
  BetweenCurve, CurvePoint, LengthBound, MeanFigure, RestorationCurve, RestorationDifference, RestorationGroup, RestorationGroupKind, RestorationTest, RestorationTimes,
} from '../model/cohort-restoration.ts';
import { LENGTH_BOUNDS, RESTORATION_TIMES_S } from '../model/cohort-restoration.ts';
import { holmAdjusted } from '../stats/holm.ts';
import { kaplanMeier, survivalAt, survivalQuantile } from '../stats/kaplan-meier.ts';
import type { SurvivalCurve } from '../stats/kaplan-meier.ts';
import { logRank } from '../stats/log-rank.ts';
import { median } from '../stats/quantile.ts';
import { restrictedMean, restrictedMeanDifference } from '../stats/restricted-mean.ts';
import type { RestrictedMean, TimesOfGroup } from '../stats/restricted-mean.ts';
import { turnbull, turnbullQuantile } from '../stats/turnbull.ts';
import { clusterOf, inCaseOrder } from './clusters.ts';

/** How times to restored information are worked out. */
export interface RestorationOptions {
  readonly conf: number;
  /** Limit of the restricted means, s; fixed before anybody looks. */
  readonly meanLimitS: number;
  /** Whether only the mid curves of all and of each site are wanted: what other definitions are compared by. */
  readonly isMainOnly: boolean;
}

/** 10 min: the longest continuous loss that a published definition asks for (Reich 1996, 9.18 % of cases). */
export const DEFAULT_RESTORATION_OPTIONS: RestorationOptions = { conf: 0.95, meanLimitS: 600, isMainOnly: false };

/** From this share of the median length on, the recording interval decides the curve. Source: statistics b. */
const COARSE_SHARE = 0.25;
/** More steps than a picture can show are thinned to those at which the share fell by at least one of so many parts. */
const MOST_STEPS = 400;
const MOST_BOXES = 400;

/** A loss in one group: how long until information came back, or until watching ended. */
interface RestorationTime {
  readonly unit: string;
  readonly caseKey: string;
  readonly lengthMs: Range3;
  readonly isRestored: boolean;
}

/**
 * Returns the time from onset to restored information at the sensor that lost it, per site and from what was done.
 * Shape   losses of one unit (patient or case) are never taken as independent: influences are summed within it. Every curve is
 *         drawn from the low, the mid and the high estimate of the lengths. After what was done: from the first of its kind
 *         within a loss to information, for losses with such an entry.
 * Units   ms; shares from 0 to 1.
 * Missing a loss that ended elsewhere or never is censored where watching ended. What is not reached is null. Groups without a
 *         loss are not listed.
 * Source  statistics b; docs/methods/time-to-information.md.
 */
export function restorationTimes(cases: readonly CohortCase[], { conf, meanLimitS, isMainOnly }: RestorationOptions): RestorationTimes {
  const limitMs = meanLimitS * 1000;
  const bySite = new Map<string, RestorationTime[]>();
  const byAction = new Map<string, RestorationTime[]>();
  const all: RestorationTime[] = [];
  const untouched: RestorationTime[] = [];
  for (const one of [...cases].sort(inCaseOrder)) {
    const unit = clusterOf(one);
    for (const { siteKey, any } of one.sites) {
      for (const dropout of any.dropouts) {
        const time = { unit, caseKey: one.caseKey, lengthMs: dropout.lostMs, isRestored: dropout.restoredBy === 'same site' };
        all.push(time);
        put(bySite, siteKey, time);
        if (isMainOnly) continue;
        if (dropout.responses.length === 0) untouched.push(time);
        for (const [kind, lengthMs] of sinceActions(dropout)) put(byAction, kind, { ...time, lengthMs });
      }
    }
  }
  const groupOf = (kind: RestorationGroupKind, of: string, times: readonly RestorationTime[]) => group(kind, of, times, isMainOnly ? ['mid'] : LENGTH_BOUNDS, conf, limitMs);
  const siteKeys = [...bySite.keys()].sort();
  const groups = [
    ...(all.length === 0 ? [] : [groupOf('all', '', all)]),
    ...siteKeys.map((siteKey) => groupOf('site', siteKey, bySite.get(siteKey) ?? [])),
    ...[...byAction.keys()].sort().map((kind) => groupOf('after what was done', kind, byAction.get(kind) ?? [])),
    ...(untouched.length === 0 ? [] : [groupOf('nothing on record', '', untouched)]),
  ];
  return {
    conf,
    limitMs,
    groups,
    sites: siteKeys.length < 2 || isMainOnly ? null : siteTest(siteKeys, bySite),
    differences: isMainOnly ? [] : differencesOf(siteKeys, bySite, conf, limitMs),
    cautions: ['association is not cause'],
  };
}

function put<T>(lists: Map<string, T[]>, key: string, value: T): void {
  const known = lists.get(key);
  if (known === undefined) lists.set(key, [value]);
  else known.push(value);
}

/** From the first entry of each kind within a loss to information: not before the entry, and not longer than the record knows. */
function sinceActions({ responses, lastLostMs, firstGoodMs, censoredAtMs }: CohortDropout): Map<string, Range3> {
  const since = new Map<string, Range3>();
  for (const { kind, atMs } of responses) {
    if (since.has(kind)) continue;
    const low = Math.max(0, (lastLostMs ?? censoredAtMs ?? NaN) - atMs);
    const high = Math.max(0, (firstGoodMs ?? censoredAtMs ?? NaN) - atMs);
    since.set(kind, { low, mid: (low + high) / 2, high });
  }
  return since;
}

function group(kind: RestorationGroupKind, of: string, times: readonly RestorationTime[], bounds: readonly LengthBound[], conf: number, limitMs: number): RestorationGroup {
  const curves = bounds.map((bound) => curveOf(bound, times, conf, limitMs));
  const units = new Set(times.map(({ unit }) => unit)).size;
  const caseKeys = [...new Set(times.map(({ caseKey }) => caseKey))];
  const resolutionMs = median(times.map(({ lengthMs }) => (lengthMs.high - lengthMs.low) / 2));
  const lengthMs = curves.find(({ bound }) => bound === 'mid')?.median.estimateMs ?? median(times.map((time) => time.lengthMs.mid));
  const isCoarse = resolutionMs !== null && lengthMs !== null && resolutionMs >= COARSE_SHARE * lengthMs;
  const cautions: CohortCaution[] = ['association is not cause'];
  if (units < FEW_UNITS) cautions.push('fewer than 10 units');
  if (isCoarse) cautions.push('coarse sampling');
  if (kind === 'after what was done' || kind === 'nothing on record') cautions.push('longer losses see more done');
  return {
    kind,
    of,
    losses: times.length,
    restored: times.filter(({ isRestored }) => isRestored).length,
    cases: caseKeys.length,
    caseKeys: bounds.length > 1 ? caseKeys : [],
    units,
    curves,
    between: isCoarse && bounds.length > 1 ? betweenCurve(times) : null,
    resolutionMs,
    cautions,
  };
}

function timesOf(times: readonly RestorationTime[], bound: LengthBound): TimesOfGroup {
  return { times: times.map(({ lengthMs, isRestored }) => ({ time: lengthMs[bound], isEvent: isRestored })), clusters: times.map(({ unit }) => unit) };
}

function curveOf(bound: LengthBound, times: readonly RestorationTime[], conf: number, limitMs: number): RestorationCurve {
  const own = timesOf(times, bound);
  const curve = kaplanMeier(own.times, conf, 'log-log', own.clusters);
  const half = survivalQuantile(curve, 0.5);
  const lastMs = curve.allTimes.at(-1) ?? null;
  return {
    bound,
    median: { estimateMs: half.estimate, lowerMs: half.lower, upperMs: half.upper },
    lowerQuartileMs: survivalQuantile(curve, 0.25).estimate,
    upperQuartileMs: survivalQuantile(curve, 0.75).estimate,
    mean: meanFigure(restrictedMean(own, limitMs, conf)),
    atTimes: RESTORATION_TIMES_S.map((s) => s * 1000)
      .filter((atMs) => lastMs !== null && atMs <= lastMs)
      .map((atMs) => {
        const { survival: share, lower, upper, atRisk } = survivalAt(curve, atMs);
        return { atMs, share, lower, upper, atRisk };
      }),
    steps: shownSteps(curve),
    lastMs,
  };
}

function meanFigure({ estimate, lower, upper, reason }: RestrictedMean): MeanFigure {
  return { estimateMs: estimate, lowerMs: lower, upperMs: upper, reason: reason === 'one cluster' ? 'one unit' : reason };
}

/** The steps of the curve; where there are too many for a picture, those at which it fell far enough since the last one shown, and the last. */
function shownSteps(curve: SurvivalCurve): CurvePoint[] {
  const isLong = curve.times.length > MOST_STEPS;
  let shown = 1;
  return curve.times.flatMap((atMs, i): CurvePoint[] => {
    const share = curve.survival[i] ?? NaN;
    if (isLong && shown - share < 1 / MOST_STEPS && i < curve.times.length - 1) return [];
    shown = share;
    return [{ atMs, share, lower: curve.lower[i] ?? null, upper: curve.upper[i] ?? null, atRisk: curve.atRisk[i] ?? NaN }];
  });
}

/** A loss that came back lies between its low and its high estimate; the others ended later than they were surely watched, if ever. */
function betweenCurve(times: readonly RestorationTime[]): BetweenCurve {
  const curve = turnbull(times.map(({ lengthMs, isRestored }) => ({ left: lengthMs.low, right: isRestored ? lengthMs.high : Infinity })));
  const half = turnbullQuantile(curve, 0.5);
  const perBox = Math.ceil(curve.mass.length / MOST_BOXES);
  const boxes: { fromMs: number; toMs: number | null; share: number }[] = [];
  for (let at = 0; at < curve.mass.length; at += perBox) {
    const end = Math.min(at + perBox, curve.mass.length) - 1;
    const to = curve.right[end] ?? NaN;
    boxes.push({ fromMs: curve.left[at] ?? NaN, toMs: to === Infinity ? null : to, share: curve.mass.slice(at, end + 1).reduce((sum, mass) => sum + mass, 0) });
  }
  return { boxes, median: half === null ? null : { fromMs: half.left, toMs: half.right }, reason: curve.reason };
}

/** Log-rank test of sites with cases as strata, on the mid estimates. */
function siteTest(siteKeys: readonly string[], bySite: ReadonlyMap<string, readonly RestorationTime[]>): RestorationTest {
  const rows = siteKeys.flatMap((group) =>
    (bySite.get(group) ?? []).map(({ caseKey, lengthMs, isRestored }) => ({ time: lengthMs.mid, isEvent: isRestored, group, stratum: caseKey })),
  );
  const { chiSquare, df, p, informativeStrata, reason } = logRank(rows);
  return { chiSquare, df, p, informativeCases: informativeStrata, reason };
}

function differencesOf(siteKeys: readonly string[], bySite: ReadonlyMap<string, readonly RestorationTime[]>, conf: number, limitMs: number): RestorationDifference[] {
  const pairs = siteKeys.flatMap((first, i) => siteKeys.slice(i + 1).map((second): Omit<RestorationDifference, 'pHolm'> => {
    const [own, other] = [bySite.get(first) ?? [], bySite.get(second) ?? []];
    const cases = new Set(own.map(({ caseKey }) => caseKey));
    const [firstUnits, secondUnits] = [new Set(own.map(({ unit }) => unit)).size, new Set(other.map(({ unit }) => unit)).size];
    const mean = restrictedMeanDifference(timesOf(own, 'mid'), timesOf(other, 'mid'), limitMs, conf);
    return {
      firstKey: first,
      secondKey: second,
      casesWithBoth: new Set(other.map(({ caseKey }) => caseKey).filter((caseKey) => cases.has(caseKey))).size,
      firstUnits,
      secondUnits,
      logRank: siteTest([first, second], bySite),
      mean: { ...meanFigure(mean), p: mean.p },
      cautions: Math.min(firstUnits, secondUnits) < FEW_UNITS ? ['association is not cause', 'fewer than 10 units'] : ['association is not cause'],
    };
  }));
  const adjusted = holmAdjusted(pairs.map(({ logRank: { p } }) => p));
  return pairs.map((pair, i) => ({ ...pair, pHolm: adjusted[i] ?? null }));
}
