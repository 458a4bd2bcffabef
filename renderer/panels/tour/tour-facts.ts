import { useEffect, useReducer } from 'react';
import { isSampleCase } from '../../../core/model/sample-cases.ts';
import { sameParameters } from '../../../core/model/same-parameters.ts';
import type { HelpStore } from '../../help/help-store.ts';
import { ownVerdict } from '../../state/case-review.ts';
import type { Session } from '../../state/session.ts';
import type { TourFacts } from './tour-steps.ts';

/** Returns what the window shows at this moment. */
export function readFacts(session: Session, help: HelpStore | null): TourFacts {
  const library = session.library.get();
  const cases = library.kind === 'ready' ? library.cases : [];
  const samples = cases.filter(({ caseId, problem }) => problem === null && isSampleCase(caseId));
  const worst = samples.reduce<(typeof samples)[number] | null>((most, one) => (most === null || one.lostMidMs > most.lostMidMs ? one : most), null);
  const state = session.cases.get();
  const open = state.kind === 'open' ? state.openCase : null;
  const selection = open?.selection.get();
  const review = session.review.get();
  const { draft, saved } = session.definitions.get();
  const { reader } = session.preferences.get();
  return {
    place: session.place.get(),
    samples: samples.length,
    others: cases.length - samples.length,
    worst: worst?.caseId ?? null,
    openCaseId: open?.record.caseId ?? null,
    isSampleOpen: open !== null && isSampleCase(open.record.caseId),
    dropoutId: selection?.kind === 'dropout' ? selection.dropoutId : null,
    // What is opened in a list is known to the page alone.
    isBoundRead: document.querySelector('details[data-part="cannot be excluded"][open]') !== null,
    areExposuresShown: document.querySelector('[role="tab"][data-tab="exposures"][aria-selected="true"]') !== null,
    reader,
    ownVerdicts: review.kind === 'ready' && reader !== null ? review.review.dropouts.filter(({ dropoutId }) => ownVerdict(review.review, dropoutId, reader) !== null).length : 0,
    isTrial: saved !== null && !sameParameters(saved, draft),
    isHelpOpen: help?.get().isOpen === true,
  };
}

/** What a person does that no store hears of. */
const PAGE_EVENTS = ['toggle', 'click', 'keyup'] as const;

/** Returns what the window shows, anew after every change of it. */
export function useFacts(session: Session, help: HelpStore | null): TourFacts {
  const [, again] = useReducer((count: number) => count + 1, 0);
  useEffect(() => {
    let frame = 0;
    // After the page has drawn what the change brought.
    const look = (): void => {
      cancelAnimationFrame(frame);
      frame = requestAnimationFrame(again);
    };
    let stopSelection = (): void => undefined;
    const followCase = (): void => {
      stopSelection();
      const state = session.cases.get();
      stopSelection = state.kind === 'open' ? state.openCase.selection.subscribe(look) : () => undefined;
      look();
    };
    followCase();
    const stops = [
      session.cases.subscribe(followCase),
      ...[session.place, session.library, session.review, session.definitions, session.preferences].map((store) => store.subscribe(look)),
      ...(help === null ? [] : [help.subscribe(look)]),
    ];
    for (const name of PAGE_EVENTS) document.addEventListener(name, look, true);
    return () => {
      cancelAnimationFrame(frame);
      stopSelection();
      for (const stop of stops) stop();
      for (const name of PAGE_EVENTS) document.removeEventListener(name, look, true);
    };
  }, [session, help]);
  return readFacts(session, help);
}
