import type { Range3 } from '../../core/base/interval.ts';
import type { LagFigure, PairCaution } from '../../core/model/site-comparison.ts';
import { numberText, shareText } from './number-text.ts';

/** Returns the seconds between two sensors, without a direction: "22 s", "4.2 s", "0 s"; a decimal below 10 s. */
export function apartText(ms: number): string {
  const seconds = Math.abs(ms) / 1000;
  return `${numberText(seconds, seconds < 10 && seconds >= 0.05 ? 1 : 0)} s`;
}

/** The site that comes first at a lag (how long the second comes after the first); null: both at once, as far as it is written. */
function leaderOf(lagMs: number, first: string, second: string): string | null {
  if (apartText(lagMs) === '0 s') return null;
  return lagMs > 0 ? first : second;
}

/** Returns the direction of a lag in words: "ear lobe first by 19 s", "both at once". */
export function lagText(lagMs: number, first: string, second: string): string {
  const leader = leaderOf(lagMs, first, second);
  return leader === null ? 'both at once' : `${leader} first by ${apartText(lagMs)}`;
}

/** "17 to 22 s" where both limits leave the same site first, else null. */
function sameWayText(lowMs: number, highMs: number, first: string, second: string): string | null {
  const [least, most] = Math.abs(lowMs) <= Math.abs(highMs) ? [lowMs, highMs] : [highMs, lowMs];
  const leaders = new Set([leaderOf(least, first, second), leaderOf(most, first, second)].filter((leader) => leader !== null));
  if (leaders.size > 1) return null;
  return `${apartText(least).replace(' s', '')} to ${apartText(most)}`;
}

/** Returns limits of a lag in words: "ear lobe first by 16 to 19 s"; "ear lobe first by 8.0 s to finger first by 3.0 s". */
export function lagLimitsText(lowMs: number, highMs: number, first: string, second: string): string {
  const same = sameWayText(lowMs, highMs, first, second);
  if (same === null) return `${lagText(lowMs, first, second)} to ${lagText(highMs, first, second)}`;
  const leader = leaderOf(Math.abs(lowMs) > Math.abs(highMs) ? lowMs : highMs, first, second);
  return leader === null ? 'both at once' : `${leader} first by ${same}`;
}

/** Returns a lag with its limits: "ear lobe first by 19 s (17 to 22 s)"; `beside` is added within the brackets. */
export function lagFigureText({ lagMs, lowMs, highMs }: Pick<LagFigure, 'lagMs' | 'lowMs' | 'highMs'>, first: string, second: string, beside = ''): string {
  const isOneWay = leaderOf(lagMs, first, second) !== null;
  const limits = (isOneWay ? sameWayText(lowMs, highMs, first, second) : null) ?? lagLimitsText(lowMs, highMs, first, second);
  return `${lagText(lagMs, first, second)} (${limits}${beside})`;
}

/** Returns which sensor comes first as a sentence without its end: "the ear lobe comes 19 s before the finger; 17 to 22 s fits nearly as well". */
export function lagSentence({ lagMs, lowMs, highMs }: Pick<LagFigure, 'lagMs' | 'lowMs' | 'highMs'>, first: string, second: string): string {
  const leader = leaderOf(lagMs, first, second);
  const what = leader === null ? 'both change at the same time' : `the ${leader} comes ${apartText(lagMs)} before the ${leader === first ? second : first}`;
  const limits = (leader === null ? null : sameWayText(lowMs, highMs, first, second)) ?? lagLimitsText(lowMs, highMs, first, second);
  return `${what}; ${limits} fits nearly as well`;
}

/** Returns a share with its limits: "62.0 % (55.1–70.3 %)". */
export function shareRangeText(range: Range3 | null): string {
  if (range === null) return 'nothing lost';
  const [low, mid, high] = [shareText(range.low), shareText(range.mid), shareText(range.high)];
  return low === high ? mid : `${mid} (${low.replace(' %', '')}–${high})`;
}

/** Returns points of SpO2 with sign and one decimal: "+0.4", "−1.2", "0.0". */
export function pointsText(value: number | null, digits = 1): string {
  if (value === null) return '–';
  const text = numberText(value, digits);
  return value > 0 && Number(value.toFixed(digits)) !== 0 ? `+${text}` : text;
}

/** Returns what a reader must know of a pair, as a sentence. */
export function pairCautionText(caution: PairCaution): string {
  switch (caution) {
    case 'worn one after the other':
      return 'The two were worn one after the other: nothing can be compared. The second was often chosen because the first had failed.';
    case 'different recording intervals':
      return 'The two were recorded at different intervals: the coarser one cannot show short losses. Shares compare, numbers of losses do not.';
    case 'forehead while head down':
      return 'The forehead sensor was worn head down: pulsation of the veins can make it read falsely low there.';
  }
}
