import { describe, expect, it } from 'vitest';
import { buffersOf } from '../../../../core/worker/transferables.ts';

describe('buffersOf', () => {
  it('names a shared buffer once', () => {
    const tMs = new Float64Array(3);
    const value = new Float64Array(3);
    const channels = [{ tMs, value }, { tMs, value: new Float64Array(2) }];
    expect(buffersOf({ channels })).toHaveLength(3);
    expect(new Set(buffersOf({ channels })).has(tMs.buffer)).toBe(true);
  });

  it('names one buffer for two views into it', () => {
    const whole = new Float64Array(8);
    expect(buffersOf([whole.subarray(0, 4), whole.subarray(4)])).toEqual([whole.buffer]);
  });

  it('looks into nested arrays, maps and sets', () => {
    const a = new Uint8Array(1);
    const b = new Uint8Array(2);
    expect(buffersOf({ deep: [[new Map([['a', a]])], new Set([b])] })).toHaveLength(2);
  });

  it('ends on circular data and finds nothing in plain values', () => {
    const circle: { self?: unknown } = {};
    circle.self = circle;
    expect(buffersOf([circle, null, 1, 'text', undefined])).toEqual([]);
  });

  it('leaves shared memory out', () => {
    expect(buffersOf(new Uint8Array(new SharedArrayBuffer(4)))).toEqual([]);
  });
});
