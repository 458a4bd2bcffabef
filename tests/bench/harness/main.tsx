import { StrictMode, useState } from 'react';
import type { JSX } from 'react';
import { createRoot } from 'react-dom/client';
import type { Root } from 'react-dom/client';
import type { CaseAnalysis, Dropout } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import { DEFAULT_LANES } from '../../../core/model/lane-choice.ts';
import type { LaneChoice } from '../../../core/model/lane-choice.ts';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { allDropouts, doubtfulOnlyDropouts } from '../../../renderer/state/selection.ts';
import type { PlacedMark } from '../../../renderer/state/case-marks.ts';
import { createViewport } from '../../../renderer/state/viewport.ts';
import type { Viewport } from '../../../renderer/state/viewport.ts';
import { caseExtent } from '../../../renderer/timeline/case-extent.ts';
import type { HandBounds } from '../../../renderer/timeline/hand-bounds.ts';
import { Timeline } from '../../../renderer/timeline/timeline.tsx';
import '../../../renderer/styles/tokens.css';
import { eightChannelCase, manyLaneCase, threeHourCase } from './built-cases.ts';

interface OpenCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly viewport: Viewport;
}

/** What the benchmark and the tests drive the page with. */
export interface Harness {
  prepare(name: string): void;
  /** Mounts the prepared case; resolves with the ms from the call to the end of the first settled drawing. */
  mount(): Promise<number>;
  unmount(): void;
  viewport(): Viewport;
  /** Where the dropouts of the finger stand, in px of the whole plot `widthPx` wide: those of the primary result, and those that only the second has. */
  fingerMarks(widthPx: number): { readonly solid: readonly number[]; readonly hollow: readonly number[] };
  /** Pans, zooms or moves the cursor in every animation frame for `ms`; resolves with frames per second. */
  run(kind: 'pan' | 'zoom' | 'cursor', ms: number): Promise<number>;
}

declare global {
  interface Window {
    harness: Harness;
  }
}

const params = new URLSearchParams(location.search);
const themeName = params.get('theme') === 'dark' ? 'dark' : 'light';
document.documentElement.dataset['theme'] = themeName;

const NO_HAND_BOUNDS: readonly HandBounds[] = [];
const NO_MARKS: readonly PlacedMark[] = [];
const ignore = (): void => undefined;

function Page({ open }: { readonly open: OpenCase }): JSX.Element {
  const [selected, setSelected] = useState<string | null>(null);
  const [lanes, setLanes] = useState(() => (params.get('case') === 'twenty-four-lanes' ? everyLane(open.record) : DEFAULT_LANES));
  return <Timeline {...open} selectedDropoutId={selected} onSelectDropout={setSelected} lanes={lanes} onLanes={setLanes} marks={NO_MARKS} chosenMarkId={null} onChooseMark={ignore} onMark={ignore} handBounds={NO_HAND_BOUNDS} onCompare={null} themeName={themeName} />;
}

/** Returns a choice that shows the channels without a rule of drawing too. */
function everyLane(record: CaseRecord): LaneChoice {
  return { lanes: record.channels.filter(({ quantity }) => quantity === 'other').map(({ label }) => ({ laneName: `channel ${label}`, isShown: true, heightPx: null })) };
}

function recordOf(name: string): CaseRecord {
  switch (name) {
    case 'three-hour':
      return threeHourCase();
    case 'one-lane':
      return manyLaneCase(3, 1);
    case 'twenty-four-lanes':
      return manyLaneCase(3, 24);
    default:
      return eightChannelCase(name === 'ten-hour' ? 10 : 27.8);
  }
}

function openCase(name: string): OpenCase {
  const record = recordOf(name);
  const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'built');
  return { record, analysis, viewport: createViewport(caseExtent(record, analysis)) };
}

function nextFrame(): Promise<void> {
  return new Promise((resolve) => {
    requestAnimationFrame(() => {
      resolve();
    });
  });
}

async function drawn(): Promise<void> {
  while (document.querySelector('.tl-root')?.getAttribute('data-drawn') !== 'true') await nextFrame();
}

let root: Root | null = null;
let prepared: OpenCase | null = null;

window.harness = {
  prepare(name) {
    prepared = openCase(name);
  },
  async mount() {
    if (prepared === null) throw new Error('prepare a case first');
    const page = document.getElementById('page');
    if (page === null) throw new Error('no page element');
    const start = performance.now();
    root = createRoot(page);
    const timeline = <Page open={prepared} />;
    root.render(params.get('strict') === 'no' ? timeline : <StrictMode>{timeline}</StrictMode>);
    await drawn();
    return performance.now() - start;
  },
  unmount() {
    root?.unmount();
    root = null;
  },
  viewport() {
    if (prepared === null) throw new Error('prepare a case first');
    return prepared.viewport;
  },
  fingerMarks(widthPx) {
    if (prepared === null) throw new Error('prepare a case first');
    const { analysis, viewport } = prepared;
    const { startMs, endMs } = viewport.get();
    const middles = (dropouts: readonly Dropout[]): number[] =>
      dropouts.filter(({ siteKey }) => siteKey === 'finger').map(({ lastGoodMs, firstGoodMs }) => (((lastGoodMs + (firstGoodMs ?? endMs)) / 2 - startMs) / (endMs - startMs)) * widthPx);
    return { solid: middles(allDropouts(analysis)), hollow: middles(doubtfulOnlyDropouts(analysis)) };
  },
  async run(kind, ms) {
    const viewport = this.viewport();
    const { startMs, endMs } = viewport.bounds;
    viewport.set({ startMs: startMs + (endMs - startMs) * 0.1, endMs: startMs + (endMs - startMs) * (kind === 'pan' ? 0.5 : 0.9) });
    await drawn();
    const start = performance.now();
    let frames = 0;
    while (performance.now() - start < ms) {
      const window = viewport.get();
      const phase = Math.floor((performance.now() - start) / 700) % 2 === 0 ? 1 : -1;
      if (kind === 'cursor') {
        // A cursor that moves draws no window: every frame counts.
        viewport.setCursorMs(window.startMs + (window.endMs - window.startMs) * (((performance.now() - start) / ms) % 1));
        await drawn();
        frames++;
        continue;
      }
      if (kind === 'pan') viewport.panBy(phase * (window.endMs - window.startMs) * 0.01);
      else viewport.zoomAt(window.startMs + (window.endMs - window.startMs) * 0.4, phase === 1 ? 1.04 : 1 / 1.04);
      // At a limit nothing changes and nothing is drawn: that frame is waited for, not counted.
      if (viewport.get() === window) await nextFrame();
      else {
        await drawn();
        frames++;
      }
    }
    return (frames * 1000) / (performance.now() - start);
  },
};

window.harness.prepare(params.get('case') ?? 'three-hour');
if (params.get('mount') !== 'no') void window.harness.mount();
