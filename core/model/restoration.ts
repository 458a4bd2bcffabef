import type { Exposure } from './analysis.ts';

/** How the dropouts of one sensor ended, and what was done during them. */
export interface Restoration {
  readonly sameSite: number;
  readonly otherSite: number;
  readonly notRestored: number;
  /** Median time lost until information came back at this sensor, those that did not come back censored; null when not reached. */
  readonly medianMs: number | null;
  /** Median time until another site gave information, over the dropouts that ended there; null for none. */
  readonly medianElsewhereMs: number | null;
  /** Dropouts during which something is on record as done. */
  readonly dropoutsAnswered: number;
  /** Median time from onset to the first of it, over those; null for none. */
  readonly medianToResponseMs: number | null;
  /** What was done, by kind, counted by dropouts; most first. */
  readonly responses: readonly { readonly kind: Exposure['kind']; readonly dropouts: number }[];
  /** Onset patterns counted by dropouts; most first. A dropout may count under several. */
  readonly patterns: readonly { readonly pattern: string; readonly dropouts: number }[];
}
