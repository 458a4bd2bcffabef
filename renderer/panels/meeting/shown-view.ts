import type { Interval } from '../../../core/base/interval.ts';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { KnownTerms } from '../../../core/model/known-terms.ts';
import { placeOfMark } from '../../../core/model/case-mark.ts';
import type { LaneChoice } from '../../../core/model/lane-choice.ts';
import { presentedCase, type HiddenKind } from '../../../core/model/presented-case.ts';
import { placeView } from '../../../core/model/story.ts';
import type { StoryMoment, StoryView, ViewPlace } from '../../../core/model/story.ts';
import type { PlacedMark } from '../../state/case-marks.ts';
import type { StoryCase } from '../../state/story-cases.ts';
import type { Problem } from '../../state/problem.ts';
import { createStore, type Store } from '../../state/store.ts';
import { createViewport, type Viewport } from '../../state/viewport.ts';
import { caseExtent } from '../../timeline/case-extent.ts';
import { presentedLanes } from '../../../core/model/presented-lanes.ts';

/** A view ready to be drawn, with nothing in it that a meeting may not see. */
export interface ShownView {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  readonly hidden: readonly HiddenKind[];
  readonly viewport: Viewport;
  /** The stretch and the instant as they were collected. */
  readonly window: Interval;
  readonly instantMs: number | null;
  readonly boundShown: Store<boolean>;
  readonly isBoundShown: boolean;
  readonly lanes: LaneChoice;
  readonly dropoutId: string | null;
  /** Marks and notes of the case where the moment asks for them, with what may identify somebody left out. */
  readonly marks: readonly PlacedMark[];
  /** What is no longer as it was when the view was taken, a sentence each. */
  readonly remarks: readonly string[];
}

export type ViewState =
  | { readonly kind: 'reading' }
  | { readonly kind: 'not shown'; readonly why: string; readonly problem: Problem | null }
  | { readonly kind: 'shown'; readonly shown: ShownView };

/** How a view stands before anything of it is drawn. */
export type CheckedView = Exclude<ViewState, { readonly kind: 'shown' }> | { readonly kind: 'ready'; readonly record: CaseRecord; readonly analysis: CaseAnalysis; readonly place: Extract<ViewPlace, { readonly kind: 'placed' }>; readonly remarks: readonly string[] };

/** Returns whether a view can be shown over its case of today, and what changed since it was taken. Cheap: a story is asked for all of its views. */
export function checkView(view: StoryView, storyCase: StoryCase | undefined): CheckedView {
  if (storyCase === undefined || storyCase.kind === 'reading') return { kind: 'reading' };
  if (storyCase.kind === 'gone') return { kind: 'not shown', why: 'Its case is no longer in the library. The words stay.', problem: null };
  if (storyCase.kind === 'failed') return { kind: 'not shown', why: 'Its case could not be read.', problem: storyCase.problem };
  const { record, analysis } = storyCase;
  const place = placeView(view, record, analysis);
  if (place.kind === 'clock lost') return { kind: 'not shown', why: 'The record’s clock is of another kind than when the view was taken: nobody can say where it stands. Take the view anew.', problem: null };
  const remarks = [
    place.dropout === 'not computed' ? 'The dropout that it points at is no longer computed under the definition.' : null,
    place.dropout !== null && place.dropout !== 'not computed' && place.dropout.state === 'moved' ? 'The bounds of its dropout are no longer those of when the view was taken.' : null,
    place.isClockSet ? 'The clock of one of its files was set since: the view may show another stretch of it.' : null,
    place.hasOtherInputs ? 'The case is read from other files than when the view was taken.' : null,
  ].filter((remark) => remark !== null);
  return { kind: 'ready', record, analysis, place, remarks };
}

/**
 * Returns the view of a moment over its case of today; where it cannot be shown, why; null for words alone. `until`: the case as it had been
 * recorded by the view's instant, in its place. Marks are kept back with it: whoever pinned them knew how it ended.
 */
export function showMoment({ view, showsMarks = false }: Pick<StoryMoment, 'view' | 'showsMarks'>, storyCase: StoryCase | undefined, terms: KnownTerms | null, label: string, until: { readonly record: CaseRecord; readonly analysis: CaseAnalysis } | null = null): ViewState | null {
  if (view === null) return null;
  const checked = checkView(view, storyCase);
  if (checked.kind !== 'ready') return checked;
  if (terms === null) return { kind: 'reading' };
  const { place } = checked;
  const marks = showsMarks && until === null && storyCase?.kind === 'open' ? storyCase.marks : [];
  const remarks = marks === null ? [...checked.remarks, 'The marks and notes of its case could not be read: none is shown.'] : checked.remarks;
  const source = until ?? checked;
  const { record, analysis, hidden, dropoutIds } = presentedCase(source.record, source.analysis, label, terms);
  const extent = caseExtent(record, analysis);
  const viewport = createViewport({ startMs: Math.min(extent.startMs, place.window.startMs), endMs: Math.max(extent.endMs, place.window.endMs) });
  viewport.set(place.window);
  viewport.setCursorMs(place.instantMs);
  const dropout = place.dropout === null || place.dropout === 'not computed' ? null : place.dropout.dropout;
  return {
    kind: 'shown',
    shown: {
      record, analysis, hidden, viewport, window: viewport.get(), instantMs: place.instantMs, boundShown: createStore(view.isBoundShown), isBoundShown: view.isBoundShown,
      lanes: presentedLanes(view.lanes, source.record), dropoutId: dropout === null ? null : (dropoutIds.get(dropout.dropoutId) ?? null),
      marks: (marks ?? []).map((mark) => ({ mark, place: placeOfMark(mark, source.record.origin), isNumbered: false })), remarks,
    },
  };
}
