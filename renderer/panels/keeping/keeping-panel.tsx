import { useCallback, useEffect, useRef, useState, type JSX } from 'react';
import type { LibraryBackup, LibraryOverview, NamedLibrary } from '../../../core/protocol/library-calls.ts';
import { countText } from '../../format/number-text.ts';
import { describeProblem, problemText, type Problem } from '../../state/problem.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Waiting } from '../../widgets/empty-state.tsx';
import { CheckField, NumberField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { BackupTable } from './backup-table.tsx';
import { formText, keptAsideText, WHERE_LIBRARIES_LIE } from './keeping-text.ts';
import { ChangePassphraseDialog, MakeLibraryDialog, MoveLibraryDialog } from './library-dialogs.tsx';
import { SharePart } from './share-part.tsx';
import './keeping.css';

/** As the schema of the call has it. */
const MOST_LOCK_MINUTES = 1440;

/** Returns the place where a library is made, changed, backed up and put back. */
export function KeepingPanel(): JSX.Element {
  const session = useSession();
  const state = useStore(session.keeping);
  useEffect(() => {
    void session.keeping.load();
  }, [session]);
  return (
    <div className="page keeping">
      <h1>How the library is kept</h1>
      {state.kind === 'loading' ? <Waiting>Asking how the library is kept…</Waiting> : null}
      {state.kind === 'failed' ? (
        <Notice tone="problem" title="It could not be asked how the library is kept." live>
          <p>{state.problem.message} {state.problem.remedy ?? ''}</p>
          <Button onClick={() => void session.keeping.load()}>Try again</Button>
        </Notice>
      ) : null}
      {state.kind === 'ready' ? (
        <div className="keeping-parts">
          {state.overview.open.form === 'folder' ? <FolderPart overview={state.overview} /> : <EncryptedPart overview={state.overview} />}
          {state.overview.open.form === 'folder' ? null : <BackupsPart overview={state.overview} />}
          <OthersPart others={state.overview.others} />
          <SharePart />
        </div>
      ) : null}
    </div>
  );
}

function FolderPart({ overview: { open, isUndecided } }: { readonly overview: LibraryOverview }): JSX.Element {
  const session = useSession();
  const [isMoving, setIsMoving] = useState(false);
  const stay = async (): Promise<void> => {
    const problem = await session.keeping.stayWithFolder();
    if (problem !== null) session.messages.add('problem', problemText(problem));
  };
  return (
    <section aria-labelledby="this-library">
      <h2 id="this-library">This library: “{open.name}”</h2>
      <p>It is a <strong>folder, not encrypted</strong>. Whoever can read your files can read it; it is never locked and has no backups of its own: copy the folder while the program is closed.</p>
      <p>As an encrypted library it would be one file with a passphrase, locked when you leave it, and backed up by itself.</p>
      <div className="row">
        <Button look="primary" onClick={() => setIsMoving(true)}>Move it into an encrypted library…</Button>
        {isUndecided ? <Button onClick={() => void stay()}>Stay with the folder</Button> : null}
      </div>
      {isMoving ? <MoveLibraryDialog name={open.name} onClose={() => setIsMoving(false)} /> : null}
    </section>
  );
}

function EncryptedPart({ overview: { open, lockAfter, keyKeeping } }: { readonly overview: LibraryOverview }): JSX.Element {
  const session = useSession();
  const [isChanging, setIsChanging] = useState(false);
  const [minutes, setMinutes] = useState(lockAfter?.minutes ?? 0);
  const change = async (act: () => Promise<unknown>, doing: string, done: string): Promise<void> => {
    try {
      await act();
      session.messages.add('note', done);
    } catch (error) {
      session.messages.add('problem', problemText(describeProblem(error, doing)));
    }
    await session.keeping.load();
  };
  return (
    <section aria-labelledby="this-library">
      <h2 id="this-library">This library: “{open.name}”</h2>
      <p>It is <strong>one encrypted file</strong>, with its key beside it. Without the passphrase nobody can read it.</p>
      <div className="row">
        <Button onClick={() => setIsChanging(true)}>Change the passphrase…</Button>
        <Button onClick={session.lock}>Lock it now</Button>
      </div>
      {isChanging ? (
        <ChangePassphraseDialog
          onClose={() => setIsChanging(false)}
          onDone={() => {
            setIsChanging(false);
            session.messages.add('note', 'The passphrase is changed.');
            void session.keeping.load();
          }}
        />
      ) : null}
      <h3>It locks itself after</h3>
      <form
        className="row keeping-minutes"
        onSubmit={(event) => {
          event.preventDefault();
          void change(() => session.host.setLockAfter({ minutes }), 'Setting the time', minutes === 0 ? 'It never locks itself now.' : `It locks itself after ${countText(minutes, 'minute', 'minutes')} now.`);
        }}
      >
        <NumberField label="Lock after so many minutes without a key or pointer" labelHidden unit="min without a key or pointer" min={0} max={MOST_LOCK_MINUTES} wholeOnly value={minutes} onChange={setMinutes} />
        <Button type="submit" disabled={minutes === lockAfter?.minutes && !lockAfter.isOverruled}>Set</Button>
      </form>
      <p className="soft">With 0 it never locks itself. The time is kept in the library and holds for whoever opens it.</p>
      {lockAfter?.isOverruled === true ? <p className="soft">The program was started with --lock-after: that time holds until it ends, whatever is set here.</p> : null}
      <h3>The passphrase at the start</h3>
      {keyKeeping.kind === 'none' ? <p>{keyKeeping.why}</p> : (
        <>
          <CheckField
            label="Remember the key on this computer" checked={keyKeeping.isKept}
            onChange={(isKept) => void change(() => session.host.keepKey({ isKept }), 'Keeping the key', isKept ? 'The system keeps the key of this library now.' : 'The key is forgotten: the passphrase is asked for at the next start.')}
          />
          <p className="soft">
            The system’s key store keeps the key for your account, and the library opens at the start without its passphrase: whoever can use your account on this computer can open it too. After it was
            locked the passphrase is asked for all the same. It is forgotten when the box is cleared or the passphrase changes. Keep the passphrase nevertheless: the key store may be lost with the computer.
          </p>
        </>
      )}
    </section>
  );
}

type Listed = { readonly kind: 'loading' } | { readonly kind: 'ready'; readonly backups: readonly LibraryBackup[] } | { readonly kind: 'failed'; readonly problem: Problem };

function BackupsPart({ overview: { keptAside, isOwn } }: { readonly overview: LibraryOverview }): JSX.Element {
  const { host, messages } = useSession();
  const [listed, setListed] = useState<Listed>({ kind: 'loading' });
  const [isMaking, setIsMaking] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const load = useCallback(
    () => host.listBackups().then((backups) => setListed({ kind: 'ready', backups }), (error: unknown) => setListed({ kind: 'failed', problem: describeProblem(error, 'Looking for backups') })),
    [host],
  );
  useEffect(() => void load(), [load]);
  const said = useRef<string | null>(null);
  const make = async (): Promise<void> => {
    setIsMaking(true);
    setProblem(null);
    // What an earlier one said is not to stand beside the failure of this one.
    if (said.current !== null) messages.withdraw([said.current]);
    try {
      const { cases } = await host.backUpNow();
      said.current = `The backup is made, opened and read through: ${countText(cases, 'case', 'cases')}.`;
      messages.add('note', said.current);
    } catch (error) {
      setProblem(describeProblem(error, 'Making a backup'));
    }
    setIsMaking(false);
    await load();
  };
  return (
    <section aria-labelledby="backups">
      <h2 id="backups">Backups</h2>
      <p>A backup is made when the library is opened and the last one is older than 20 hours. Of the last seven days and of the last twelve months one each is kept. They lie on the same disk: copy them elsewhere too.</p>
      {listed.kind === 'loading' ? <Waiting>Looking for backups…</Waiting> : null}
      {listed.kind === 'failed' ? <Notice tone="problem" title="The backups could not be listed." live><p>{listed.problem.message} {listed.problem.remedy ?? ''}</p></Notice> : null}
      {listed.kind === 'ready' && listed.backups.length === 0 ? <p className="soft">There is none yet.</p> : null}
      {listed.kind === 'ready' && listed.backups.length > 0 ? <BackupTable backups={listed.backups} restore={({ at }) => host.restoreBackup({ at, passphrase: null })} /> : null}
      {keptAside.length === 0 ? null : (
        <Notice tone="note" title="Kept from before a backup was put back">
          {keptAside.map((one) => <p key={one.name}>{keptAsideText(one)}</p>)}
          <p>It opens with the passphrase that the library had then. When you do not need it any more, remove it, with its key file, from {isOwn ? WHERE_LIBRARIES_LIE : 'the folder of the library'}.</p>
        </Notice>
      )}
      {problem === null ? null : <Notice tone="problem" title="No backup was made." live><p>{problem.message} {problem.remedy ?? ''}</p></Notice>}
      <p><Button disabled={isMaking} onClick={() => void make()}>{isMaking ? 'Making a backup…' : 'Make a backup now'}</Button></p>
    </section>
  );
}

function OthersPart({ others }: { readonly others: readonly NamedLibrary[] }): JSX.Element {
  const { host, messages } = useSession();
  const [isMaking, setIsMaking] = useState(false);
  const open = (library: NamedLibrary): void => {
    host.openOtherLibrary(library).catch((error: unknown) => {
      messages.add('problem', problemText(describeProblem(error, 'Opening the library')));
    });
  };
  return (
    <section aria-labelledby="other-libraries">
      <h2 id="other-libraries">Other libraries on this computer</h2>
      {others.length === 0 ? <p className="soft">There is no other one in your folder of libraries.</p> : (
        <div className="grid-scroll">
          <table className="plain-table">
            <thead><tr><th scope="col">Name</th><th scope="col">Kept as</th><th scope="col"><span className="visually-hidden">Open</span></th></tr></thead>
            <tbody>
              {others.map((library) => (
                <tr key={`${library.form} ${library.name}`}>
                  <th scope="row">{library.name}</th>
                  <td>{formText(library)}</td>
                  <td><Button look="link" className="only-screen" aria-label={`Open ${library.name}, ${formText(library)}`} onClick={() => open(library)}>Open</Button></td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      <p className="soft">At its next start the program opens the library that was used last.</p>
      <p><Button onClick={() => setIsMaking(true)}>Make a new library…</Button></p>
      {isMaking ? <MakeLibraryDialog onClose={() => setIsMaking(false)} /> : null}
    </section>
  );
}
