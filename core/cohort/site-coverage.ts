import type { NamedInterval } from '../model/cohort-burden.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { CoverageFigure } from '../model/cohort-sites.ts';
import type { ClusterShare } from '../stats/cluster-share.ts';
import { clusterRobustShare } from '../stats/cluster-share.ts';
import { clusterOf } from './clusters.ts';
import { grouped } from './grouped.ts';

/** What one case says of two sensors, seen from the one that lost. */
interface Part {
  readonly cluster: string;
  readonly lostKey: string;
  readonly otherKey: string;
  readonly sharedMs: number;
  readonly lostMs: number;
  readonly coveredMs: number;
}

/**
 * Returns, for every two sensors worn at once, how much of the time lost at the one the other had information, and the reverse.
 * Shape   in the order in which pairs first come; ratio of the totals with the interval that lets units differ.
 * Units   ms; shares from 0 to 1.
 * Missing nothing lost at a sensor: no share, with the reason.
 * Source  docs/metrics/site-pairs.md; statistics a (cluster-robust interval, on the logit scale).
 */
export function siteCoverage(cases: readonly CohortCase[], conf: number): CoverageFigure[] {
  const parts = cases.flatMap((one) =>
    one.pairs.filter(({ sharedMs }) => sharedMs > 0).flatMap(({ firstKey, secondKey, sharedMs, onlyFirstMs, onlySecondMs, neitherMs }): Part[] => [
      { cluster: clusterOf(one), lostKey: firstKey, otherKey: secondKey, sharedMs, lostMs: onlySecondMs + neitherMs, coveredMs: onlySecondMs },
      { cluster: clusterOf(one), lostKey: secondKey, otherKey: firstKey, sharedMs, lostMs: onlyFirstMs + neitherMs, coveredMs: onlyFirstMs },
    ]),
  );
  return [...grouped(parts, ({ lostKey, otherKey }) => JSON.stringify([lostKey, otherKey])).values()].map((members) => figureOf(members, conf));
}

function figureOf(members: readonly Part[], conf: number): CoverageFigure {
  const units = [...grouped(members, ({ cluster }) => cluster).values()];
  const sum = (list: readonly Part[], pick: (part: Part) => number) => list.reduce((total, part) => total + pick(part), 0);
  const share = clusterRobustShare(units.map((unit) => sum(unit, ({ coveredMs }) => coveredMs)), units.map((unit) => sum(unit, ({ lostMs }) => lostMs)), conf);
  return {
    lostKey: members[0]?.lostKey ?? '',
    otherKey: members[0]?.otherKey ?? '',
    cases: members.length,
    sharedMs: sum(members, ({ sharedMs }) => sharedMs),
    lostMs: sum(members, ({ lostMs }) => lostMs),
    coveredMs: sum(members, ({ coveredMs }) => coveredMs),
    share: share.estimate,
    interval: intervalOf(share),
  };
}

const REASONS = { 'no denominator': 'nothing was lost', 'one cluster': 'one unit with a loss only', 'nothing counted': 'nothing was covered', 'everything counted': 'everything was covered', 'all clusters alike': 'all units alike' } as const;

function intervalOf({ lower, upper, clusters, reason }: ClusterShare): NamedInterval {
  return { method: reason === null ? 'cluster-robust t (logit)' : null, lower, upper, n: clusters, reason: reason === null ? null : REASONS[reason] };
}
