import { useRef, type JSX } from 'react';
import type { PairDetail } from '../../../core/model/site-detail.ts';
import { numberText } from '../../format/number-text.ts';
import { pointsText } from '../../format/site-text.ts';
import { yTicks } from '../../timeline/y-scale.ts';
import { siteText } from '../case-view/case-facts.ts';
import { differenceAxes, dotRadius, stackPoints } from './difference-geometry.ts';
import { useWidth } from './use-width.ts';

const HEIGHT_PX = 230;
const LEFT_PX = 44;
const RIGHT_PX = 118;
const BOTTOM_PX = 38;
const MOST_WIDTH_PX = 760;

/** Returns the stable pairs as difference against mean, with bias and limits of this case. */
export function DifferencePlot({ pair, bias }: { readonly pair: PairDetail; readonly bias: number | null }): JSX.Element {
  const ref = useRef<HTMLDivElement>(null);
  const width = Math.min(MOST_WIDTH_PX, useWidth(ref).widthPx);
  const { differences, limits } = pair;
  const axes = differenceAxes(differences, limits);
  const plotWidth = Math.max(10, width - LEFT_PX - RIGHT_PX);
  const plotHeight = HEIGHT_PX - BOTTOM_PX;
  const x = (mean: number): number => LEFT_PX + ((mean - axes.minMean) / (axes.maxMean - axes.minMean)) * plotWidth;
  const y = (difference: number): number => plotHeight * (1 - (difference - axes.minDifference) / (axes.maxDifference - axes.minDifference));
  const lines: readonly { readonly at: number; readonly name: string; readonly className: string }[] = [
    ...(bias === null ? [] : [{ at: bias, name: 'bias', className: 'cs-bias' }]),
    ...(limits === null ? [] : [{ at: limits.upper, name: '+1.96 SD', className: 'cs-limit' }, { at: limits.lower, name: '−1.96 SD', className: 'cs-limit' }]),
  ];
  return (
    <div ref={ref} className="cs-difference">
      <svg width={width} height={HEIGHT_PX} role="img" aria-label="Difference of stable pairs against their mean; the same stands in the table beneath">
        <rect x={LEFT_PX} y={0} width={plotWidth} height={plotHeight} className="cs-paper" />
        <g className="cs-axis">
          {yTicks({ kind: 'linear', min: axes.minDifference, max: axes.maxDifference }, plotHeight, 24).map((tick) => (
            <g key={`y${tick}`}>
              <line x1={LEFT_PX} x2={LEFT_PX + plotWidth} y1={y(tick)} y2={y(tick)} className={tick === 0 ? 'cs-zero' : 'cs-grid-line'} />
              <text x={LEFT_PX - 6} y={Math.min(plotHeight, Math.max(10, y(tick) + 4))} textAnchor="end">{pointsText(tick, 0)}</text>
            </g>
          ))}
          {yTicks({ kind: 'linear', min: axes.minMean, max: axes.maxMean }, plotWidth, 40).map((tick) => (
            <g key={`x${tick}`}>
              <line x1={x(tick)} x2={x(tick)} y1={plotHeight} y2={plotHeight + 4} />
              <text x={x(tick)} y={plotHeight + 16} textAnchor="middle">{numberText(tick)}</text>
            </g>
          ))}
          <text x={LEFT_PX + plotWidth / 2} y={HEIGHT_PX - 4} textAnchor="middle">mean of both, %</text>
        </g>
        {lines.map((line) => (
          <g key={line.name}>
            <line x1={LEFT_PX} x2={LEFT_PX + plotWidth} y1={y(line.at)} y2={y(line.at)} className={line.className} />
            <text x={LEFT_PX + plotWidth + 6} y={Math.min(plotHeight - 2, Math.max(10, y(line.at) + 4))} className="cs-line-text">{line.name} {pointsText(line.at)}</text>
          </g>
        ))}
        {stackPoints(differences).map(({ mean, difference, count }) => (
          <circle key={`${mean} ${difference}`} cx={x(mean)} cy={y(difference)} r={dotRadius(count)} className="cs-dot" />
        ))}
      </svg>
      <p className="soft">
        {siteText(pair.firstKey)} − {siteText(pair.secondKey)}, in points of SpO2. A larger dot stands for more pairs of the same values.
      </p>
    </div>
  );
}
