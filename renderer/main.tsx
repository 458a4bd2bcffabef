import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { decodeCase } from '../core/persist/case-bytes.ts';
import { App } from './app/app.tsx';
import { ErrorBoundary } from './app/error-boundary.tsx';
import { connectHost } from './host/host-client.ts';
import { createSession, SessionContext } from './state/session.ts';
import { caseExtent } from './timeline/case-extent.ts';
import './styles/tokens.css';
import './styles/base.css';

/** Returns the browser's storage, or null where it is denied. */
function localStorageOrNull(): Storage | null {
  try {
    return window.localStorage;
  } catch {
    return null; // denied by the browser's settings: preferences then last as long as the window
  }
}

const place = document.getElementById('root');
if (place === null) throw new Error('the page has no place to draw in');

const session = createSession({ host: connectHost(), decode: decodeCase, extentOf: caseExtent, storage: localStorageOrNull() });
session.start();

createRoot(place).render(
  <StrictMode>
    <ErrorBoundary part="The window">
      <SessionContext value={session}>
        <App />
      </SessionContext>
    </ErrorBoundary>
  </StrictMode>,
);
