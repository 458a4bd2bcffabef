import type { Interval } from '../../core/base/interval.ts';
import type { CaseAnalysis, FourInstants } from '../../core/model/analysis.ts';
import type { CaseClock } from '../format/time-text.ts';
import { timeToPx } from './episode-layer.ts';
import type { PxSpan } from './episode-layer.ts';
import type { TextTable } from './value-rows.ts';

/** Bounds of a dropout that a reader set by hand, beside the computed ones. */
export interface HandBounds {
  readonly dropoutId: string;
  readonly siteKey: string;
  readonly by: string;
  readonly bounds: FourInstants;
  /** Where the count ends where the bounds have no end. */
  readonly endMs: number;
  /** Not saved yet. */
  readonly isDraft: boolean;
}

/** A bracket around what a reader takes for lost. */
export interface HandBracket extends PxSpan {
  /** From last good and to first good: how far the loss can reach. */
  readonly outer: PxSpan;
  /** No end: the bracket has no right leg. */
  readonly isOpen: boolean;
  readonly siteKey: string;
  readonly isDraft: boolean;
  readonly text: string;
  /** Brackets that would lie on one another stand in rows of their own, from 0. */
  readonly row: number;
}

/** Returns the brackets that show in the window, in the order of their onsets. */
export function handBrackets(hand: readonly HandBounds[], window: Interval, widthPx: number): HandBracket[] {
  const at = (ms: number): number => timeToPx(ms, window, widthPx);
  const brackets: HandBracket[] = [];
  for (const { bounds, siteKey, by, endMs, isDraft } of hand.toSorted((a, b) => a.bounds.firstLostMs - b.bounds.firstLostMs)) {
    const outer = { leftPx: at(bounds.lastGoodMs), rightPx: at(bounds.firstGoodMs ?? endMs) };
    if (outer.rightPx < 0 || outer.leftPx > widthPx) continue;
    const taken = new Set(brackets.filter((other) => other.outer.rightPx >= outer.leftPx).map((other) => other.row));
    let row = 0;
    while (taken.has(row)) row += 1;
    brackets.push({ leftPx: at(bounds.firstLostMs), rightPx: at(bounds.lastLostMs ?? endMs), outer, isOpen: bounds.lastLostMs === null, siteKey, isDraft, text: isDraft ? `${by}, not saved` : by, row });
  }
  return brackets;
}

/** Returns the bounds by hand that reach into the window as a table. */
export function handBoundsTable(hand: readonly HandBounds[], analysis: CaseAnalysis, window: Interval, clock: CaseClock): TextTable {
  const numberOf = new Map(analysis.sites.flatMap((site) => site.dropouts.map((dropout) => [dropout.dropoutId, dropout.number] as const)));
  const instant = (ms: number | null): string => (ms === null ? '–' : clock.clock(ms));
  return {
    caption: 'Bounds by hand in this window',
    headings: ['Site', 'No.', 'By', 'Last good', 'First lost', 'Last lost', 'First good'],
    figures: [null, 'dropout-number', null, 'bounds-by-hand', 'bounds-by-hand', 'bounds-by-hand', 'bounds-by-hand'],
    rows: hand
      .filter(({ bounds, endMs }) => bounds.lastGoodMs <= window.endMs && (bounds.firstGoodMs ?? endMs) >= window.startMs)
      .map(({ dropoutId, siteKey, by, bounds, isDraft }) => ({
        rowKey: `${dropoutId} ${by}`,
        cells: [siteKey, String(numberOf.get(dropoutId) ?? '–'), isDraft ? `${by}, not saved` : by, instant(bounds.lastGoodMs), instant(bounds.firstLostMs), instant(bounds.lastLostMs), instant(bounds.firstGoodMs)],
      })),
  };
}
