import type { JSX } from 'react';
import type { CurvePoint } from '../../../../core/robustness/apply-definition.ts';
import { numberText } from '../../../format/number-text.ts';
import { durationText } from '../../../format/time-text.ts';
import { cssVariable } from '../../../timeline/palette.ts';
import type { LineStyle } from '../../../timeline/site-style.ts';
import { bandPath, curvePath, durationX, roundTop, type CurveFrame } from './curve-geometry.ts';

export interface SiteCurve {
  readonly siteKey: string;
  readonly points: readonly CurvePoint[];
}

export interface CurveChartProps {
  readonly curves: readonly SiteCurve[];
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly triedS: number;
  readonly inForceS: number;
}

const WIDTH = 560;
const FRAME_HEIGHT = 104;
const LEFT = 54;
const RIGHT = 30;
const TICKS_S = [5, 10, 30, 60, 120, 300, 600];
const COUNT_FRAME: CurveFrame = { left: LEFT, top: 22, width: WIDTH - LEFT - RIGHT, height: FRAME_HEIGHT };
const LOST_FRAME: CurveFrame = { left: LEFT, top: 172, width: WIDTH - LEFT - RIGHT, height: FRAME_HEIGHT };
const HEIGHT = 306;
const MINUTE_MS = 60_000;

/** Returns count and time lost against the shortest loss that counts, one line per site; the table beside it says the same. */
export function CurveChart({ curves, styles, triedS, inForceS }: CurveChartProps): JSX.Element {
  const all = curves.flatMap((curve) => curve.points);
  const countTop = roundTop(Math.max(0, ...all.map((point) => point.count)));
  const lostTop = roundTop(Math.max(0, ...all.map((point) => point.lostMs.high / MINUTE_MS)));
  return (
    <svg className="trial-curve" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label="Number of dropouts and time lost against the shortest loss that counts. The figures are in the table below.">
      <Axes frame={COUNT_FRAME} top={countTop} title="Dropouts" wholeOnly />
      <Axes frame={LOST_FRAME} top={lostTop} title="Minutes lost, with low and high limit" wholeOnly={false} />
      {curves.map(({ siteKey, points }) => {
        const style = styles.get(siteKey);
        const color = style === undefined ? 'currentColor' : cssVariable(style.color);
        const dash = style?.dashPx.join(' ');
        return (
          <g key={siteKey} fill="none" stroke={color} strokeWidth="1.8">
            <path d={bandPath(points, (p) => p.lostMs.low / MINUTE_MS, (p) => p.lostMs.high / MINUTE_MS, lostTop, LOST_FRAME)} fill={color} fillOpacity="0.14" stroke="none" />
            <path d={curvePath(points, (p) => p.count, countTop, COUNT_FRAME)} strokeDasharray={dash} />
            <path d={curvePath(points, (p) => p.lostMs.mid / MINUTE_MS, lostTop, LOST_FRAME)} strokeDasharray={dash} />
          </g>
        );
      })}
      <Upright seconds={inForceS} className="trial-in-force" text="in force" textY={12} />
      <Upright seconds={triedS} className="trial-tried" text={`tried: ${durationText(triedS * 1000)}`} textY={HEIGHT - 2} />
    </svg>
  );
}

function Axes({ frame, top, title, wholeOnly }: { readonly frame: CurveFrame; readonly top: number; readonly title: string; readonly wholeOnly: boolean }): JSX.Element {
  const bottom = frame.top + frame.height;
  return (
    <g className="trial-axes">
      <text x={frame.left} y={frame.top - 6} className="trial-title">{title}</text>
      {[0, 0.5, 1].filter((part) => !wholeOnly || Number.isInteger(part * top)).map((part) => (
        <g key={part}>
          <path d={`M${frame.left} ${bottom - part * frame.height}H${frame.left + frame.width}`} />
          <text x={frame.left - 6} y={bottom - part * frame.height + 4} textAnchor="end">{numberText(part * top, Number.isInteger(part * top) ? 0 : 1)}</text>
        </g>
      ))}
      {TICKS_S.map((seconds) => (
        <g key={seconds}>
          <path d={`M${durationX(seconds, frame)} ${bottom}v4`} />
          <text x={durationX(seconds, frame)} y={bottom + 16} textAnchor="middle">{durationText(seconds * 1000)}</text>
        </g>
      ))}
    </g>
  );
}

function Upright({ seconds, className, text, textY }: { readonly seconds: number; readonly className: string; readonly text: string; readonly textY: number }): JSX.Element {
  const x = durationX(seconds, COUNT_FRAME);
  const isRight = x > WIDTH - 120;
  return (
    <g className={className}>
      {[COUNT_FRAME, LOST_FRAME].map(({ top, height }) => <path key={top} d={`M${x} ${top}v${height}`} />)}
      <text x={isRight ? x - 4 : x + 4} y={textY} textAnchor={isRight ? 'end' : 'start'}>{text}</text>
    </g>
  );
}
