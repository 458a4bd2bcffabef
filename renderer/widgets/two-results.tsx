import type { JSX } from 'react';

/** Returns a figure of the first result with that of the second beneath it. */
export function TwoResults({ first, second }: { readonly first: string; readonly second: string }): JSX.Element {
  return <><span className="figure">{first}</span><span className="figure soft under">{second}</span></>;
}

/** Returns what the second line is, for the heading of a row. */
export function SecondResultName(): JSX.Element {
  return <span className="soft under">doubtful as lost</span>;
}
