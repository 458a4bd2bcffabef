import type { JSX } from 'react';
import { Button } from './button.tsx';

export interface Toast {
  readonly id: number;
  readonly tone: 'note' | 'problem';
  readonly text: string;
}

/** Returns the shelf of short messages. They stay until dismissed: nobody has to read in a hurry. */
export function ToastShelf({ toasts, onDismiss }: { readonly toasts: readonly Toast[]; readonly onDismiss: (id: number) => void }): JSX.Element {
  return (
    <div className="toast-shelf" role="status" aria-live="polite">
      {toasts.map((toast) => (
        <div key={toast.id} className={`toast toast-${toast.tone}`}>
          <span>{toast.text}</span>
          <Button look="quiet" onClick={() => onDismiss(toast.id)}>Dismiss</Button>
        </div>
      ))}
    </div>
  );
}
