import { useState, type JSX } from 'react';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import type { ClockEvidence } from '../../../core/model/clock-comparison.ts';
import { siteDetail } from '../../../core/pipeline/site-detail.ts';
import { CoverageMatrix } from '../../../renderer/panels/case-sites/coverage-matrix.tsx';
import { DifferencePlot } from '../../../renderer/panels/case-sites/difference-plot.tsx';
import { OverlayPlot } from '../../../renderer/panels/case-sites/overlay-plot.tsx';
import { stylesOf } from '../../../renderer/panels/case-view/site-mark.tsx';
import { AgreementPicture } from '../../../renderer/panels/clocks/agreement-picture.tsx';
import '../../../renderer/panels/case-sites/case-sites.css';
import '../../../renderer/panels/clocks/clocks.css';
import { createViewport } from '../../../renderer/state/viewport.ts';
import { caseExtent } from '../../../renderer/timeline/case-extent.ts';
import { createWallClock } from '../../../renderer/timeline/ticks.ts';
import type { DrawPicture, PictureCase } from './picture.ts';

const ignore = (): void => undefined;

function Sites({ of: { record, analysis }, themeName = 'light' }: { readonly of: PictureCase; readonly themeName?: 'light' | 'dark' }): JSX.Element {
  const [viewport] = useState(() => createViewport(caseExtent(record, analysis)));
  const detail = siteDetail(record, DEFAULT_PARAMETERS);
  const pair = detail.pairs[0];
  if (pair === undefined) throw new Error('the case of this picture has two sensors');
  const styles = stylesOf(analysis.sites);
  const wall = createWallClock(record.origin);
  return (
    <div className="case-sites">
      <CoverageMatrix detail={detail} pair={pair} window={viewport.get()} styles={styles} wall={wall} />
      <OverlayPlot record={record} analysis={analysis} pair={pair} viewport={viewport} styles={styles} themeName={themeName} wall={wall} shiftMs={0} chosenSwing={0} onChooseSwing={ignore} />
      <DifferencePlot pair={pair} bias={pair.limits === null ? null : (pair.limits.upper + pair.limits.lower) / 2} />
    </div>
  );
}

/** Agreement with one clear best offset at four minutes behind, and waves of the size that chance makes. */
const EVIDENCE: ClockEvidence = {
  method: 'course', ownName: 'HR', againstName: 'Pulse rate', n: 477, nOf: null, offsetMs: -250_000, lowMs: -262_000, highMs: -238_000, peak: 0.9, atPresent: 0.1, next: 0.2, reason: null,
  curve: Array.from({ length: 181 }, (_, i) => {
    const offsetMs = (i - 90) * 10_000;
    return [offsetMs, 0.15 * Math.sin(i / 6) + 0.8 * Math.exp(-(((offsetMs + 250_000) / 40_000) ** 2))] as const;
  }),
};

/** Pictures of two sites and of two clocks set against each other; the key of each is its name. */
export const SITE_PICTURES: Readonly<Record<string, DrawPicture>> = {
  'sites-against-each-other': (cases) => ({ element: <Sites of={cases.sample('K06-finger-and-ear')} />, widthPx: 1200, heightPx: 720 }),
  'sites-against-each-other-dark': (cases) => ({ element: <Sites of={cases.sample('K06-finger-and-ear')} themeName="dark" />, widthPx: 1200, heightPx: 720, theme: 'dark' }),
  'clock-agreement': () => ({ element: <AgreementPicture evidence={EVIDENCE} presentMs={0} />, widthPx: 620, heightPx: 260 }),
};
