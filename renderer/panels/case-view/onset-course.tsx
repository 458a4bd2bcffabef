import { memo, type JSX } from 'react';
import type { Dropout } from '../../../core/model/analysis.ts';
import type { Channel } from '../../../core/model/channel.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import { cssVariable } from '../../timeline/palette.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import { courseShape, pathOf, type CourseShape } from './onset-course-shape.ts';
import { courseText } from '../../../core/model/onset-words.ts';

export interface OnsetCourseProps {
  readonly dropout: Dropout;
  readonly channel: Channel;
  readonly parameters: AnalysisParameters;
  readonly style: LineStyle | undefined;
  readonly size: 'row' | 'details';
}

const SIZES = { row: { widthPx: 112, heightPx: 30 }, details: { widthPx: 274, heightPx: 90 } } as const;
/** Room for the words round the large drawing. */
const LEFT_PX = 30;
const BOTTOM_PX = 18;

/** Returns the perfusion index before a loss as a small picture, or null where none is on record then. */
export const OnsetCourse = memo(function OnsetCourse({ dropout, channel, parameters, style, size }: OnsetCourseProps): JSX.Element | null {
  const { widthPx, heightPx } = SIZES[size];
  const beforeMs = Math.max(parameters.fadeWindowS, parameters.steadyWindowS) * 1000;
  const shape = courseShape({ dropout, channel, beforeMs, plausible: parameters.perfusionPlausible, widthPx, heightPx });
  if (shape === null) return null;
  const label = courseText(dropout);
  const earliest = Math.max(...shape.ticks.map(({ minutes }) => minutes));
  if (size === 'row') {
    return (
      <svg className="course" width={widthPx} height={heightPx} viewBox={`0 0 ${widthPx} ${heightPx}`} role="img" aria-label={label}>
        <Drawn shape={shape} widthPx={widthPx} heightPx={heightPx} style={style} />
      </svg>
    );
  }
  return (
    <svg className="course" width={LEFT_PX + widthPx} height={heightPx + BOTTOM_PX} viewBox={`${-LEFT_PX} 0 ${LEFT_PX + widthPx} ${heightPx + BOTTOM_PX}`} role="img" aria-label={label}>
      <Drawn shape={shape} widthPx={widthPx} heightPx={heightPx} style={style} />
      {shape.guides.map(({ value, yPx }) => <text key={value} x={-4} y={yPx + 4} textAnchor="end">{value}</text>)}
      {shape.ticks.map(({ minutes, xPx }) => (
        // Only the leftmost tick says its unit: with one on each they run into each other.
        <text key={minutes} x={xPx} y={heightPx + 14} textAnchor={xPx < 12 ? 'start' : 'middle'}>{minutes === 0 ? 'loss' : minutes === earliest ? `${minutes} min` : minutes}</text>
      ))}
    </svg>
  );
});

interface DrawnProps {
  readonly shape: CourseShape;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly style: LineStyle | undefined;
}

function Drawn({ shape, widthPx, heightPx, style }: DrawnProps): JSX.Element {
  return (
    <>
      <rect className="course-ground" x={0} y={0} width={widthPx} height={heightPx} />
      <path className="course-guide" d={shape.guides.map(({ yPx }) => `M0 ${yPx}H${widthPx}`).join('')} />
      <rect className="course-may-be-lost" x={shape.lastGoodPx} y={0} width={Math.max(0, shape.firstLostPx - shape.lastGoodPx)} height={heightPx} />
      <rect className="course-lost" x={shape.firstLostPx} y={0} width={Math.max(0, widthPx - shape.firstLostPx)} height={heightPx} />
      <line className="course-edge" x1={shape.firstLostPx} x2={shape.firstLostPx} y1={0} y2={heightPx} />
      {shape.resetPx === null ? null : <line className="course-reset" x1={shape.resetPx} x2={shape.resetPx} y1={0} y2={heightPx} />}
      <path className="course-tick" d={shape.ticks.map(({ xPx }) => `M${xPx} ${heightPx - 4}V${heightPx}`).join('')} />
      <path className="course-line" d={pathOf(shape.lines)} stroke={style === undefined ? 'currentColor' : cssVariable(style.color)} />
    </>
  );
}
