import type { JSX } from 'react';
import type { ClockEvidence } from '../../../core/model/clock-comparison.ts';
import { numberText } from '../../format/number-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { Disclosure } from '../../widgets/disclosure.tsx';
import { evidenceTitle, signedSecondsText } from './clock-text.ts';

const WIDTH = 620;
const HEIGHT = 170;
const LEFT = 40;
const RIGHT = 10;
const TOP = 16;
const BOTTOM = 30;
const TICKS = 5;
/** Seconds between ticks that read well. */
const STEPS_S = [30, 60, 120, 300, 600, 900, 1800, 3600];

export interface AgreementPictureProps {
  readonly evidence: ClockEvidence;
  /** The offset that is set at present. */
  readonly presentMs: number;
}

/** What stands over or under the right end of the picture ends there: half of it would be cut off. */
function anchorAt(x: number): 'middle' | 'end' {
  return x > WIDTH - 30 ? 'end' : 'middle';
}

/** Returns how well two sources agree at each offset, drawn small, with the same numbers as a table beneath. */
export function AgreementPicture({ evidence, presentMs }: AgreementPictureProps): JSX.Element | null {
  const { curve } = evidence;
  const from = curve[0]?.[0];
  const to = curve.at(-1)?.[0];
  if (from === undefined || to === undefined || to <= from) return null;
  const low = Math.min(0, ...curve.map(([, value]) => value ?? 0));
  const x = (ms: number): number => LEFT + ((ms - from) / (to - from)) * (WIDTH - LEFT - RIGHT);
  const y = (value: number): number => TOP + ((1 - value) / (1 - low)) * (HEIGHT - TOP - BOTTOM);
  const stepMs = (STEPS_S.find((step) => (to - from) / 1000 / step <= TICKS * 1.6) ?? 3600) * 1000;
  const ticks = Array.from({ length: Math.floor(to / stepMs) - Math.ceil(from / stepMs) + 1 }, (_, i) => (Math.ceil(from / stepMs) + i) * stepMs);
  const levels = low < -0.25 ? [-0.5, 0, 0.5, 1] : [0, 0.5, 1];
  const title = `${evidenceTitle(evidence)}: agreement at each clock offset, highest ${numberText(evidence.peak, 2)} at ${signedSecondsText(evidence.offsetMs)}, ${numberText(evidence.atPresent, 2)} at the present ${signedSecondsText(presentMs)}.`;
  return (
    <figure className="agreement">
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={title} className="agreement-picture">
        {evidence.lowMs === null || evidence.highMs === null ? null : (
          <rect className="agreement-limits" x={x(Math.max(from, evidence.lowMs))} width={Math.max(1, x(Math.min(to, evidence.highMs)) - x(Math.max(from, evidence.lowMs)))} y={TOP} height={HEIGHT - TOP - BOTTOM} />
        )}
        {levels.filter((level) => level >= low || level === 0).map((level) => (
          <g key={level}>
            <line className="agreement-grid" x1={LEFT} x2={WIDTH - RIGHT} y1={y(level)} y2={y(level)} />
            <text className="agreement-text" x={LEFT - 6} y={y(level) + 4} textAnchor="end">{numberText(level, 1)}</text>
          </g>
        ))}
        {ticks.map((ms) => (
          <g key={ms}>
            <line className="agreement-grid" x1={x(ms)} x2={x(ms)} y1={HEIGHT - BOTTOM} y2={HEIGHT - BOTTOM + 5} />
            <text className="agreement-text" x={x(ms)} y={HEIGHT - BOTTOM + 18} textAnchor={anchorAt(x(ms))}>{stepMs >= 60_000 ? `${ms > 0 ? '+' : ''}${numberText(ms / 60_000)} min` : signedSecondsText(ms)}</text>
          </g>
        ))}
        <line className="agreement-present" x1={x(presentMs)} x2={x(presentMs)} y1={TOP} y2={HEIGHT - BOTTOM} />
        {evidence.offsetMs === null ? null : <line className="agreement-best" x1={x(evidence.offsetMs)} x2={x(evidence.offsetMs)} y1={TOP} y2={HEIGHT - BOTTOM} />}
        {stretches(curve).map((points) => (
          <polyline key={points[0]?.[0]} className="agreement-line" points={points.map(([ms, value]) => `${x(ms).toFixed(1)},${y(value).toFixed(1)}`).join(' ')} />
        ))}
        <text className="agreement-text" x={x(presentMs)} y={TOP - 4} textAnchor={anchorAt(x(presentMs))}>as set</text>
        {evidence.offsetMs === null || Math.abs(x(evidence.offsetMs) - x(presentMs)) < 60 ? null : <text className="agreement-text" x={x(evidence.offsetMs)} y={TOP - 4} textAnchor="middle">best</text>}
      </svg>
      <figcaption className="soft">
        Across: the clock offset of the file. Up: {evidence.method === 'course' ? 'correlation of the two courses, slow changes taken off' : 'share of the cuff measurements found again within half a minute'}. Dashed: as it is set now. Full line: best. Shaded: between the limits.
      </figcaption>
      <Disclosure summary="The same as a table">
        <div className="agreement-numbers" tabIndex={0} role="group" aria-label="Agreement at each offset">
          <table className="plain-table">
            <thead><tr><FigureHead figure="clock-offset" className="align-right">Offset</FigureHead><FigureHead figure="clock-agreement" className="align-right">Agreement</FigureHead></tr></thead>
            <tbody>
              {curve.map(([ms, value]) => <tr key={ms}><th scope="row" className="align-right">{signedSecondsText(ms)}</th><td className="align-right">{numberText(value, 2)}</td></tr>)}
            </tbody>
          </table>
        </div>
      </Disclosure>
    </figure>
  );
}

/** Returns the parts of a curve between missing values. */
function stretches(curve: ClockEvidence['curve']): [number, number][][] {
  const out: [number, number][][] = [];
  let current: [number, number][] = [];
  for (const [ms, value] of curve) {
    if (value !== null) current.push([ms, value]);
    else if (current.length > 0) {
      out.push(current);
      current = [];
    }
  }
  return current.length > 0 ? [...out, current] : out;
}
