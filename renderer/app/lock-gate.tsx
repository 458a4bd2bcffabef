import { useCallback, useEffect, useState, type JSX, type ReactNode, type SyntheticEvent } from 'react';
import type { HostDescription } from '../../core/protocol/host-api.ts';
import type { HostConnection } from '../host/host-client.ts';
import { describeProblem, type Problem } from '../state/problem.ts';
import { lockWhenIdle } from '../state/lock-when-idle.ts';
import { Button } from '../widgets/button.tsx';
import { Waiting } from '../widgets/empty-state.tsx';
import { CheckField, TextField } from '../widgets/field.tsx';
import { Notice } from '../widgets/notice.tsx';

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
}

type Gate = { readonly kind: 'asking' } | { readonly kind: 'locked' } | { readonly kind: 'open'; readonly window: OpenWindow };

/** Returns the window once the library is open, and before that what asks for its passphrase. When it is locked nothing of it stays on the page. */
export function LockGate({ host, open, forget }: LockGateProps): JSX.Element {
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
  const openWindow = gate.kind === 'open' ? gate.window : null;
  useEffect(
    () =>
      host.onEvent(({ kind }) => {
        if (kind !== 'library-locked') return;
        openWindow?.dispose();
        setGate({ kind: 'locked' });
        forget();
      }),
    [host, openWindow, forget],
  );
  const idleMinutes = openWindow === null ? 0 : (description?.lock?.afterMinutes ?? 0);
  useEffect(() => lockWhenIdle(host, window, idleMinutes), [host, idleMinutes]);

  if (openWindow !== null) return <>{openWindow.content}</>;
  if (gate.kind === 'asking') return <div className="lock-page"><Waiting>Asking for the library…</Waiting></div>;
  return <LockPage libraryName={description?.libraryName ?? ''} unlock={(passphrase) => host.unlockLibrary({ passphrase })} onOpen={enter} />;
}

interface LockPageProps {
  readonly libraryName: string;
  readonly unlock: (passphrase: string) => Promise<unknown>;
  readonly onOpen: () => void;
}

function LockPage({ libraryName, unlock, onOpen }: LockPageProps): JSX.Element {
  const [passphrase, setPassphrase] = useState('');
  const [isShown, setIsShown] = useState(false);
  const [isTrying, setIsTrying] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const submit = (event: SyntheticEvent): void => {
    event.preventDefault();
    if (isTrying || passphrase === '') return;
    setIsTrying(true);
    setProblem(null);
    unlock(passphrase).then(onOpen, (error: unknown) => {
      setIsTrying(false);
      setProblem(describeProblem(error, 'Unlocking the library'));
    });
  };
  return (
    <main className="lock-page">
      <form className="lock-form" onSubmit={submit}>
        <h1>The library “{libraryName}” is locked</h1>
        <TextField label="Passphrase" type={isShown ? 'text' : 'password'} value={passphrase} onChange={setPassphrase} hint="Nobody can replace or reset a forgotten passphrase." />
        <CheckField label="Show what I type" checked={isShown} onChange={setIsShown} />
        {problem === null ? null : <Notice tone="problem" live>{problem.message}{problem.remedy === null ? '' : ` ${problem.remedy}`}</Notice>}
        <Button type="submit" look="primary" disabled={isTrying || passphrase === ''}>{isTrying ? 'Unlocking…' : 'Unlock'}</Button>
      </form>
    </main>
  );
}
