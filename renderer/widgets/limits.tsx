import type { JSX } from 'react';

const DASH = ' – ';

/** Returns the text of two limits so that, where it does not fit, it breaks after the dash and not inside one of them. */
export function Limits({ text }: { readonly text: string }): JSX.Element {
  const at = text.indexOf(DASH);
  if (at < 0) return <span className="unbroken">{text}</span>;
  return <><span className="unbroken">{text.slice(0, at + DASH.length - 1)}</span> <span className="unbroken">{text.slice(at + DASH.length)}</span></>;
}
