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

/** Returns how the perfusion index went before a dropout, where the sensor has one: the last value, and the highest that it came from. */
function perfusionText({ perfusionBefore, evidence }: Dropout): string | null {
  if (perfusionBefore === null) return null;
  const highest = evidence.perfusion === null ? '' : `, at most ${plainNumberText(evidence.perfusion.highest, 2)} before that`;
  return `last perfusion index ${plainNumberText(perfusionBefore, 2)}${highest}`;
}

/** Returns how a dropout began, by the patterns that hold; null where none does. */
function onsetText({ patterns }: Dropout): string | null {
  const looks = patterns.filter((pattern) => pattern !== 'record gap' && pattern !== 'planned');
  const parts = [
    ...(looks.length === 0 ? [] : [`onset looks ${looks.join(' and ')}`]),
    ...(patterns.includes('record gap') ? ['the recorder stood still inside'] : []),
    ...(patterns.includes('planned') ? ['announced as an interruption on purpose'] : []),
  ];
  return parts.length === 0 ? null : parts.join(', ');
}

/** So many of what preceded a dropout are named; the rest is counted. */
const NAMED_LINKS = 2;

function precededText({ links }: Dropout, { exposures }: CaseAnalysis): string {
  const named = links.flatMap(({ exposureId, leadMs }) => {
    const exposure = exposures.find((candidate) => candidate.exposureId === exposureId);
    return exposure === undefined ? [] : [`${exposure.label}, ${leadText(leadMs)}`];
  });
  if (named.length === 0) return 'nothing on record in the look-back';
  const rest = named.length - NAMED_LINKS;
  return `preceded by ${named.slice(0, NAMED_LINKS).join(', and by ')}${rest > 0 ? `, and ${countText(rest, 'other thing', 'other things')} on record before it` : ''}`;
}

/**
 * Returns a dropout in one spoken passage, as one would tell it to a colleague: which, where, when, how long, how it ended, SpO2 on either
 * side, how the signal was before, how it began, what preceded it on record, and how much more there is. It names no cause.
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
  const onset = onsetText(dropout);
  if (onset !== null) parts.push(onset);
  parts.push(precededText(dropout, analysis));
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
