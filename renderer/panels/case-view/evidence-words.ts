import type { BlindInterval, CaseAnalysis, Dropout, Exposure } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { FalseLowSigns, ReturnComparison } from '../../../core/model/hypoxaemia.ts';
import { countText, numberText, plainNumberText, saturationText, shareText } from '../../format/number-text.ts';
import { durationText, limitsText, rangeText, type CaseClock } from '../../format/time-text.ts';
import { exposureText, siteText } from './case-facts.ts';
import { eventText } from '../../../core/model/onset-words.ts';

/** Returns a change in points with its sign: "+2", "−5", "0". */
export function pointsText(points: number): string {
  return points > 0 ? `+${plainNumberText(points, 1)}` : plainNumberText(points, 1);
}

/** Returns the change over a dropout beside the changes over matched intervals, or why there is nothing to compare. */
export function comparisonText(dropout: Dropout): string {
  const comparison = dropout.returnComparison;
  if (comparison === null) return dropout.spo2After === null ? 'nothing came back here, so there is no change' : 'no interval of this length without loss in this case: nothing to compare with';
  return `${pointsText(comparison.changePoints)} ${Math.abs(comparison.changePoints) === 1 ? 'point' : 'points'}. ${matchedText(comparison)}`;
}

/** Returns what SpO2 did over the matched intervals, in a sentence. */
export function matchedText(comparison: ReturnComparison): string {
  const { changePoints, intervals, separate, medianPoints, lowPoints, highPoints, shareAsLow } = comparison;
  // The share is of changes up to this one: of a fall, those as deep; of a rise, those that rose no more.
  const asLow = changePoints < 0 ? 'fell by as much or more' : changePoints > 0 ? 'rose by no more, or fell' : 'did not rise';
  return `Over ${countText(intervals, 'interval', 'intervals')} of the same length without loss (${numberText(separate)} side by side): median ${pointsText(medianPoints)}, 5 to 95 % ${pointsText(lowPoints)} to ${pointsText(highPoints)}; ${shareAsLow === 0 ? 'none' : shareText(shareAsLow)} ${asLow}.`;
}

/** Returns what may make a value read falsely low, from the record, or null where nothing on record does. */
export function signsText({ dyeIds, sensorIds, headDownIds }: FalseLowSigns, record: CaseRecord, clock: CaseClock): string | null {
  const of = (what: string, ids: readonly string[]): string[] => (ids.length === 0 ? [] : [`${what}: ${ids.map((id) => eventText(id, record, clock)).join('; ')}`]);
  const parts = [...of('dye', dyeIds), ...of('sensor', sensorIds), ...of('forehead head down', headDownIds)];
  return parts.length === 0 ? null : `may read falsely low (${parts.join('. ')})`;
}

/** Returns when and by what information came back, in words. */
export function restoredText(dropout: Dropout): string {
  switch (dropout.restoredBy) {
    case 'same site':
      return `after ${durationText(dropout.lostMs.mid)} (${limitsText(dropout.lostMs)}), at the same site`;
    case 'other site': {
      const where = dropout.restoredSiteKey === null ? 'another site' : siteText(dropout.restoredSiteKey);
      return `${dropout.restoredAfterMs === null ? '' : `after ${durationText(dropout.restoredAfterMs)}, `}at ${where}; not at this site`;
    }
    case 'not restored':
      return `not restored in the ${durationText(dropout.lostMs.mid)} that it was followed`;
  }
}

/** Returns what was done during a dropout with how long after the onset, or that nothing is on record. */
export function responsesText(dropout: Dropout, exposures: ReadonlyMap<string, Exposure>): string {
  if (dropout.responses.length === 0) return 'nothing on record';
  return dropout.responses
    .map(({ exposureId, leadMs }) => {
      const exposure = exposures.get(exposureId);
      return `${exposure === undefined ? 'an entry that is no longer listed' : exposureText(exposure)} after ${durationText(-leadMs)}`;
    })
    .join('; ');
}

/** Returns what a dropout becomes when doubtful values count as lost. */
export function doubtfulLostText(dropout: Dropout, analysis: CaseAnalysis): string {
  const site = analysis.sites.find((candidate) => candidate.siteKey === dropout.siteKey);
  const second = (site?.dropoutsDoubtfulLost ?? []).filter((other) => overlaps(dropout, other));
  if (second.length === 0) return 'no dropout: none of its edges is a good value';
  const isSame = second.length === 1 && second[0]?.lastGoodMs === dropout.lastGoodMs && second[0].firstGoodMs === dropout.firstGoodMs;
  if (isSame) return `the same, ${rangeText(dropout.lostMs)}`;
  return second.map((other) => `${rangeText(other.lostMs)}, SpO2 ${saturationText(other.spo2Before)} → ${other.spo2After === null ? 'none' : saturationText(other.spo2After)}`).join('; ');
}

/** Returns the blind intervals of the second result that no interval of the first overlaps. */
export function blindOnlyDoubtful(analysis: CaseAnalysis): readonly BlindInterval[] {
  return analysis.blindDoubtfulLost.filter((second) => !analysis.blind.some((first) => overlaps(first, second)));
}

interface Spanned {
  readonly lastGoodMs: number;
  readonly firstGoodMs: number | null;
}

function overlaps(a: Spanned, b: Spanned): boolean {
  return a.lastGoodMs < (b.firstGoodMs ?? Infinity) && b.lastGoodMs < (a.firstGoodMs ?? Infinity);
}
