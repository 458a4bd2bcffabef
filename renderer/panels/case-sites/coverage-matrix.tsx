import { useId, useRef, type JSX } from 'react';
import type { Interval } from '../../../core/base/interval.ts';
import type { PairDetail, PairState, SensorState, SiteDetail } from '../../../core/model/site-detail.ts';
import { cssVariable } from '../../timeline/palette.ts';
import type { LineStyle } from '../../timeline/site-style.ts';
import type { WallClock } from '../../timeline/ticks.ts';
import { SiteName } from '../case-view/site-mark.tsx';
import { siteText } from '../case-view/case-facts.ts';
import { statePath } from './state-path.ts';
import { TimeAxis } from './time-axis.tsx';
import { useWidth } from './use-width.ts';

/** Room for the names of the rows; the picture of the values beneath keeps the same, so that times stand under one another. */
export const NAMES_PX = 132;
const ROW_PX = 26;
const ROW_GAP_PX = 8;
const AXIS_PX = 20;
const LEAST_PX = 1.5;

export interface CoverageMatrixProps {
  readonly detail: SiteDetail;
  /** The pair whose row stands beneath; null where there is none. */
  readonly pair: PairDetail | null;
  readonly window: Interval;
  readonly styles: ReadonlyMap<string, LineStyle>;
  readonly wall: WallClock;
}

/** How each state is drawn: the share of the row's height that it fills, and from where. Height and pattern tell it without colour. */
const SENSOR_LOOKS: readonly { readonly state: SensorState; readonly from: number; readonly height: number; readonly fill: 'site' | 'doubtful' | 'lost' | 'gap' | 'off' }[] = [
  { state: 'information', from: 0, height: 1, fill: 'site' },
  { state: 'doubtful', from: 0.35, height: 0.65, fill: 'doubtful' },
  { state: 'not on', from: 0.9, height: 0.1, fill: 'off' },
  { state: 'record gap', from: 0, height: 1, fill: 'gap' },
  { state: 'lost', from: 0, height: 1, fill: 'lost' },
];

/** Returns what every sensor gave over time, a row for each, and beneath which of the two gave anything. */
export function CoverageMatrix({ detail, pair, window, styles, wall }: CoverageMatrixProps): JSX.Element {
  const ref = useRef<HTMLDivElement>(null);
  const { widthPx: width } = useWidth(ref);
  const id = useId();
  const widthPx = Math.max(10, width - NAMES_PX);
  const sensors = pair === null ? detail.sensors : detail.sensors.filter(({ siteKey }) => siteKey === pair.firstKey || siteKey === pair.secondKey);
  const ordered = pair === null ? sensors : [pair.firstKey, pair.secondKey].flatMap((key) => sensors.filter(({ siteKey }) => siteKey === key));
  const rows = ordered.length + (pair === null ? 0 : 1);
  const bottom = rows * (ROW_PX + ROW_GAP_PX);
  const bypass = detail.bypass.map((span) => ({ ...span, state: 'bypass' as const }));
  const topOf = (row: number): number => row * (ROW_PX + ROW_GAP_PX);
  const fillOf = (fill: (typeof SENSOR_LOOKS)[number]['fill'], siteKey: string): string => {
    const style = styles.get(siteKey);
    if (fill === 'site') return style === undefined ? cssVariable('inkSoft') : cssVariable(style.color);
    return fill === 'off' ? cssVariable('lineStrong') : `url(#${id}-${fill})`;
  };
  const pairLooks: readonly { readonly state: PairState; readonly from: number; readonly height: number; readonly fill: string }[] =
    pair === null ? [] : [
      { state: 'both', from: 0, height: 1, fill: cssVariable('accent') },
      { state: 'only first', from: 0, height: 0.46, fill: fillOf('site', pair.firstKey) },
      { state: 'only second', from: 0.54, height: 0.46, fill: fillOf('site', pair.secondKey) },
      { state: 'not compared', from: 0.9, height: 0.1, fill: cssVariable('lineStrong') },
      { state: 'neither', from: 0, height: 1, fill: `url(#${id}-lost)` },
    ];
  return (
    <div ref={ref} className="cs-matrix">
      {ordered.map(({ siteKey }, row) => (
        <div key={siteKey} className="cs-row-name" style={{ top: topOf(row), height: ROW_PX, width: NAMES_PX }}><SiteName siteKey={siteKey} styles={styles} /></div>
      ))}
      {pair === null ? null : <div className="cs-row-name" style={{ top: topOf(ordered.length), height: ROW_PX, width: NAMES_PX }}>both, one, none</div>}
      <svg className="cs-strip" style={{ left: NAMES_PX }} width={widthPx} height={bottom + AXIS_PX} role="img" aria-label="What each sensor gave over time; the same stands in the table “Stretches of time” beneath">
        <Patterns id={id} />
        {ordered.map(({ siteKey, spans }, row) => (
          <g key={siteKey}>
            <rect x={0} y={topOf(row)} width={widthPx} height={ROW_PX} className="cs-ground" />
            {SENSOR_LOOKS.map(({ state, from, height, fill }) => (
              <path key={state} d={statePath(spans, state, { window, widthPx, topPx: topOf(row) + from * ROW_PX, heightPx: height * ROW_PX, leastPx: LEAST_PX })} fill={fillOf(fill, siteKey)} className={`cs-${fill}`} />
            ))}
          </g>
        ))}
        {pair === null ? null : (
          <g>
            <rect x={0} y={topOf(ordered.length)} width={widthPx} height={ROW_PX} className="cs-ground" />
            {pairLooks.map(({ state, from, height, fill }) => (
              <path key={state} d={statePath(pair.spans, state, { window, widthPx, topPx: topOf(ordered.length) + from * ROW_PX, heightPx: height * ROW_PX, leastPx: LEAST_PX })} fill={fill} className={state === 'both' ? 'cs-both' : state.startsWith('only') ? 'cs-site' : undefined} />
            ))}
          </g>
        )}
        <path d={statePath(bypass, 'bypass', { window, widthPx, topPx: bottom - ROW_GAP_PX + 1, heightPx: 4, leastPx: LEAST_PX })} fill={cssVariable('eventInk')} />
        <TimeAxis window={window} widthPx={widthPx} topPx={bottom} wall={wall} />
      </svg>
      <div style={{ height: bottom + AXIS_PX }} />
      <Legend id={id} pair={pair} hasBypass={detail.bypass.length > 0} />
    </div>
  );
}

