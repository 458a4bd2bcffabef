import { useCallback, useEffect, useState, type JSX, type ReactNode, type SyntheticEvent } from 'react';
import type { HostDescription } from '../../core/protocol/host-api.ts';
import type { LibraryBackup, NamedLibrary } from '../../core/protocol/library-calls.ts';
import type { HostConnection } from '../host/host-client.ts';
import type { ThemeChoice } from '../state/preferences.ts';
import { describeProblem, type Problem } from '../state/problem.ts';
import { lockWhenIdle } from '../state/lock-when-idle.ts';
import { Button } from '../widgets/button.tsx';
import { Waiting } from '../widgets/empty-state.tsx';
import { CheckField, TextField } from '../widgets/field.tsx';
import { Notice } from '../widgets/notice.tsx';
import { BackupTable } from '../panels/keeping/backup-table.tsx';
import { formText } from '../panels/keeping/keeping-text.ts';
import { useTheme } from './use-theme.ts';

/** The window over an open library. */
export interface OpenWindow {
  readonly content: ReactNode;
  readonly dispose: () => void;
}

export interface LockGateProps {
  readonly host: HostConnection;
  /** Returns the window of a library that has just been opened. */
  readonly open: () => OpenWindow;
  /** Takes everything that the page holds out of memory. */
  readonly forget: () => void;
  /** The theme of this person on this computer: what asks for the passphrase is seen in it too. */
  readonly theme: ThemeChoice;
}

type Gate = { readonly kind: 'asking' } | { readonly kind: 'locked' } | { readonly kind: 'open'; readonly window: OpenWindow };

/** Returns the window once the library is open, and before that what asks for its passphrase. When it is locked nothing of it stays on the page. */
export function LockGate({ host, open, forget, theme }: LockGateProps): JSX.Element {
  const [gate, setGate] = useState<Gate>({ kind: 'asking' });
  const [description, setDescription] = useState<HostDescription | null>(null);
  const enter = useCallback(() => setGate({ kind: 'open', window: open() }), [open]);
  useEffect(() => {
    let isCurrent = true;
    host.describe().then(
      (found) => {
        if (!isCurrent) return;
        setDescription(found);
        if (found.lock?.isLocked === true) setGate({ kind: 'locked' });
        else enter();
      },
      () => isCurrent && enter(), // the window itself says what is wrong with the host
    );
    return () => {
      isCurrent = false;
    };
  }, [host, enter]);
  /** What an encrypted library says of its locking is inside it: known once it is open, and after it was changed. */
  const askAgain = useCallback(() => host.describe().then(setDescription, () => undefined), [host]);
  const openWindow = gate.kind === 'open' ? gate.window : null;
  useEffect(
    () =>
      host.onEvent(({ kind }) => {
        if (kind === 'lock-changed') void askAgain();
        if (kind !== 'library-locked') return;
        openWindow?.dispose();
        setGate({ kind: 'locked' });
        forget();
      }),
    [host, openWindow, forget, askAgain],
  );
  const idleMinutes = openWindow === null ? 0 : (description?.lock?.afterMinutes ?? 0);
  useEffect(() => lockWhenIdle(host, window, idleMinutes), [host, idleMinutes]);

  if (openWindow !== null) return <>{openWindow.content}</>;
  if (gate.kind === 'asking') return <div className="lock-page"><Waiting>Asking for the library…</Waiting></div>;
  return <LockPage host={host} theme={theme} libraryName={description?.libraryName ?? ''} onOpen={() => void askAgain().then(enter)} />;
}

interface LockPageProps {
  readonly host: HostConnection;
  readonly theme: ThemeChoice;
  readonly libraryName: string;
  readonly onOpen: () => void;
}

/** Failures after which a backup is the way on. */
const DAMAGED = ['library-damaged', 'library-incomplete', 'key-damaged'];

function LockPage({ host, theme, libraryName, onOpen }: LockPageProps): JSX.Element {
  useTheme(theme);
  const [passphrase, setPassphrase] = useState('');
  const [isShown, setIsShown] = useState(false);
  const [isTrying, setIsTrying] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [backups, setBackups] = useState<readonly LibraryBackup[] | null>(null);
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (isTrying || passphrase === '') return;
    setIsTrying(true);
    setProblem(null);
    host.unlockLibrary({ passphrase }).then(onOpen, (error: unknown) => {
      setIsTrying(false);
      setProblem(describeProblem(error, 'Unlocking the library'));
      const code = error instanceof Error && 'code' in error ? String(error.code) : '';
      if (DAMAGED.includes(code)) host.listBackups().then(setBackups, () => setBackups([]));
    });
  };
  return (
    <main className="lock-page">
      <div className="lock-parts">
        <p className="lock-brand">Lacuna</p>
        <form className="lock-form" onSubmit={submit}>
          <h1>The library “{libraryName}” {backups === null ? 'is locked' : 'cannot be opened'}</h1>
          <TextField label="Passphrase" type={isShown ? 'text' : 'password'} value={passphrase} onChange={setPassphrase} hint="Nobody can replace or reset a forgotten passphrase." />
          <CheckField label="Show what I type" checked={isShown} onChange={setIsShown} />
          {problem === null ? null : <Notice tone="problem" live>{problem.message}{problem.remedy === null ? '' : ` ${problem.remedy}`}</Notice>}
          <Button type="submit" look={backups === null ? 'primary' : 'plain'} disabled={isTrying || passphrase === ''}>{isTrying ? 'Unlocking…' : 'Unlock'}</Button>
        </form>
        {backups === null ? null : (
          <section aria-labelledby="backups-of-it">
            <h2 id="backups-of-it">Its backups</h2>
            {backups.length === 0 ? <p>There is none beside it.</p> : <p>Restoring takes the passphrase that is typed above: it has to be the one that the library had on that day.</p>}
            {backups.length === 0 ? null : <BackupTable backups={backups} restore={({ at }) => host.restoreBackup({ at, passphrase }).then(onOpen)} />}
          </section>
        )}
        <OtherLibraries host={host} />
      </div>
    </main>
  );
}

/** The way on for somebody who wants, or can open, another library only. */
function OtherLibraries({ host }: { readonly host: HostConnection }): JSX.Element | null {
  const [others, setOthers] = useState<readonly NamedLibrary[]>([]);
  const [problem, setProblem] = useState<Problem | null>(null);
  useEffect(() => {
    let isCurrent = true;
    host.describeLibrary().then((overview) => isCurrent && setOthers(overview.others), () => undefined); // without the list this library can be unlocked all the same
    return () => {
      isCurrent = false;
    };
  }, [host]);
  if (others.length === 0) return null;
  return (
    <section aria-labelledby="others-here">
      <h2 id="others-here">Or open another library</h2>
      <ul className="lock-others">
        {others.map((library) => (
          <li key={`${library.form} ${library.name}`}>
            <Button onClick={() => host.openOtherLibrary(library).catch((error: unknown) => setProblem(describeProblem(error, 'Opening the library')))}>{library.name} ({formText(library)})</Button>
          </li>
        ))}
      </ul>
      {problem === null ? null : <Notice tone="problem" live>{problem.message}{problem.remedy === null ? '' : ` ${problem.remedy}`}</Notice>}
    </section>
  );
}
