import { useSyncExternalStore } from 'react';

/** Calls `listener` whenever the page gets another pixel ratio: by zooming, or by going to another screen. */
function subscribe(listener: () => void): () => void {
  let query: MediaQueryList;
  const onChange = (): void => {
    query.removeEventListener('change', onChange);
    watch();
    listener();
  };
  // A query can only say that the ratio is no longer the one it names, so each change asks for the next.
  const watch = (): void => {
    query = window.matchMedia(`(resolution: ${pixelRatio()}dppx)`);
    query.addEventListener('change', onChange);
  };
  watch();
  return () => {
    query.removeEventListener('change', onChange);
  };
}

function pixelRatio(): number {
  return globalThis.devicePixelRatio || 1;
}

/** Returns how many device pixels make a CSS pixel, following it: what a canvas needs to be sharp. */
export function usePixelRatio(): number {
  return useSyncExternalStore(subscribe, pixelRatio);
}