function Patterns({ id }: { readonly id: string }): JSX.Element {
  return (
    <defs>
      <pattern id={`${id}-lost`} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <rect width="6" height="6" fill={cssVariable('lostEdge')} />
        <rect width="2.6" height="6" fill={cssVariable('lostInk')} />
      </pattern>
      <pattern id={`${id}-doubtful`} width="5" height="5" patternUnits="userSpaceOnUse">
        <rect width="5" height="5" fill={cssVariable('doubtfulFill')} />
        <circle cx="2.5" cy="2.5" r="1.1" fill={cssVariable('ink')} />
      </pattern>
      <pattern id={`${id}-gap`} width="8" height="8" patternUnits="userSpaceOnUse">
        <rect width="8" height="8" fill={cssVariable('recordGapFill')} />
        <path d="M1 1L7 7M7 1L1 7" stroke={cssVariable('recordGapInk')} strokeWidth="1" />
      </pattern>
    </defs>
  );
}

function Legend({ id, pair, hasBypass }: { readonly id: string; readonly pair: PairDetail | null; readonly hasBypass: boolean }): JSX.Element {
  const box = (fill: string, from = 0, height = 1, className?: string): JSX.Element => (
    <svg width="22" height="14" viewBox="0 0 22 14" aria-hidden="true" focusable="false">
      <rect x="0" y="0" width="22" height="14" className="cs-ground" />
      <rect x="0" y={from * 14} width="22" height={height * 14} fill={fill} className={className} />
    </svg>
  );
  return (
    <ul className="cs-legend" aria-label="What the picture shows">
      <li>{box(cssVariable('inkSoft'), 0, 1, 'cs-site')} information</li>
      <li>{box(`url(#${id}-doubtful)`, 0.35, 0.65)} doubtful</li>
      <li>{box(`url(#${id}-lost)`)} lost{pair === null ? '' : ', in the last row: none'}</li>
      <li>{box(cssVariable('lineStrong'), 0.85, 0.15)} not on{pair === null ? '' : ', in the last row: not compared'}</li>
      <li>{box(`url(#${id}-gap)`)} record gap</li>
      {pair === null ? null : (
        <>
          <li>{box(cssVariable('accent'), 0, 1, 'cs-both')} both</li>
          <li>{box(cssVariable('inkSoft'), 0, 0.46, 'cs-site')} only the {siteText(pair.firstKey)} (upper half)</li>
          <li>{box(cssVariable('inkSoft'), 0.54, 0.46, 'cs-site')} only the {siteText(pair.secondKey)} (lower half)</li>
        </>
      )}
      {hasBypass ? <li>{box(cssVariable('eventInk'), 0.4, 0.3)} bypass</li> : null}
    </ul>
  );
}
