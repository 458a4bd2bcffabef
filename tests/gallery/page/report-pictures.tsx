import type { JSX } from 'react';
import { contextOf } from '../../../core/report/case-context.ts';
import { caseFigure } from '../../../core/report/document/case-figure.ts';
import { printClock } from '../../../core/report/document/case-words.ts';
import { sceneSvg } from '../../../core/report/document/scene-svg.ts';
import type { DrawPicture, PictureCase, SampleName } from './picture.ts';

function Sheet({ of: { record, analysis } }: { readonly of: PictureCase }): JSX.Element {
  const { scene, alternative } = caseFigure(contextOf({ record, analysis }), printClock(record.origin, false));
  // Our own picture of our own case: nothing in it comes from outside.
  return <div className="sheet" dangerouslySetInnerHTML={{ __html: sceneSvg(scene, alternative).replace('<svg ', '<svg class="report" ') }} />;
}

function report(name: SampleName): DrawPicture {
  return (cases) => ({ element: <Sheet of={cases.sample(name)} />, widthPx: 800, heightPx: 620 });
}

/** The figure of the case sheet, as its HTML has it; the key of each is its name. */
export const REPORT_PICTURES: Readonly<Record<string, DrawPicture>> = {
  'report-figure-two-sites': report('K06-finger-and-ear'),
  'report-figure-record-gap': report('K08-record-gap'),
  'report-figure-infusion': report('K17-prone-infusion'),
};
