import type { ByteSource } from '../reader.ts';
import { BrokenContainer } from './broken-container.ts';

/** An archive inside another one is kept whole while it is read, because its table of contents stands at its end. */
export const MAX_KEPT_BYTES = 64 * 2 ** 20;

/** Bytes of which any stretch can be read. */
export interface ByteRange {
  readonly byteLength: number;
  openRange(start: number, end: number): AsyncIterable<Uint8Array>;
}

/**
 * Returns a source as bytes of which any stretch can be read; one that can only be read from its start is kept whole.
 * Errors  throws BrokenContainer when it is too large to be kept.
 */
export async function anyRange(source: ByteSource): Promise<ByteRange> {
  if (source.openRange !== undefined) return { byteLength: source.byteLength, openRange: source.openRange.bind(source) };
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of source.open()) {
    size += chunk.length;
    if (size > MAX_KEPT_BYTES) throw new BrokenContainer(`The archive lies inside another one and is larger than ${MAX_KEPT_BYTES / 2 ** 20} MB.`, 'Unpack the outer archive and import what it holds.');
    parts.push(chunk.slice());
  }
  const whole = joined(parts);
  return {
    byteLength: whole.length,
    async *openRange(start, end) {
      yield whole.subarray(start, end);
    },
  };
}

/** Returns the bytes of a stretch; fewer when the source ends before it. */
export async function readRange(range: ByteRange, start: number, end: number): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  for await (const chunk of range.openRange(Math.max(0, start), Math.min(end, range.byteLength))) parts.push(chunk.slice());
  return joined(parts);
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
