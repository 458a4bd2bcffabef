import { deflateRawSync, gzipSync } from 'node:zlib';
import { Gunzip, Inflate } from 'fflate/browser';
import { describe, expect, it } from 'vitest';

/*
 * What is relied on in fflate 0.8.3, held against zlib. What it does not do itself (sizes and checksums) is shown too: `core/readers/archive/inflate.ts` does it.
 */
const TEXT = new TextEncoder().encode('2031-03-04 08:00:00,97,60\n'.repeat(20_000));

function inflate(packed: Uint8Array, piece: number): { out: Uint8Array; largest: number } {
  const parts: Uint8Array[] = [];
  const stream = new Inflate((bytes) => parts.push(bytes));
  for (let at = 0; at < packed.length; at += piece) stream.push(packed.subarray(at, at + piece));
  stream.push(new Uint8Array(0), true);
  return { out: Buffer.concat(parts), largest: Math.max(...parts.map((part) => part.length)) };
}

describe('inflate', () => {
  it.each([1, 7, 512, 16_384])('gives what zlib packed, in pieces of %i bytes', (piece) => {
    expect(Buffer.compare(inflate(deflateRawSync(TEXT), piece).out, TEXT)).toBe(0);
  });

  it('gives no more at once than the deflate format can pack into one piece (1032 : 1)', () => {
    expect(inflate(deflateRawSync(new Uint8Array(40 << 20)), 4096).largest).toBeLessThan(4096 * 1040);
  });

  it('throws when the end is missing', () => {
    expect(() => inflate(deflateRawSync(TEXT).subarray(0, -3), 100)).toThrow();
  });

  it('does not notice bytes behind the end', () => {
    expect(inflate(Buffer.concat([deflateRawSync(TEXT), Buffer.from('more')]), 100).out).toHaveLength(TEXT.length);
  });
});

describe('gunzip', () => {
  it('says where the next member starts, whatever the pieces', () => {
    const members = [gzipSync('first'), gzipSync('second'), gzipSync('third')];
    const packed = Buffer.concat(members);
    for (const piece of [1, 5, 1000]) {
      const starts: number[] = [];
      const stream = new Gunzip(() => undefined);
      stream.onmember = (at) => starts.push(at);
      for (let at = 0; at < packed.length; at += piece) stream.push(packed.subarray(at, at + piece));
      stream.push(new Uint8Array(0), true);
      expect(starts).toEqual([members[0]!.length, members[0]!.length + members[1]!.length]);
    }
  });

  it('checks neither checksum nor size', () => {
    const packed = gzipSync('text');
    packed.fill(0, packed.length - 8);
    const parts: Uint8Array[] = [];
    new Gunzip((bytes) => parts.push(bytes)).push(packed, true);
    expect(Buffer.concat(parts).toString()).toBe('text');
  });
});
