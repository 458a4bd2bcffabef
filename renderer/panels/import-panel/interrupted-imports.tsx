import { useState, type JSX } from 'react';
import type { InterruptedImport } from '../../../core/protocol/host-api.ts';
import { byteText, countText } from '../../format/number-text.ts';
import { problemText } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { overrulesOf } from '../mapping/rules-text.ts';
import { fileNamesText, interruptedText, libraryText } from './interrupted-text.ts';

/** Returns a notice for each import that was running when the program ended, with the two ways on; nothing where there is none. */
export function InterruptedImports(): JSX.Element | null {
  const session = useSession();
  const interrupted = useStore(session.imports.interrupted);
  const [toDiscard, setToDiscard] = useState<InterruptedImport | null>(null);
  const isWorking = useStore(session.imports).kind === 'working';
  if (interrupted.length === 0 || isWorking) return null;
  const resume = (left: InterruptedImport): void => {
    session.place.set('import');
    void session.imports.resume(left, overrulesOf);
  };
  const discard = async (left: InterruptedImport): Promise<void> => {
    setToDiscard(null);
    const problem = await session.imports.discard(left);
    if (problem !== null) session.messages.add('problem', problemText(problem));
  };
  return (
    <>
      {interrupted.map((left) => (
        <Notice key={left.importId} tone="caution" title={interruptedText(left)} live>
          <p>
            {fileNamesText(left.files)}, {byteText(left.files.reduce((sum, file) => sum + file.byteLength, 0))}. The program ended while it ran. {libraryText(left)}; a copy of the files is kept until you decide.{' '}
            {left.overrules.length === 0 ? '' : `What you said about ${countText(left.overrules.length, 'file', 'files')} is kept with it.`}
          </p>
          <div className="row">
            <Button look="primary" onClick={() => resume(left)}>Go on</Button>
            <Button onClick={() => setToDiscard(left)}>Discard…</Button>
          </div>
        </Notice>
      ))}
      {toDiscard === null ? null : (
        <Dialog
          title="Discard this import?" onClose={() => setToDiscard(null)}
          actions={<><Button onClick={() => setToDiscard(null)}>Keep</Button><Button look="primary" onClick={() => void discard(toDiscard)}>Discard</Button></>}
        >
          <p>What was read of {fileNamesText(toDiscard.files)} is thrown away, and the copy of the files with it. The library and your own files stay as they are.</p>
        </Dialog>
      )}
    </>
  );
}
