import type { Interval } from '../base/interval.ts';
import { difference, intersection, union } from '../base/interval.ts';
import type { CohortCase, CohortSite } from '../model/cohort-case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { spansOf } from './loss-within.ts';

/** Less time of two sensors together, or of one in a study, says nothing of a share. Source: statistics c. */
export const LEAST_COMMON_MS = 600_000;

/** Returns the time in which all of some sensors of a case were meant to inform, record gaps and, unless it is kept, bypass taken out. Source: analysis-spec 9. */
export function commonTime({ exposures }: Pick<CohortCase, 'exposures'>, sites: readonly CohortSite[], { keepBypass }: Pick<AnalysisParameters, 'keepBypass'>): Interval[] {
  const [first = [], ...rest] = sites.map(({ any }) => spansOf(any.monitoredSpans));
  const shared = rest.reduce((common, spans) => intersection(common, spans), first);
  const bypass = exposures.flatMap(({ kind, atMs, endMs }) => (kind === 'bypass' && endMs !== null ? [{ startMs: atMs, endMs }] : []));
  return keepBypass ? shared : difference(shared, union(bypass));
}
