import type { JSX } from 'react';
import type { ShownStatus } from './status-runs.ts';

const STROKES: Readonly<Record<ShownStatus, string>> = {
  weak: 'M2 1V9M5 1V9M8 1V9M11 1V9',
  disputed: 'M0 9L4 1M4 9L8 1M8 9L12 1',
  held: 'M0 3.5H13M0 6.5H13',
  flagged: 'M0 9L4 1M4 9L8 1M8 9L12 1M0 1L4 9M4 1L8 9M8 1L12 9',
  implausible: 'M0 1L4 9M4 1L8 9M8 1L12 9',
};

/** Returns the pattern by which the strip draws a status. */
export function StatusSwatch({ status }: { readonly status: ShownStatus }): JSX.Element {
  const isDoubtful = status === 'weak' || status === 'disputed';
  return (
    <svg className="tl-swatch" width="13" height="10" viewBox="0 0 13 10" aria-hidden="true">
      <rect x="0.5" y="0.5" width="12" height="9" fill={isDoubtful ? 'var(--doubtful-fill)' : 'var(--panel)'} stroke="var(--lost-ink)" strokeWidth="0.75" />
      <path d={STROKES[status]} fill="none" stroke="var(--lost-ink)" strokeWidth="0.9" />
    </svg>
  );
}
