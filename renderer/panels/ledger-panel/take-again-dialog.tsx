import { useRef, type JSX } from 'react';
import type { LedgerRun } from '../../../core/model/ledger.ts';
import { byteText, countText } from '../../format/number-text.ts';
import { filesFromInput } from '../../state/dropped-files.ts';
import { useSession } from '../../state/session.ts';
import { Button } from '../../widgets/button.tsx';
import { Dialog } from '../../widgets/dialog.tsx';
import { overrulesOf } from '../mapping/rules-text.ts';
import { shortDigest } from './ledger-text.ts';

const FILES_NAMED = 20;

/** Returns the question for the files of an earlier import: the library keeps no copy of them. */
export function TakeAgainDialog({ run, onClose }: { readonly run: LedgerRun; readonly onClose: () => void }): JSX.Element {
  const session = useSession();
  const filesRef = useRef<HTMLInputElement>(null);
  const folderRef = useRef<HTMLInputElement>(null);
  const files = [...new Map(run.files.filter(({ sha256 }) => sha256 !== '').map(({ file, sha256, byte_length, container }) => [container?.file ?? file, container ?? { file, sha256, byte_length }])).values()];
  const choose = (input: HTMLInputElement): void => {
    const chosen = filesFromInput(input.files ?? []);
    if (chosen.length === 0) return;
    onClose();
    session.importPart.set('import');
    void session.imports.takeAgain(chosen, { importId: run.importId, run: run.run }, overrulesOf);
  };
  return (
    <Dialog
      title="Choose the files of this import again" onClose={onClose} width="wide"
      actions={
        <>
          <Button onClick={onClose}>Go back</Button>
          <Button onClick={() => folderRef.current?.click()}>Choose a folder…</Button>
          <Button look="primary" onClick={() => filesRef.current?.click()}>Choose the files…</Button>
        </>
      }
    >
      <p>
        The library keeps no copy of your exports, so the files are needed once more. They are recognised by their content, whatever they are called now.
        They are read as they were then; in the report you correct the reading and read again. Cases that come out otherwise are shown beside those of the library before anything is replaced.
      </p>
      <p>Choose {files.length === 1 ? 'this file' : `these ${countText(files.length, 'file', 'files')}; a case whose other files are left out lacks what they hold`}:</p>
      <ul className="notes">
        {files.slice(0, FILES_NAMED).map(({ file, sha256, byte_length }) => <li key={file}>{file}, {byteText(byte_length)}, <span className="soft">{shortDigest(sha256)}</span></li>)}
      </ul>
      {files.length > FILES_NAMED ? <p className="soft">and {files.length - FILES_NAMED} more</p> : null}
      <input ref={filesRef} type="file" multiple hidden data-testid="again-files" onChange={(event) => choose(event.target)} />
      <input ref={folderRef} type="file" hidden data-testid="again-folder" onChange={(event) => choose(event.target)} {...{ webkitdirectory: '' }} />
    </Dialog>
  );
}
