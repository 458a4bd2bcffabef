import { useEffect, useRef } from 'react';
import type { JSX } from 'react';
import type { DrawChart } from '../../../renderer/charts/chart-types.ts';
import { drawPicture } from '../../../renderer/charts/plot-svg.ts';
import { SAMPLE_CHARTS } from '../../builders/sample-charts.ts';
import type { DrawPicture } from './picture.ts';
import '../../../renderer/charts/charts.css';

const WIDTH_PX = 720;

function Chart({ draw, name }: { readonly draw: DrawChart; readonly name: string }): JSX.Element {
  const placeRef = useRef<HTMLDivElement>(null);
  useEffect(() => {
    placeRef.current?.replaceChildren(drawPicture(draw(WIDTH_PX), name));
  }, [draw, name]);
  return <div className="sheet"><div ref={placeRef} className="chart-place" /></div>;
}

function chart(name: string, draw: DrawChart, theme: 'light' | 'dark' = 'light'): DrawPicture {
  return () => ({ element: <Chart draw={draw} name={name} />, widthPx: WIDTH_PX + 32, heightPx: 420, theme });
}

/** One picture of every kind of chart; the key of each is its name. */
export const CHART_PICTURES: Readonly<Record<string, DrawPicture>> = Object.fromEntries(
  Object.entries(SAMPLE_CHARTS).flatMap(([kind, draw]) => [
    [`chart-${kind}`, chart(kind, draw)],
    // Colours come from the theme by variables: one chart with several series and one with limits show it for all.
    ...(kind === 'survival' || kind === 'quality' ? [[`chart-${kind}-dark`, chart(kind, draw, 'dark')] as const] : []),
  ]),
);
