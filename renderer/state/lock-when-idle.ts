import type { HostConnection } from '../host/host-client.ts';

/** What a person at the window does. */
const SIGNS = ['pointerdown', 'pointermove', 'keydown', 'wheel'] as const;
const LOOK_EVERY_MS = 5000;

/**
 * Locks the library when nothing was done at `window` for so many minutes; 0: never. Where it is busy the lock is tried again until
 * it is not. Returns the function that stops it.
 */
export function lockWhenIdle(host: Pick<HostConnection, 'lockLibrary'>, window: Pick<EventTarget, 'addEventListener' | 'removeEventListener'>, minutes: number, now: () => number = Date.now): () => void {
  if (minutes === 0) return () => undefined;
  let lastSign = now();
  const onSign = (): void => {
    lastSign = now();
  };
  for (const sign of SIGNS) window.addEventListener(sign, onSign, { passive: true, capture: true });
  // Looked at now and then rather than waited for: a computer that slept must lock when it wakes.
  const timer = setInterval(() => {
    if (now() - lastSign >= minutes * 60_000) host.lockLibrary().catch(() => undefined); // busy: at the next look
  }, LOOK_EVERY_MS);
  return () => {
    clearInterval(timer);
    for (const sign of SIGNS) window.removeEventListener(sign, onSign, { capture: true });
  };
}
