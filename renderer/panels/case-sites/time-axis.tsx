import type { JSX } from 'react';
import type { Interval } from '../../../core/base/interval.ts';
import { timeTicks, type WallClock } from '../../timeline/ticks.ts';
import { xOf } from './state-path.ts';

/** Returns the ticks of a window on the case's own clock, as a part of a picture. */
export function TimeAxis({ window, widthPx, topPx, wall }: { readonly window: Interval; readonly widthPx: number; readonly topPx: number; readonly wall: WallClock }): JSX.Element {
  return (
    <g className="cs-axis">
      {timeTicks(window, widthPx, wall).map(({ atMs, label }) => {
        const x = xOf(atMs, { window, widthPx });
        // A label at either end would be cut off.
        const anchor = x < 24 ? 'start' : x > widthPx - 24 ? 'end' : 'middle';
        return (
          <g key={atMs}>
            <line x1={x} x2={x} y1={topPx} y2={topPx + 4} />
            <text x={x} y={topPx + 16} textAnchor={anchor}>{label}</text>
          </g>
        );
      })}
    </g>
  );
}
