const SIZE = 624;
const SHIFT = 397;

/** A stream of 32-bit numbers that a seed determines, the same in other software. */
export interface RandomStream {
  /** The next number, 0 … 2³² − 1. */
  readonly u32: () => number;
  /** The next index, 0 … n − 1. */
  readonly index: (n: number) => number;
}

/**
 * Returns the stream of MT19937 for a seed.
 * Source  Matsumoto & Nishimura, ACM TOMACS 1998;8:3, `init_genrand` and tempering; the 10 000th number of seed 5489 is 4123659995.
 */
export function mersenneTwister(seed: number): RandomStream {
  const state = new Uint32Array(SIZE);
  state[0] = seed >>> 0;
  for (let i = 1; i < SIZE; i++) {
    const before = state[i - 1] ?? 0;
    state[i] = Math.imul(1_812_433_253, before ^ (before >>> 30)) + i;
  }
  let at = SIZE;
  const u32 = (): number => {
    if (at === SIZE) {
      for (let i = 0; i < SIZE; i++) {
        const y = ((state[i] ?? 0) & 0x80000000) | ((state[(i + 1) % SIZE] ?? 0) & 0x7fffffff);
        state[i] = (state[(i + SHIFT) % SIZE] ?? 0) ^ (y >>> 1) ^ ((y & 1) === 0 ? 0 : 0x9908b0df);
      }
      at = 0;
    }
    let y = state[at++] ?? 0;
    y ^= y >>> 11;
    y ^= (y << 7) & 0x9d2c5680;
    y ^= (y << 15) & 0xefc60000;
    y ^= y >>> 18;
    return y >>> 0;
  };
  return { u32, index: (n) => Math.floor((u32() * n) / 2 ** 32) };
}
