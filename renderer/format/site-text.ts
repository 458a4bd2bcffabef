import type { Range3 } from '../../core/base/interval.ts';
import type { LagFigure, PairCaution } from '../../core/model/site-comparison.ts';
import { numberText, shareText } from './number-text.ts';

/** Returns a lag in seconds with its sign: "+22 s", "−4 s", "0 s"; a decimal below 10 s. */
export function lagText(ms: number): string {
  const seconds = ms / 1000;
  const digits = Math.abs(seconds) < 10 && Math.abs(seconds) >= 0.05 ? 1 : 0;
  const text = numberText(seconds, digits);
  return `${seconds > 0 && Number(seconds.toFixed(digits)) !== 0 ? '+' : ''}${text} s`;
}

/** Returns a lag with its uncertainty: "+22 s (+14 to +27 s)". */
export function lagFigureText({ lagMs, lowMs, highMs }: Pick<LagFigure, 'lagMs' | 'lowMs' | 'highMs'>): string {
  return `${lagText(lagMs)} (${lagText(lowMs).replace(' s', '')} to ${lagText(highMs)})`;
}

/** Returns which sensor comes after which: "the ear lobe comes 4 s before the finger". */
export function lagSentence(lagMs: number, first: string, second: string): string {
  const seconds = lagText(Math.abs(lagMs)).replace('+', '');
  if (seconds === '0 s') return `both change at the same time`;
  return lagMs > 0 ? `the ${second} follows the ${first} by ${seconds}` : `the ${second} comes ${seconds} before the ${first}`;
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
