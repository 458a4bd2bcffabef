import type { JSX, ReactNode } from 'react';

export interface EmptyStateProps {
  readonly title: string;
  readonly children: ReactNode;
  readonly actions?: ReactNode;
}

/** Returns what stands where there is nothing yet, and how to change that. */
export function EmptyState({ title, children, actions }: EmptyStateProps): JSX.Element {
  return (
    <section className="empty-state">
      <h2>{title}</h2>
      <div className="prose">{children}</div>
      {actions === undefined ? null : <div className="row">{actions}</div>}
    </section>
  );
}

/** Returns a line that says what is being waited for. */
export function Waiting({ children }: { readonly children: ReactNode }): JSX.Element {
  return (
    <p className="waiting" role="status">
      <span className="waiting-sign" aria-hidden="true" />
      {children}
    </p>
  );
}
