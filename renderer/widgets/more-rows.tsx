import type { JSX, ReactNode } from 'react';
import { Button, type ButtonProps } from './button.tsx';

export interface MoreRowsProps {
  /** How many are not shown; of none, nothing stands. */
  readonly missing: number;
  readonly onMore: () => void;
  readonly look?: ButtonProps['look'];
  readonly children: ReactNode;
}

/** Returns the button that brings further rows of what shows its first ones. A sheet of paper, where nothing can be pressed, says how many it leaves out. */
export function MoreRows({ missing, onMore, look, children }: MoreRowsProps): JSX.Element | null {
  if (missing <= 0) return null;
  return (
    <>
      <Button look={look} onClick={onMore}>{children}</Button>
      <p className="soft only-paper">Not on this sheet: {missing.toLocaleString('en-US')} further {missing === 1 ? 'row' : 'rows'}. “Show more” in the window brings them.</p>
    </>
  );
}
