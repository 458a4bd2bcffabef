import { useEffect, useState, type JSX, type ReactNode } from 'react';
import { createPortal } from 'react-dom';
import type { ThemeName } from '../../../state/theme.ts';

/** The one name under which the page may open a window; `electron/desktop/window.ts` lets this one through and no other. */
const WINDOW_NAME = 'lacuna-presenter';

/** Returns the presenter's window, opened or, where `already` is still there, brought to the front; null where the browser does not allow it. */
export function openPresenterWindow(already: Window | null): Window | null {
  if (already !== null && !already.closed) {
    // Opened once more it would be emptied, and what is drawn in it gone.
    already.focus();
    return already;
  }
  const opened = window.open('about:blank', WINDOW_NAME, 'popup,width=960,height=760');
  if (opened !== null) {
    opened.document.title = 'Presenter';
    opened.document.body.textContent = 'The presentation has not begun.';
    opened.focus();
  }
  return opened;
}

export interface PresenterWindowProps {
  readonly opened: Window;
  readonly themeName: ThemeName;
  readonly onKey: (event: KeyboardEvent) => void;
  /** The window is gone. */
  readonly onGone: () => void;
  readonly children: ReactNode;
}

/**
 * Draws its children into the presenter's window. That window has no page and no program of its own: it is an empty one that this page draws in,
 * so that both show one state and neither can run behind the other. It is gone with this page.
 */
export function PresenterWindow({ opened, themeName, onKey, onGone, children }: PresenterWindowProps): JSX.Element | null {
  const [place, setPlace] = useState<HTMLElement | null>(null);
  useEffect(() => {
    const { document: page } = opened;
    page.title = 'Presenter';
    page.documentElement.lang = 'en';
    page.adoptedStyleSheets = [ownStyles(opened)];
    const root = page.createElement('main');
    root.className = 'presenter-window';
    page.body.replaceChildren(root);
    setPlace(root);
    const close = (): void => opened.close();
    window.addEventListener('pagehide', close);
    // An empty window tells of its end in no way that all browsers share.
    const timer = setInterval(() => {
      if (opened.closed) onGone();
    }, 500);
    return () => {
      clearInterval(timer);
      window.removeEventListener('pagehide', close);
      setPlace(null);
    };
  }, [opened, onGone]);
  useEffect(() => {
    opened.document.documentElement.dataset['theme'] = themeName;
  }, [opened, themeName]);
  useEffect(() => {
    opened.addEventListener('keydown', onKey, true);
    // What is done there is done at this page: a library is not locked under the presenter's hands.
    const onSign = (): boolean => window.dispatchEvent(new Event('pointermove'));
    for (const sign of ['keydown', 'pointerdown', 'pointermove'] as const) opened.addEventListener(sign, onSign, true);
    return () => {
      opened.removeEventListener('keydown', onKey, true);
      for (const sign of ['keydown', 'pointerdown', 'pointermove'] as const) opened.removeEventListener(sign, onSign, true);
    };
  }, [opened, onKey]);
  return place === null ? null : createPortal(children, place);
}

/** Returns the styles of this page for another window's document: a sheet belongs to the window that made it. */
function ownStyles(opened: Window): CSSStyleSheet {
  // Every window has the constructors of the language and of its document; the type leaves them out.
  const sheet = new (opened as Window & typeof globalThis).CSSStyleSheet();
  sheet.replaceSync([...document.styleSheets].flatMap((own) => [...own.cssRules].map((rule) => rule.cssText)).join('\n'));
  return sheet;
}
