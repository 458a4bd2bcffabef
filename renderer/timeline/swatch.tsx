import type { JSX } from 'react';
import { markerPath } from './marker-shape.ts';
import { cssVariable } from './palette.ts';
import type { LineStyle } from './site-style.ts';

/** Returns a short piece of a line as the lanes draw it: colour, dash and marker. */
export function Swatch({ style }: { readonly style: LineStyle }): JSX.Element {
  const color = cssVariable(style.color);
  return (
    <svg className="tl-swatch" width="24" height="12" viewBox="0 0 24 12" aria-hidden="true">
      <line x1="0" y1="6" x2="24" y2="6" stroke={color} strokeWidth={style.widthPx} strokeDasharray={style.dashPx.join(' ')} />
      <path d={markerPath(style.marker, 3.4)} transform="translate(12 6)" fill="var(--panel)" stroke={color} strokeWidth="1.4" />
    </svg>
  );
}

/** Returns the sign of a cuff reading as the pressure lane draws it. */
export function CuffSwatch({ style }: { readonly style: LineStyle }): JSX.Element {
  const color = cssVariable(style.color);
  return (
    <svg className="tl-swatch" width="24" height="12" viewBox="0 0 24 12" aria-hidden="true">
      <path d="M12 1V11M9 1H15M9 11H15" fill="none" stroke={color} strokeWidth="1.4" />
      <rect x="9.5" y="4.5" width="5" height="3" fill={color} />
    </svg>
  );
}

/** Returns the bracket of bounds that were set by hand. */
export function HandBoundsSwatch(): JSX.Element {
  return (
    <svg className="tl-swatch" width="24" height="12" viewBox="0 0 24 12" aria-hidden="true">
      <path d="M5 2V10H19V2" fill="none" stroke="var(--ink)" strokeWidth="2" />
      <path d="M0 10H5M19 10H24" fill="none" stroke="var(--ink)" strokeWidth="1.5" strokeDasharray="1.5 2" />
    </svg>
  );
}
