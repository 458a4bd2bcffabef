import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { decodeCase } from '../core/persist/case-bytes.ts';
import { App } from './app/app.tsx';
import { ErrorBoundary } from './app/error-boundary.tsx';
import { LockGate, type OpenWindow } from './app/lock-gate.tsx';
import type { HelpPage } from './help/help-page.ts';
import { createHelp, HelpContext } from './help/help-store.ts';
import { connectHost } from './host/host-client.ts';
import { createPreferences } from './state/preferences.ts';
import { createSession, SessionContext } from './state/session.ts';
import { caseExtent } from './timeline/case-extent.ts';
import './styles/tokens.css';
import './styles/base.css';
import './styles/print.css';

/** Returns a storage of the browser, or null where it is denied. */
function storageOrNull(name: 'localStorage' | 'sessionStorage'): Storage | null {
  try {
    return window[name];
  } catch {
    return null; // denied by the browser's settings: preferences and drafts then last as long as the window
  }
}

const place = document.getElementById('root');
if (place === null) throw new Error('the page has no place to draw in');

const host = connectHost();

/** Returns the pages of the help, which lie in a file of their own. */
async function loadHelpPages(): Promise<readonly HelpPage[]> {
  const { default: pages } = await import('virtual:help-pages');
  return pages as readonly HelpPage[]; // the build made them of this type; a test holds it to that
}

/** Returns the window over a library that has just been opened. */
function openWindow(): OpenWindow {
  const session = createSession({ host, decode: decodeCase, extentOf: caseExtent, storage: storageOrNull('localStorage'), draftStorage: storageOrNull('sessionStorage') });
  session.start();
  const help = createHelp(loadHelpPages);
  const content = (
    <SessionContext value={session}>
      <HelpContext value={help}>
        <App />
      </HelpContext>
    </SessionContext>
  );
  return { content, dispose: () => session.dispose() };
}

/** A page that is loaded anew holds nothing of what was on the one before. */
const forget = (): void => window.location.reload();

createRoot(place).render(
  <StrictMode>
    <ErrorBoundary part="The window">
      <LockGate host={host} open={openWindow} forget={forget} theme={createPreferences(storageOrNull('localStorage')).get().theme} />
    </ErrorBoundary>
  </StrictMode>,
);
