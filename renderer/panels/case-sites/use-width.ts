import { useLayoutEffect, useState, type RefObject } from 'react';
import { PRINT_WIDTH_PX, useIsPrinting } from '../../widgets/printing.ts';
import { drawnScale } from '../../widgets/drawn-scale.ts';

/** The width of an element as it is laid out, in whole px, and how much larger the page draws it. */
export interface Width {
  readonly widthPx: number;
  readonly scale: number;
}

const ON_PAPER: Width = { widthPx: PRINT_WIDTH_PX, scale: 1 };

/** Returns the width of an element, followed as it changes; 0 until it is known; that of the window on paper while it is printed. */
export function useWidth(ref: RefObject<HTMLElement | null>): Width {
  const [width, setWidth] = useState<Width>({ widthPx: 0, scale: 1 });
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const measure = (): void => {
      const scale = drawnScale(element);
      const widthPx = Math.floor(element.getBoundingClientRect().width / scale);
      setWidth((was) => (was.widthPx === widthPx && was.scale === scale ? was : { widthPx, scale }));
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    // Where it is enlarged with the window, its own width may stay the same.
    window.addEventListener('resize', measure);
    return () => {
      window.removeEventListener('resize', measure);
      observer.disconnect();
    };
  }, [ref]);
  return useIsPrinting() && width.widthPx > 0 ? ON_PAPER : width;
}
