import { linkDropout } from '../linkage/link.ts';
import { confirmedFigures } from '../metrics/confirmed-figures.ts';
import type { CaseAnalysis } from '../model/analysis.ts';
import type { CaseRecord } from '../model/case.ts';
import type { CohortCase, CohortCounted, CohortDropout, CohortLosses, CohortReview, CohortSite } from '../model/cohort-case.ts';
import type { CountedDropout, CountedLosses } from '../model/confirmed.ts';
import type { CaseReview } from '../model/review.ts';

/**
 * Returns what reviewers made of a case, as cohorts count it; null where nobody has said anything of its dropouts.
 * Shape   sensors in the order of `one`, which is the case as computed. A dropout keeps its number, its links and what was seen around it; with
 *         corrected bounds its links are made anew.
 * Missing values around a dropout with corrected bounds are not known: no sample is looked at.
 * Source  docs/metrics/confirmed.md.
 */
export function cohortReviewOf(record: CaseRecord, analysis: CaseAnalysis, review: CaseReview, one: Pick<CohortCase, 'sites' | 'blind' | 'exposures'>): CohortReview | null {
  if (review.without.length === 0 && review.dropouts.every(({ outcome }) => outcome === 'not reviewed')) return null;
  const { counts, without, confirmed, notRefuted } = confirmedFigures(record, analysis, review);
  const counted = (losses: CountedLosses): CohortCounted => ({
    sites: one.sites.map((site) => lossesOf(site, losses, one, analysis.parameters.handTimeS * 1000)),
    blind: { count: losses.blindTotals.count, lostMs: losses.blindTotals.lostMs, longestMidMs: losses.blindTotals.longestMidMs, lengthsMs: losses.blindMs, monitoredMs: one.blind.monitoredMs },
  });
  return {
    counts: one.sites.flatMap((site) => {
      const own = counts.find(({ siteKey }) => siteKey === site.siteKey);
      if (own === undefined) return [];
      const { siteKey: _siteKey, ...rest } = own;
      return [rest];
    }),
    without,
    confirmed: counted(confirmed),
    notRefuted: counted(notRefuted),
  };
}

function lossesOf({ siteKey, any }: CohortSite, losses: CountedLosses, { exposures }: Pick<CohortCase, 'exposures'>, handTimeMs: number): CohortLosses {
  const own = losses.sites.find((site) => site.siteKey === siteKey);
  const known = new Map(any.dropouts.map((dropout) => [dropout.dropoutId, dropout]));
  const kinds = new Map(exposures.map(({ exposureId, kind, atMs }) => [exposureId, { kind, atMs }]));
  const dropouts = (own?.dropouts ?? []).flatMap((counted): CohortDropout[] => {
    const computed = known.get(counted.dropoutId);
    if (computed === undefined) return [];
    if (hasSameBounds(computed, counted)) return [computed];
    const { dropoutId: _dropoutId, ...bounds } = counted;
    const { links, responses } = linkDropout({ lastGoodMs: bounds.lastGoodMs, firstLostMs: bounds.firstLostMs, endMs: bounds.firstGoodMs ?? bounds.censoredAtMs ?? bounds.firstLostMs }, exposures, handTimeMs);
    const isRestoredHere = bounds.firstGoodMs !== null;
    const wasRestoredHere = computed.firstGoodMs !== null;
    return [{
      ...computed,
      ...bounds,
      ...(isRestoredHere ? { restoredBy: 'same site', restoredSiteKey: null, restoredAfterMs: null } : wasRestoredHere ? { restoredBy: 'not restored', restoredSiteKey: null, restoredAfterMs: null } : {}),
      links,
      responses: responses.flatMap(({ exposureId }) => kinds.get(exposureId) ?? []),
      spo2Before: null,
      spo2After: null,
    }];
  });
  return { dropouts, lostMs: own?.totals.lostMs ?? NOTHING, longestMidMs: own?.totals.longestMidMs ?? 0, monitoredMs: any.monitoredMs, monitoredSpans: any.monitoredSpans, openTail: any.openTail };
}

const NOTHING = { low: 0, mid: 0, high: 0 } as const;

function hasSameBounds(a: CohortDropout, b: CountedDropout): boolean {
  return a.lastGoodMs === b.lastGoodMs && a.firstLostMs === b.firstLostMs && a.lastLostMs === b.lastLostMs && a.firstGoodMs === b.firstGoodMs && a.censoredAtMs === b.censoredAtMs && a.lostMs.mid === b.lostMs.mid;
}
