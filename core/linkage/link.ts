import type { Link } from '../model/analysis.ts';
import type { BareExposure } from '../model/prepared-case.ts';

/** The part of a dropout that links hang on. */
export interface Onset {
  readonly lastGoodMs: number;
  readonly firstLostMs: number;
  /** End of the dropout: first good, or where it is censored. */
  readonly endMs: number;
}

/** What of an exposure links hang on. */
export type LinkableExposure = Pick<BareExposure, 'exposureId' | 'kind' | 'atMs' | 'endMs' | 'windowMs' | 'manual'>;

/** Kinds that answer a loss and never count as coming before one. */
const RESPONSES: ReadonlySet<string> = new Set(['sensor', 'cuff moved', 'warming']);

/**
 * Returns the exposures that preceded a dropout (nearest first) and what was done during it (in time order).
 * Shape   new arrays; `exposures` in time order.
 * Units   ms. `leadMs` = middle of the onset interval − time of the exposure; negative for what came after.
 * Missing the onset lies in (last good, first lost]. The link is certain when all of it lies between the exposure and the
 *         end of its reach (both included), possible when only part does. Where the exposure's time was typed by hand, a
 *         link whose order or whose reach is decided by less than `handTimeMs` is possible at best. An exposure at or
 *         after first lost never precedes.
 * Source  analysis-spec 7; docs/methods/linkage.md.
 * Example bolus at 1000 s, window 600 s, last good 1590, first lost 1605 s → possible, lead 597.5 s.
 */
export function linkDropout(onset: Onset, exposures: readonly LinkableExposure[], handTimeMs: number): { links: Link[]; responses: Link[] } {
  const middle = (onset.lastGoodMs + onset.firstLostMs) / 2;
  const links: Link[] = [];
  const responses: Link[] = [];
  for (const exposure of exposures) {
    const base = { exposureId: exposure.exposureId, leadMs: middle - exposure.atMs };
    if (exposure.atMs >= onset.firstLostMs) {
      if (exposure.atMs < onset.endMs) responses.push({ ...base, certainty: 'during' });
      continue;
    }
    if (RESPONSES.has(exposure.kind)) continue;
    const certainty = certaintyOf(onset, exposure, handTimeMs);
    if (certainty !== null) links.push({ ...base, certainty });
  }
  return { links: links.reverse(), responses };
}

function certaintyOf(onset: Onset, exposure: LinkableExposure, handTimeMs: number): 'certain' | 'possible' | null {
  const reachMs = Math.max(exposure.atMs + (exposure.windowMs ?? 0), exposure.endMs ?? -Infinity);
  if (reachMs <= onset.lastGoodMs) return null;
  const orderMarginMs = onset.lastGoodMs - exposure.atMs;
  const reachMarginMs = reachMs - onset.firstLostMs;
  if (orderMarginMs < 0 || reachMarginMs < 0) return 'possible';
  if (exposure.manual && Math.min(orderMarginMs, reachMarginMs) < handTimeMs) return 'possible';
  return 'certain';
}
