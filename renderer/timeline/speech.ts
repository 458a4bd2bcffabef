import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';
import type { CaseClock } from '../format/time-text.ts';
import { countText, plainNumberText, saturationText } from '../format/number-text.ts';
import { durationText, leadText } from '../format/time-text.ts';
import type { CursorValue } from './cursor-values.ts';
import { readoutText } from './cursor-values.ts';
import type { ReadoutEntry } from './lanes.ts';

/** Returns how a dropout ended, in words. */
export function endingText(dropout: Dropout): string {
  if (dropout.restoredBy === 'not restored') return 'not restored';
  if (dropout.restoredBy === 'same site') return 'restored at the same site';
  const after = dropout.restoredAfterMs === null ? '' : ` after ${durationText(dropout.restoredAfterMs)}`;
  return `restored at ${dropout.restoredSiteKey ?? 'another site'}${after}`;
}

/** Returns how long a dropout lasted, both limits written out: "lost 1 min 40 s to 1 min 50 s". */
export function lostText(dropout: Dropout): string {
  const low = durationText(dropout.lostMs.low);
  const high = durationText(dropout.lostMs.high);
  return low === high ? `lost ${low}` : `lost ${low} to ${high}`;
}

/** Returns SpO2 on either side of a dropout, in words. */
function saturationsText({ spo2Before, spo2After }: Dropout): string {
  if (spo2Before === null && spo2After === null) return 'SpO2 not known on either side';
  return `SpO2 ${spo2Before === null ? 'not known' : saturationText(spo2Before)} before and ${spo2After === null ? 'not known' : saturationText(spo2After)} after`;
}

/** Returns how the perfusion index went before a dropout, where the sensor has one. */
function perfusionText(dropout: Dropout): string | null {
  return dropout.perfusionBefore === null ? null : `perfusion index ${plainNumberText(dropout.perfusionBefore, 2)} at the last`;
}

/**
 * Returns a dropout in one spoken passage, as one would tell it to a colleague: which, where, when, how long, how it ended, SpO2 on either
 * side, how the signal was before, what preceded it first of all on record, and how much more there is. It names no cause.
 */
export function dropoutSentence(dropout: Dropout, position: number, count: number, clock: CaseClock, analysis: CaseAnalysis): string {
  const until = dropout.lastLostMs === null ? 'onwards' : `to ${clock.clock(dropout.lastLostMs)}`;
  const parts = [
    `Dropout ${position} of ${count}`,
    dropout.siteKey,
    `${clock.clock(dropout.firstLostMs)} ${until}`,
    lostText(dropout),
    endingText(dropout),
  ];
  parts.push(saturationsText(dropout));
  const perfusion = perfusionText(dropout);
  if (perfusion !== null) parts.push(perfusion);
  const link = dropout.links[0];
  const exposure = link === undefined ? undefined : analysis.exposures.find((candidate) => candidate.exposureId === link.exposureId);
  if (link !== undefined && exposure !== undefined) parts.push(`preceded by ${exposure.label}, ${leadText(link.leadMs)}`);
  else parts.push('nothing on record in the look-back');
  if (dropout.links.length > 1) parts.push(`and ${countText(dropout.links.length - 1, 'other thing', 'other things')} on record before it`);
  return `${parts.join(', ')}.`;
}

/** Returns the cursor's instant and every value there, as a sentence for the live region. */
export function cursorSentence(atMs: number, values: readonly { readonly entry: ReadoutEntry; readonly laneTitle: string; readonly at: CursorValue }[], clock: CaseClock): string {
  const spoken = values.map(({ entry, laneTitle, at }) => {
    const { value, note } = readoutText(entry, at);
    return `${laneTitle} ${entry.name} ${[value, note].filter((part) => part !== '').join(', ')}`;
  });
  return `${clock.clock(atMs)}. ${spoken.join('. ')}.`;
}
