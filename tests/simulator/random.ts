/** A seeded source of chance for the simulator: the same seed, the same case. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Whole number in [low, high]. */
  int(low: number, high: number): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  chance(probability: number): boolean;
  pick<T>(values: readonly T[]): T;
  /** Mean 0, standard deviation 1, roughly normal. */
  normal(): number;
}

/** Returns a generator for `seed` (32-bit mixing; seeds next to each other give unlike streams). */
export function seededRandom(seed: number): Random {
  let state = Math.imul(seed + 1, 0x9e3779b1) >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 15), z | 1);
    z ^= z + Math.imul(z ^ (z >>> 7), z | 61);
    return ((z ^ (z >>> 14)) >>> 0) / 4294967296;
  };
  const between = (low: number, high: number): number => low + (high - low) * next();
  const int = (low: number, high: number): number => low + Math.floor((high - low + 1) * next());
  return {
    next,
    int,
    between,
    chance: (probability) => next() < probability,
    pick: <T>(values: readonly T[]): T => values[int(0, values.length - 1)] as T,
    normal: () => {
      let sum = -6;
      for (let i = 0; i < 12; i++) sum += next();
      return sum;
    },
  };
}
