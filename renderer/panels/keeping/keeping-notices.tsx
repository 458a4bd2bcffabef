import { useState, type JSX } from 'react';
import { problemText } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { MoveLibraryDialog } from './library-dialogs.tsx';
import { removedText } from './keeping-text.ts';

/** Returns the question in which form records are to be kept, until a person has answered it; and what was removed of imports that were cut short. */
export function KeepingNotices(): JSX.Element {
  return (
    <>
      <RemovedImports />
      <FormQuestion />
    </>
  );
}

function FormQuestion(): JSX.Element | null {
  const session = useSession();
  const state = useStore(session.keeping);
  const [isMoving, setIsMoving] = useState(false);
  if (state.kind !== 'ready' || !state.overview.isUndecided) return null;
  const { name } = state.overview.open;
  const stay = async (): Promise<void> => {
    const problem = await session.keeping.stayWithFolder();
    if (problem !== null) session.messages.add('problem', problemText(problem));
  };
  return (
    <Notice tone="note" title="Before real records come in: this library is a folder, not encrypted" isOnlyOnScreen>
      <p>Whoever can read your files can read it. That is right for the sample cases, which are invented. For records of patients an encrypted library is the better place: one file with a passphrase, which nobody can replace when it is forgotten.</p>
      <div className="row">
        <Button onClick={() => setIsMoving(true)}>Make it an encrypted library…</Button>
        <Button look="quiet" onClick={() => void stay()}>Stay with the folder</Button>
        <Button look="link" className="only-screen" onClick={() => session.place.set('keeping')}>More about how it is kept</Button>
      </div>
      {isMoving ? <MoveLibraryDialog name={name} onClose={() => setIsMoving(false)} /> : null}
    </Notice>
  );
}

function RemovedImports(): JSX.Element | null {
  const session = useSession();
  const removed = useStore(session.keeping.removed);
  if (removed.length === 0) return null;
  const forget = async (): Promise<void> => {
    const problem = await session.keeping.forgetRemoved();
    if (problem !== null) session.messages.add('problem', problemText(problem));
  };
  return (
    <Notice tone="caution" title={removed.length === 1 ? 'An import was cut short' : 'Imports were cut short'} live>
      {removed.map((one) => <p key={one.importId}>{removedText(one)}</p>)}
      <div className="row">
        <Button look="primary" onClick={() => session.place.set('import')}>Import records…</Button>
        <Button onClick={() => void forget()}>I have read this</Button>
      </div>
    </Notice>
  );
}
