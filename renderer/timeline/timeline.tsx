import type { JSX } from 'react';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Viewport } from '../state/viewport.ts';

export interface TimelineProps {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  /** Made by `createViewport(caseExtent(record, analysis))`; one per open case. */
  readonly viewport: Viewport;
  readonly selectedDropoutId: string | null;
  readonly onSelectDropout: (dropoutId: string) => void;
  readonly themeName: 'light' | 'dark';
}

/** Returns the timeline of one case. It fills its parent, which must have a height. */
export function Timeline(props: TimelineProps): JSX.Element {
  return <div className="tl-root" data-case={props.record.caseId} data-drawn="false" />;
}
