import type { CaseMs } from '../base/brand.ts';
import type { CaseAnalysis, Exposure, SiteAnalysis } from '../model/analysis.ts';
import type { ClockComparison } from '../model/clock-comparison.ts';
import type { CaseRecord } from '../model/case.ts';
import type { CaseReview, SealedEntry } from '../model/review.ts';
import type { SensorPlace } from '../model/site.ts';
import { SITES } from '../model/site.ts';
import { CaseClock } from '../time/case-clock.ts';

/** A case with its analysis: what the tables are written from. */
export interface AnalyzedCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  /** How the clocks of its sources stand to one another. Left out: nobody asked. */
  readonly clocks?: readonly ClockComparison[] | undefined;
  /** What readers said of it; null, or left out: nobody asked. */
  readonly review?: CaseReview | null | undefined;
  /** What it is made of, in the order of the trail. */
  readonly entries?: readonly SealedEntry[] | null | undefined;
}

/** An analysed case with what its rows look up again and again. */
export interface CaseContext extends AnalyzedCase {
  /** Instant as text, '' where the record has no date. */
  readonly at: (atMs: CaseMs | null) => string;
  /** In the order of the output: by site, then sensor. */
  readonly sites: readonly SiteAnalysis[];
  readonly place: (siteKey: string | null) => SensorPlace | null;
  readonly exposure: (exposureId: string) => Exposure;
}

/** Returns the context of one case. */
export function contextOf({ record, analysis, clocks, review, entries }: AnalyzedCase): CaseContext {
  const clock = new CaseClock(record.origin);
  const places = new Map(analysis.sites.map((site) => [site.siteKey, site]));
  const exposures = new Map(analysis.exposures.map((exposure) => [exposure.exposureId, exposure]));
  return {
    record,
    analysis,
    clocks,
    review,
    entries,
    at: (atMs) => (atMs === null ? '' : clock.isoText(atMs)),
    sites: [...analysis.sites].sort((a, b) => SITES.indexOf(a.site) - SITES.indexOf(b.site) || inOrder(a.sensor, b.sensor)),
    place: (siteKey) => (siteKey === null ? null : (places.get(siteKey) ?? null)),
    exposure: (exposureId) => {
      const exposure = exposures.get(exposureId);
      if (exposure === undefined) throw new Error(`a link names an exposure that the case does not list: ${exposureId}`);
      return exposure;
    },
  };
}

/** Returns which of two texts comes first by code units: the same on every machine. */
export function inOrder(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
