import { useEffect, useId, useRef, type JSX, type ReactNode } from 'react';
import { Button } from './button.tsx';

export interface DialogProps {
  readonly title: string;
  readonly onClose: () => void;
  readonly children: ReactNode;
  /** Buttons at the foot; without any, one that closes. */
  readonly actions?: ReactNode;
  /** What went wrong: above the buttons and always in sight, however long the dialog is. */
  readonly notice?: ReactNode;
  readonly width?: 'narrow' | 'wide' | undefined;
}

/** Returns a modal dialog. The platform keeps the focus inside and gives it back; Esc closes. Mounting it opens it. */
export function Dialog({ title, onClose, children, actions, notice = null, width = 'narrow' }: DialogProps): JSX.Element {
  const ref = useRef<HTMLDialogElement>(null);
  const titleId = useId();
  useEffect(() => {
    const element = ref.current;
    if (element === null || element.open) return undefined;
    const before = document.activeElement;
    element.showModal();
    element.querySelector<HTMLElement>('.dialog-actions button')?.focus();
    return () => {
      element.close();
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  return (
    <dialog
      ref={ref}
      className={`dialog dialog-${width}`}
      aria-labelledby={titleId}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
      onKeyDown={(event) => event.stopPropagation()}
    >
      <h2 id={titleId} className="dialog-title">{title}</h2>
      <div className="dialog-body" tabIndex={0} role="group" aria-labelledby={titleId}>{children}</div>
      <div className="dialog-notice">{notice}</div>
      <div className="dialog-actions">{actions ?? <Button look="primary" onClick={onClose}>Close</Button>}</div>
    </dialog>
  );
}
