import { placeView } from '../../../core/model/story.ts';
import type { StoryView } from '../../../core/model/story.ts';
import type { Retaking, Session } from '../../state/session.ts';

/**
 * Opens the case of a view at its stretch of time; with `retaking`, so that the view of a moment is taken anew there. Lanes stay as the
 * library has them. Where the view cannot be placed the case is shown as it opens.
 */
export function goToView(session: Session, view: StoryView, retaking: Retaking | null): void {
  session.retaking.set(retaking);
  session.openCase(view.caseKey);
  const show = (): boolean => {
    const state = session.cases.get();
    if (state.kind === 'opening' && state.caseKey === view.caseKey) return false;
    // Somebody opened another case meanwhile: when they come back to this one it is theirs to look where they like.
    if (state.kind !== 'open' || state.openCase.caseKey !== view.caseKey) return true;
    const { openCase } = state;
    const place = placeView(view, openCase.record, openCase.analysis.get());
    if (place.kind !== 'placed') return true;
    if (place.dropout !== null && place.dropout !== 'not computed') openCase.select({ kind: 'dropout', dropoutId: place.dropout.dropout.dropoutId });
    openCase.boundShown.set(view.isBoundShown);
    // The timeline goes to a dropout that is chosen, once it is drawn; the view comes after that.
    requestAnimationFrame(() => requestAnimationFrame(() => {
      openCase.viewport.set(place.window);
      openCase.viewport.setCursorMs(place.instantMs);
    }));
    return true;
  };
  if (show()) return;
  const stop = session.cases.subscribe(() => {
    if (show()) stop();
  });
}
