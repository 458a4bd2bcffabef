import { createContext, useContext } from 'react';
import { createStore, type ReadableStore } from '../state/store.ts';
import { FIGURES, pagePath, type FigureId } from './figure-register.ts';
import type { HelpPage, LoadHelpPages } from './help-page.ts';

/** Where in the help a person is. */
export interface HelpView {
  /** null: the contents. */
  readonly path: string | null;
  /** null: the beginning of the page. */
  readonly anchor: string | null;
  /** The figure that was asked about; null after a link. */
  readonly figure: FigureId | null;
  /** Figures that stand beside it, in their order: those of the same heading row, mostly. */
  readonly among: readonly FigureId[];
}

export type HelpPagesState =
  | { readonly kind: 'loading' }
  | { readonly kind: 'ready'; readonly pages: readonly HelpPage[] }
  | { readonly kind: 'failed'; readonly message: string };

export interface HelpState {
  readonly isOpen: boolean;
  /** Views in the order in which they were gone to, and the one that is shown. */
  readonly trail: readonly HelpView[];
  readonly at: number;
}

/** The help of one window: which page is shown, the way that led there, and where the focus returns to. */
export interface HelpStore extends ReadableStore<HelpState> {
  readonly pages: ReadableStore<HelpPagesState>;
  /** Opens the page of a figure at its heading. `opener` has the focus again when the help is closed. */
  openFigure(figure: FigureId, among: readonly FigureId[], opener: HTMLElement | null): void;
  /** Opens a page (path from the root, "docs/methods/dropout.md"), or the contents with null. */
  openPage(path: string | null, anchor: string | null, opener: HTMLElement | null): void;
  /** Goes on from inside the help. */
  goTo(view: HelpView): void;
  step(by: 1 | -1): void;
  close(): void;
  /** Reads the pages again after a failure. */
  reload(): void;
  /** What had the focus when the help was opened. */
  opener(): HTMLElement | null;
}

const CLOSED: HelpState = { isOpen: false, trail: [], at: -1 };

/** Returns the help of a window; its pages are loaded when it is first opened. */
export function createHelp(load: LoadHelpPages): HelpStore {
  const store = createStore<HelpState>(CLOSED);
  const pages = createStore<HelpPagesState>({ kind: 'loading' });
  let isAsked = false;
  let openedFrom: HTMLElement | null = null;

  const ask = (): void => {
    if (isAsked) return;
    isAsked = true;
    pages.set({ kind: 'loading' });
    load().then(
      (found) => pages.set({ kind: 'ready', pages: found }),
      () => {
        isAsked = false;
        pages.set({ kind: 'failed', message: 'The pages of the help could not be read. Their file is part of the program: if this stays, build or install it again. The same pages lie in its folder docs.' });
      },
    );
  };
  const goTo = (view: HelpView): void => {
    const { trail, at } = store.get();
    store.set({ isOpen: true, trail: [...trail.slice(0, at + 1), view], at: at + 1 });
  };
  const open = (view: HelpView, opener: HTMLElement | null): void => {
    ask();
    // What is asked from inside the help leaves alone where it was opened from.
    if ((opener?.closest('.help-panel') ?? null) === null) openedFrom = opener;
    goTo(view);
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    pages,
    openFigure: (figure, among, opener) => open({ path: pagePath(figure), anchor: FIGURES[figure].anchor, figure, among }, opener),
    openPage: (path, anchor, opener) => open({ path, anchor, figure: null, among: [] }, opener),
    goTo,
    step(by) {
      const { trail, at } = store.get();
      const next = at + by;
      if (trail[next] !== undefined) store.set({ isOpen: true, trail, at: next });
    },
    close: () => store.set(CLOSED),
    reload: ask,
    opener: () => openedFrom,
  };
}

export const HelpContext = createContext<HelpStore | null>(null);

/** Returns the help of this window; null where a part is drawn without one, as a test may. */
export function useHelp(): HelpStore | null {
  return useContext(HelpContext);
}
