import type { Interval } from '../base/interval.ts';
import { difference, intersection, totalMs, union } from '../base/interval.ts';
import type { LossRun } from '../model/loss-run.ts';
import type { CoveredLoss } from '../model/site-comparison.ts';

/**
 * Returns how much of one sensor's lost time the other had information: the least and the most that the samples allow.
 * Shape   a loss certainly reaches from its first to its last lost sample, and possibly from the last good to the first good
 *         one. Least: the other loses wherever it possibly does, and an uncertain edge counts only where it is uncovered;
 *         most: the reverse. So least ≤ the share of the middle estimates ≤ most.
 * Units   ms, within `shared`.
 * Source  analysis-spec 9 with the bounds of section 5; docs/metrics/site-pairs.md.
 */
export function coveredLoss(lost: readonly LossRun[], otherLost: readonly LossRun[], shared: readonly Interval[]): CoveredLoss {
  const [certain, possible] = [certainOf(lost, shared), possibleOf(lost, shared)];
  const edges = difference(possible, certain);
  const never = difference(shared, possibleOf(otherLost, shared));
  const ever = difference(shared, certainOf(otherLost, shared));
  return {
    leastCoveredMs: common(certain, never),
    leastLostMs: totalMs(certain) + totalMs(edges) - common(edges, never),
    mostCoveredMs: common(certain, ever) + common(edges, ever),
    mostLostMs: totalMs(certain) + common(edges, ever),
  };
}

function certainOf(runs: readonly LossRun[], shared: readonly Interval[]): Interval[] {
  return intersection(union(runs.map((run) => ({ startMs: run.firstLostMs, endMs: run.isOpen ? Infinity : run.lastLostMs }))), shared);
}

function possibleOf(runs: readonly LossRun[], shared: readonly Interval[]): Interval[] {
  return intersection(union(runs.map((run) => ({ startMs: run.lastGoodMs, endMs: run.isOpen ? Infinity : run.firstGoodMs }))), shared);
}

function common(a: readonly Interval[], b: readonly Interval[]): number {
  return totalMs(intersection(a, b));
}
