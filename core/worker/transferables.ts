/**
 * Returns every array buffer inside plain data, each once: channels of one table share their time axis,
 * and a buffer named twice in a transfer list is refused.
 * Shape   `value` is not modified. After it was posted with this list, its arrays are empty on this side.
 * Missing data without arrays gives an empty list. Shared buffers are left out (they need no transfer).
 */
export function buffersOf(value: unknown): ArrayBuffer[] {
  const buffers = new Set<ArrayBuffer>();
  const seen = new Set<object>();
  const waiting: unknown[] = [value];
  while (waiting.length > 0) {
    const next = waiting.pop();
    if (typeof next !== 'object' || next === null || seen.has(next)) continue;
    seen.add(next);
    if (ArrayBuffer.isView(next)) {
      if (next.buffer instanceof ArrayBuffer) buffers.add(next.buffer);
    } else if (next instanceof ArrayBuffer) {
      buffers.add(next);
    } else {
      for (const part of next instanceof Map ? [...next.keys(), ...next.values()] : next instanceof Set ? next : Object.values(next)) {
        if (typeof part === 'object') waiting.push(part);
      }
    }
  }
  return [...buffers];
}
