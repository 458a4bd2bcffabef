import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from '../../../renderer/app/app.tsx';
import { createSession, SessionContext } from '../../../renderer/state/session.ts';
import { caseExtent } from '../../../renderer/timeline/case-extent.ts';
import '../../../renderer/styles/tokens.css';
import '../../../renderer/styles/base.css';
import { buildFakeHost, isFakeState } from './fake-host.ts';

/* ?state=empty|loading|failed|full chooses what the host in memory answers. */
const asked = new URLSearchParams(location.search).get('state') ?? 'full';
const fake = buildFakeHost(isFakeState(asked) ? asked : 'full');
const session = createSession({ host: fake.host, decode: fake.decode, extentOf: caseExtent, storage: window.localStorage, draftStorage: window.sessionStorage });
session.start();

createRoot(document.getElementById('root')!).render(
  <StrictMode>
    <SessionContext value={session}>
      <App />
    </SessionContext>
  </StrictMode>,
);
