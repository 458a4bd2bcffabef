import type { JSX } from 'react';

export interface RangeBarProps {
  readonly low: number;
  readonly mid: number;
  readonly high: number;
  /** The value at the right end of the bar. */
  readonly max: number;
}

const WIDTH = 84;
const HEIGHT = 12;

/** Returns a small bar: filled to the low limit, hatched lighter from low to high, a tick at the estimate. Decoration beside a written number. */
export function RangeBar({ low, mid, high, max }: RangeBarProps): JSX.Element {
  const x = (value: number): number => (max > 0 ? (Math.min(value, max) / max) * WIDTH : 0);
  return (
    <svg className="range-bar" width={WIDTH + 2} height={HEIGHT} viewBox={`0 0 ${WIDTH + 2} ${HEIGHT}`} aria-hidden="true" focusable="false">
      <rect className="range-bar-ground" x="0" y="5" width={WIDTH} height="2" />
      <rect className="range-bar-maybe" x={x(low)} y="2" width={high > low ? Math.max(1, x(high) - x(low)) : 0} height="8" />
      <rect className="range-bar-sure" x="0" y="2" width={x(low)} height="8" />
      {high > 0 ? <rect className="range-bar-mid" x={x(mid)} y="0" width="2" height={HEIGHT} /> : null}
    </svg>
  );
}
