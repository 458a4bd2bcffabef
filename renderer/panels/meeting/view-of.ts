import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { LaneChoice } from '../../../core/model/lane-choice.ts';
import { takeView } from '../../../core/model/story.ts';
import type { StoryView } from '../../../core/model/story.ts';
import type { OpenCase } from '../../state/open-case.ts';
import { findDropout } from '../../state/selection.ts';

/** Returns the view of the open case as it is now; its instant is the cursor where that is in sight. */
export function viewOf(openCase: OpenCase, analysis: CaseAnalysis, lanes: LaneChoice): StoryView {
  const window = openCase.viewport.get();
  const cursorMs = openCase.viewport.getCursorMs();
  const selection = openCase.selection.get();
  return takeView({
    caseKey: openCase.caseKey, record: openCase.record, window, lanes,
    instantMs: cursorMs !== null && cursorMs >= window.startMs && cursorMs <= window.endMs ? cursorMs : null,
    dropout: selection.kind === 'dropout' ? (findDropout(analysis, selection.dropoutId) ?? null) : null,
    isBoundShown: openCase.boundShown.get(),
  });
}
