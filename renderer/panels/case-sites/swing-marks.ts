import type { Interval } from '../../../core/base/interval.ts';
import type { PairSwing } from '../../../core/model/site-detail.ts';
import type { YScale } from '../../timeline/y-scale.ts';
import { yToPx } from '../../timeline/y-scale.ts';
import { xOf } from './state-path.ts';

/** One fall or rise as it is marked in the picture. */
export interface SwingMark {
  /** Place of the swing in the list. */
  readonly index: number;
  readonly direction: PairSwing['direction'];
  readonly yPx: number;
  readonly firstPx: number;
  /** null: the swing by itself tells no lag. */
  readonly secondPx: number | null;
  /** The seconds between, where there is room to write them without touching another mark's. */
  readonly label: string | null;
}

/** Room that a written number of seconds takes. */
const LABEL_PX = 46;

/**
 * Returns the marks of the swings in a window, in time order: the half-way instant at the first sensor, and the same instant
 * moved by the lag at the second (moved back by `shiftMs`, as its curve is drawn).
 */
export function swingMarks(swings: readonly PairSwing[], window: Interval, widthPx: number, scale: YScale, heightPx: number, shiftMs: number, textOf: (lagMs: number) => string): SwingMark[] {
  const marks: SwingMark[] = [];
  let labelledTo = -Infinity;
  swings.forEach((swing, index) => {
    const firstPx = xOf(swing.halfMs, { window, widthPx });
    const secondPx = swing.lag === null ? null : xOf(swing.halfMs + swing.lag.lagMs - shiftMs, { window, widthPx });
    const left = Math.min(firstPx, secondPx ?? firstPx);
    const right = Math.max(firstPx, secondPx ?? firstPx);
    if (right < 0 || left > widthPx) return;
    const middle = (left + right) / 2;
    const hasRoom = swing.lag !== null && middle - LABEL_PX / 2 > labelledTo && middle + LABEL_PX / 2 < widthPx;
    if (hasRoom) labelledTo = middle + LABEL_PX / 2;
    marks.push({
      index,
      direction: swing.direction,
      yPx: yToPx(scale, (swing.fromPct + swing.toPct) / 2, heightPx),
      firstPx,
      secondPx,
      label: hasRoom && swing.lag !== null ? textOf(swing.lag.lagMs) : null,
    });
  });
  return marks;
}
