/** Draws at most once per animation frame, however often it is asked. */
export interface Frame {
  request(): void;
  /** Draws at once what was asked for, where something was. */
  flush(): void;
  dispose(): void;
}

/** Returns a frame that calls `draw` in the next animation frame after a request; `onPending` hears true at a request and false once drawn. */
export function createFrame(draw: () => void, onPending: (isPending: boolean) => void): Frame {
  let handle: number | null = null;
  return {
    request() {
      if (handle !== null) return;
      onPending(true);
      handle = requestAnimationFrame(() => {
        handle = null;
        draw();
        if (handle === null) onPending(false);
      });
    },
    flush() {
      if (handle === null) return;
      cancelAnimationFrame(handle);
      handle = null;
      draw();
      if (handle === null) onPending(false);
    },
    dispose() {
      if (handle !== null) cancelAnimationFrame(handle);
      handle = null;
    },
  };
}
