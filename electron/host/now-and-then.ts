/** Progress is told at most this often. */
const PROGRESS_EVERY_MS = 100;

/** Returns a function that hands on how far something is, now and then, and always its end. */
export function nowAndThen(tell: (done: number, total: number) => void): (done: number, total: number) => void {
  let toldAt = -Infinity;
  return (done, total) => {
    const now = performance.now();
    if (done < total && now - toldAt < PROGRESS_EVERY_MS) return;
    toldAt = now;
    tell(done, total);
  };
}
