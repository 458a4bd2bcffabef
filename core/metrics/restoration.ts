import type { Dropout, Exposure } from '../model/analysis.ts';
import type { Restoration } from '../model/restoration.ts';
import { censoredMedian } from '../stats/product-limit.ts';
import { median } from '../stats/quantile.ts';

/**
 * Returns how the dropouts of a sensor ended and what was done during them.
 * Shape   `exposures` are those of the case.
 * Units   ms. The time to information at this sensor is the mid estimate of the time lost; one that ended elsewhere or
 *         never is censored there.
 * Missing no dropout: zeros and nulls. Only what was written down counts as done.
 * Source  statistics b; docs/metrics/restoration.md.
 */
export function restoration(dropouts: readonly Dropout[], exposures: readonly Pick<Exposure, 'exposureId' | 'kind'>[]): Restoration {
  const kinds = new Map(exposures.map((exposure) => [exposure.exposureId, exposure.kind]));
  const ended = (by: Dropout['restoredBy']) => dropouts.filter((dropout) => dropout.restoredBy === by);
  const answered = dropouts.filter((dropout) => dropout.responses.length > 0);
  const firstResponses = answered.map((dropout) => dropout.responses.reduce((least, response) => Math.min(least, -response.leadMs), Infinity));
  return {
    sameSite: ended('same site').length,
    otherSite: ended('other site').length,
    notRestored: ended('not restored').length,
    medianMs: censoredMedian(dropouts.map((dropout) => ({ time: dropout.lostMs.mid, isEvent: dropout.restoredBy === 'same site' }))),
    medianElsewhereMs: median(ended('other site').flatMap((dropout) => (dropout.restoredAfterMs === null ? [] : [dropout.restoredAfterMs]))),
    dropoutsAnswered: answered.length,
    medianToResponseMs: median(firstResponses),
    responses: counted(dropouts, (dropout) => dropout.responses.flatMap((response) => kinds.get(response.exposureId) ?? [])).map(([kind, count]) => ({ kind, dropouts: count })),
    patterns: counted(dropouts, (dropout) => dropout.patterns).map(([pattern, count]) => ({ pattern, dropouts: count })),
  };
}

/** How many dropouts have each of what `pick` names, most first, then by name. */
function counted<Name extends string>(dropouts: readonly Dropout[], pick: (dropout: Dropout) => readonly Name[]): [Name, number][] {
  const counts = new Map<Name, number>();
  for (const dropout of dropouts) for (const name of new Set(pick(dropout))) counts.set(name, (counts.get(name) ?? 0) + 1);
  return [...counts].sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1));
}
