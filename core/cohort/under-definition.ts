import { assert } from '../base/assert.ts';
import { linkDropout } from '../linkage/link.ts';
import { dropoutTotals } from '../metrics/dropout-totals.ts';
import type { CohortCase, CohortDropout, CohortExposure, CohortLosses, CohortSite } from '../model/cohort-case.ts';
import { CANDIDATE_FIELDS } from '../model/cohort-case.ts';
import type { CohortDefinition } from '../model/cohort-definition.ts';
import type { AnalysisParameters } from '../model/parameters.ts';

/**
 * Returns a case as it would be under another definition of a dropout: every result of a cohort can be drawn again from it.
 * Shape   a new case; only the dropouts, links, denominators and look-backs of `sites[].any` and `exposures[].windowMs` differ.
 *         `definition.bridgeS` is one of `CANDIDATE_BRIDGES_S` or that of the parameters; `minDurationS` no less than the shortest kept.
 * Missing patterns, values and pressures of a dropout that the case's own definition does not have are not known: no sample is looked at.
 * Errors  throws for a bridging that was not prepared (our bug).
 * Source  analysis-spec 10; docs/metrics/cohort-robustness.md.
 */
export function underDefinition(one: CohortCase, definition: CohortDefinition, parameters: AnalysisParameters): CohortCase {
  const { lookBackFactor } = definition;
  const exposures = lookBackFactor === 1 ? one.exposures : one.exposures.map((exposure) => (exposure.windowMs === null ? exposure : { ...exposure, windowMs: exposure.windowMs * lookBackFactor }));
  return { ...one, exposures, sites: one.sites.map((site) => ({ ...site, any: lossesUnder(site, exposures, definition, parameters.handTimeS * 1000) })) };
}

/**
 * Returns a case of confirmed dropouts as it would be with a longer minimum duration, or other look-backs: some of the dropouts, linked anew.
 * Shape   a new case; monitored time stays as it is. Times without information at any sensor are not asked for here and stay too.
 */
export function amongConfirmed(one: CohortCase, { minDurationS, lookBackFactor }: CohortDefinition, parameters: AnalysisParameters): CohortCase {
  const exposures = lookBackFactor === 1 ? one.exposures : one.exposures.map((exposure) => (exposure.windowMs === null ? exposure : { ...exposure, windowMs: exposure.windowMs * lookBackFactor }));
  return {
    ...one,
    exposures,
    sites: one.sites.map((site) => {
      const dropouts = site.any.dropouts.filter(({ lostMs }) => lostMs.mid >= minDurationS * 1000).map((dropout): CohortDropout => {
        const { lastGoodMs, firstLostMs, firstGoodMs, censoredAtMs } = dropout;
        return { ...dropout, links: linkDropout({ lastGoodMs, firstLostMs, endMs: firstGoodMs ?? censoredAtMs ?? firstLostMs }, exposures, parameters.handTimeS * 1000).links };
      });
      const { lostMs, longestMidMs } = dropoutTotals(dropouts.map((dropout) => dropout.lostMs), site.any.monitoredMs);
      return { ...site, any: { ...site.any, dropouts, lostMs, longestMidMs } };
    }),
  };
}

function lossesUnder(site: CohortSite, exposures: readonly CohortExposure[], { minDurationS, bridgeS, doubtfulLost }: CohortDefinition, handTimeMs: number): CohortLosses {
  const base = doubtfulLost ? site.doubtfulLost : site.any;
  const candidates = site.candidates.find((one) => one.bridgeS === bridgeS && one.doubtfulLost === doubtfulLost);
  assert(candidates !== undefined, 'losses are prepared for the bridging that is asked for');
  const { losses } = candidates;
  const kinds = new Map(exposures.map(({ exposureId, kind, atMs }) => [exposureId, { kind, atMs }]));
  const known = new Map(base.dropouts.map((dropout) => [dropout.dropoutId, dropout]));
  const openOwn = base.dropouts.findLast(({ restoredBy }) => restoredBy !== 'same site');
  const dropouts: CohortDropout[] = [];
  for (let at = 0; at < losses.length; at += CANDIDATE_FIELDS) {
    const [lastGoodMs = NaN, firstLostMs = NaN, lastLostMs = NaN, endMs = NaN, open = 0, low = NaN, mid = NaN, high = NaN] = losses.subarray(at, at + CANDIDATE_FIELDS);
    if (mid < minDurationS * 1000) continue;
    const isOpen = open === 1;
    const dropoutId = `${site.siteKey}@${firstLostMs}`;
    const same = known.get(dropoutId);
    const isSame = same !== undefined && (same.firstGoodMs ?? same.censoredAtMs) === endMs;
    const { links, responses } = linkDropout({ lastGoodMs, firstLostMs, endMs }, exposures, handTimeMs);
    dropouts.push({
      dropoutId,
      number: dropouts.length + 1,
      lastGoodMs,
      firstLostMs,
      lastLostMs: isOpen ? null : lastLostMs,
      firstGoodMs: isOpen ? null : endMs,
      censoredAtMs: isOpen ? endMs : null,
      lostMs: { low, mid, high },
      restoredBy: isOpen ? (openOwn?.restoredBy ?? 'not restored') : 'same site',
      restoredSiteKey: isOpen ? (openOwn?.restoredSiteKey ?? null) : null,
      restoredAfterMs: isOpen ? (openOwn?.restoredAfterMs ?? null) : null,
      patterns: isSame ? same.patterns : [],
      links,
      responses: responses.flatMap(({ exposureId }) => kinds.get(exposureId) ?? []),
      isMarked: isSame && same.isMarked,
      spo2Before: isSame ? same.spo2Before : null,
      spo2After: isSame ? same.spo2After : null,
      pressureBefore: same?.lastGoodMs === lastGoodMs ? same.pressureBefore : null,
    });
  }
  const monitoredSpans = spansOf(site, base, dropouts.at(-1)?.censoredAtMs !== null && dropouts.length > 0);
  const monitoredMs = totalOf(monitoredSpans);
  const { lostMs, longestMidMs } = dropoutTotals(dropouts.map((dropout) => dropout.lostMs), monitoredMs);
  return { dropouts, lostMs, longestMidMs, monitoredMs, monitoredSpans, openTail: base.openTail };
}

/** The stretches of the sensor up to its last information and, where the last loss was not restored, on to where that is censored. */
function spansOf({ lastInformationMs }: CohortSite, { monitoredSpans, openTail }: CohortLosses, isOpen: boolean): number[] {
  const endMs = lastInformationMs ?? -Infinity;
  const spans: number[] = [];
  for (let i = 0; i + 1 < monitoredSpans.length; i += 2) {
    const startMs = monitoredSpans[i] ?? NaN;
    if (startMs < endMs) spans.push(startMs, Math.min(endMs, monitoredSpans[i + 1] ?? NaN));
  }
  if (!isOpen) return spans;
  if (openTail.length > 0 && openTail[0] === spans[spans.length - 1]) return [...spans.slice(0, -1), ...openTail.slice(1)];
  return [...spans, ...openTail];
}

function totalOf(spans: readonly number[]): number {
  let total = 0;
  for (let i = 0; i + 1 < spans.length; i += 2) total += (spans[i + 1] ?? NaN) - (spans[i] ?? NaN);
  return total;
}
