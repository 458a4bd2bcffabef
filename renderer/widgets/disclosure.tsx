import type { JSX, ReactNode } from 'react';

export interface DisclosureProps {
  readonly summary: ReactNode;
  readonly children: ReactNode;
  readonly isOpen?: boolean | undefined;
  /** By which the window knows this part among others. */
  readonly part?: string | undefined;
}

/** Returns a part that opens and closes under its own heading. */
export function Disclosure({ summary, children, isOpen = false, part }: DisclosureProps): JSX.Element {
  return (
    <details className="disclosure" data-part={part} open={isOpen}>
      <summary>{summary}</summary>
      <div className="disclosure-body">{children}</div>
    </details>
  );
}
