import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { StoryView } from '../../../../../core/model/story.ts';
import { goToView } from '../../../../../renderer/panels/meeting/go-to-view.ts';
import type { CaseState } from '../../../../../renderer/state/open-case.ts';
import type { Session } from '../../../../../renderer/state/session.ts';
import { createStore } from '../../../../../renderer/state/store.ts';

beforeEach(() => {
  vi.stubGlobal('requestAnimationFrame', (draw: () => void) => {
    draw();
    return 0;
  });
});
afterEach(() => {
  vi.unstubAllGlobals();
});

const VIEW: StoryView = { caseKey: 'aa', clock: 'elapsed', startMs: 60_000, endMs: 120_000, instantMs: null, dropout: null, lanes: { lanes: [] }, isBoundShown: false, inputs: [] };

function opened(caseKey: string): { readonly state: CaseState; readonly shown: unknown[] } {
  const shown: unknown[] = [];
  const openCase = {
    caseKey, record: { origin: { clock: 'elapsed', epochMs: null, originOffsetMs: 0, zone: 'UTC', zoneStated: false }, sources: [] }, analysis: createStore({ sites: [] }), select: () => undefined, boundShown: createStore(true),
    viewport: { set: (window: unknown) => shown.push(window), setCursorMs: () => undefined },
  };
  return { state: { kind: 'open', openCase } as unknown as CaseState, shown }; // what going to a view needs of an open case
}

function sessionOver(cases: ReturnType<typeof createStore<CaseState>>): Session {
  return { cases, retaking: createStore(null), openCase: (caseKey: string) => cases.set({ kind: 'opening', caseKey }) } as unknown as Session; // what going to a view needs of a session
}

test('a case that was being opened shows the view once it is there, and only once', () => {
  const cases = createStore<CaseState>({ kind: 'none' });
  const { state, shown } = opened('aa');
  goToView(sessionOver(cases), VIEW, null);
  cases.set(state);
  cases.set({ kind: 'none' });
  cases.set(state);
  expect(shown).toEqual([{ startMs: 60_000, endMs: 120_000 }]);
});

/* Whoever opened another case meanwhile was thrown to the view when they came back to the first one, an hour later and by hand. */
test('where another case is opened meanwhile, the view is not waited for any more', () => {
  const cases = createStore<CaseState>({ kind: 'none' });
  const { state, shown } = opened('aa');
  goToView(sessionOver(cases), VIEW, null);
  cases.set({ kind: 'opening', caseKey: 'bb' });
  cases.set(opened('bb').state);
  cases.set(state);
  expect(shown).toEqual([]);
});
