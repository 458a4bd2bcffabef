import type { CaseOrigin } from '../model/case.ts';
import type { AnchorClock, ReviewableCase, ReviewableDropout, ReviewAnchor, ReviewBasis } from '../model/review.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import { parametersDigest } from './parameters-digest.ts';
import type { Sha256 } from './trail.ts';

/** Returns what reviews need of a case: small and plain, to be kept beside the case until its analysis is another. `analysis` is that of `record`. */
export function reviewBasisOf(caseKey: string, record: ReviewableCase['record'], analysis: ReviewableCase['analysis'], sha256: Sha256): ReviewBasis {
  const { parameters, productVersion, inputDigests, bounds } = analysis;
  return {
    caseKey,
    caseId: record.caseId,
    seen: { parametersDigest: parametersDigest(parameters, sha256), parametersName: parameters.name, productVersion, inputDigests },
    bounds: { startMs: bounds.startMs, endMs: bounds.endMs },
    sites: analysis.sites.map(({ siteKey, channelId, dropouts }) => {
      const source = record.channels.find((channel) => channel.channelId === channelId)?.sourceIndex;
      return { siteKey, clock: anchorClock(record.origin, source === undefined ? 0 : (record.sources[source]?.clockOffsetMs ?? 0)), dropouts: dropouts.map(reviewable) };
    }),
  };
}

function anchorClock({ clock, epochMs, originOffsetMs, zone }: CaseOrigin, clockOffsetMs: number): AnchorClock {
  if (epochMs === null) return { kind: clock, wallMs: originOffsetMs - clockOffsetMs, epochMs: null };
  const ownMs = epochMs - clockOffsetMs;
  return { kind: clock, wallMs: ownMs + new ZoneClock(zone).offsetAt(ownMs), epochMs: ownMs };
}

function reviewable({ dropoutId, siteKey, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs }: ReviewableDropout): ReviewableDropout {
  return { dropoutId, siteKey, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs };
}

/** Returns the anchor of a verdict on a dropout of today; null where today's analysis has no such dropout. */
export function anchorAt(basis: ReviewBasis, dropoutId: string): ReviewAnchor | null {
  for (const { siteKey, clock, dropouts } of basis.sites) {
    const found = dropouts.find((dropout) => dropout.dropoutId === dropoutId);
    if (found === undefined) continue;
    const { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs } = found;
    return { siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, clock };
  }
  return null;
}
