import { useLayoutEffect, useRef } from 'react';

/**
 * Shows a screen of a place from its top when it takes the place of another one there: else the next one would begin as far down as
 * the one before was read. `screen` names the one that is shown.
 */
export function useStartAtTop(screen: string): void {
  const before = useRef(screen);
  useLayoutEffect(() => {
    if (before.current === screen) return;
    before.current = screen;
    document.getElementById('place')?.scrollTo({ top: 0, left: 0 });
  }, [screen]);
}
