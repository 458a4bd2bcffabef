import type { JSX, ReactNode } from 'react';

export interface DisclosureProps {
  readonly summary: ReactNode;
  readonly children: ReactNode;
  readonly isOpen?: boolean | undefined;
}

/** Returns a part that opens and closes under its own heading. */
export function Disclosure({ summary, children, isOpen = false }: DisclosureProps): JSX.Element {
  return (
    <details className="disclosure" open={isOpen}>
      <summary>{summary}</summary>
      <div className="disclosure-body">{children}</div>
    </details>
  );
}
