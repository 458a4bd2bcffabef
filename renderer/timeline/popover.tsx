import { useRef } from 'react';
import type { JSX, ReactNode } from 'react';

export interface PopoverProps {
  readonly label: string;
  readonly title: string;
  readonly children: ReactNode;
}

/** Returns a button with a box that opens under it; Esc closes it and gives the focus back, so does leaving it. */
export function Popover({ label, title, children }: PopoverProps): JSX.Element {
  const ref = useRef<HTMLDetailsElement>(null);
  return (
    <details
      ref={ref} className="tl-further"
      onKeyDown={(event) => {
        if (ref.current?.open !== true) return;
        // What is typed in here is meant for the box, not for the picture.
        event.stopPropagation();
        if (event.key !== 'Escape') return;
        ref.current.open = false;
        ref.current.querySelector('summary')?.focus();
      }}
      onBlur={(event) => {
        if (ref.current !== null && event.relatedTarget instanceof Node && !ref.current.contains(event.relatedTarget)) ref.current.open = false;
      }}
    >
      <summary className="tl-button" title={title}>{label}</summary>
      <div className="tl-further-list">{children}</div>
    </details>
  );
}
