import { isAbove, isBelow } from './beyond-limit.ts';

/** The eight patterns by their numbers in Nelson's paper. */
export type PatternRule = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

/** Points of a run on one side: nine by Nelson, eight by Western Electric. */
export type SideRun = 8 | 9;

/**
 * Returns for each rule the points, from 0, at which its pattern is complete.
 * Shape   z: distances from the centre in standard deviations, in order of time. 1: one point beyond 3. 2: `sideRun` on one side, a
 *         point on the line breaks it. 3: six steadily up or down. 4: fourteen alternating. 5: two of three beyond 2 on one side.
 *         6: four of five beyond 1 on one side. 7: fifteen within 1. 8: eight beyond 1, on both sides. For 5 and 6 the point itself
 *         is beyond.
 * Missing null points are left out as if they were not there.
 * Source  Nelson, J Qual Technol 1984;16:237; Western Electric, Statistical Quality Control Handbook 1956. All together signal
 *         falsely about every 90 points (Champ & Woodall, Technometrics 1987;29:393, from memory).
 */
export function chartPatterns(z: readonly (number | null)[], rules: readonly PatternRule[], sideRun: SideRun = 9): Readonly<Partial<Record<PatternRule, readonly number[]>>> {
  const at: number[] = [];
  const values: number[] = [];
  z.forEach((v, i) => {
    if (v === null) return;
    at.push(i);
    values.push(v);
  });
  return Object.fromEntries(rules.map((rule) => [rule, values.flatMap((_, i) => (isComplete(rule, values, i, sideRun) ? [at[i] ?? NaN] : []))]));
}

function isComplete(rule: PatternRule, z: readonly number[], i: number, sideRun: number): boolean {
  /** The last `n` values up to this one; null where there are not so many. */
  const last = (n: number): readonly number[] | null => (i + 1 >= n ? z.slice(i + 1 - n, i + 1) : null);
  switch (rule) {
    case 1:
      return isFar(z[i] ?? NaN, 3);
    case 2: {
      const run = last(sideRun);
      return run !== null && (run.every((v) => v > 0) || run.every((v) => v < 0));
    }
    case 3: {
      const steps = stepsOf(last(6));
      return steps !== null && (steps.every((s) => s > 0) || steps.every((s) => s < 0));
    }
    case 4: {
      const steps = stepsOf(last(14));
      return steps !== null && steps.every((s, k) => k === 0 || s * (steps[k - 1] ?? NaN) < 0);
    }
    case 5:
      return isMostlyBeyond(last(3), 2, 2);
    case 6:
      return isMostlyBeyond(last(5), 1, 4);
    case 7:
      return last(15)?.every((v) => isBelow(Math.abs(v), 1)) === true;
    case 8: {
      const run = last(8);
      return run !== null && run.every((v) => isFar(v, 1)) && run.some((v) => v > 0) && run.some((v) => v < 0);
    }
  }
}

function isFar(z: number, limit: number): boolean {
  return isAbove(Math.abs(z), limit);
}

function stepsOf(run: readonly number[] | null): number[] | null {
  return run === null ? null : run.slice(1).map((v, k) => v - (run[k] ?? NaN));
}

function isMostlyBeyond(run: readonly number[] | null, limit: number, needed: number): boolean {
  if (run === null) return false;
  return [1, -1].some((side) => isAbove(side * (run[run.length - 1] ?? NaN), limit) && run.filter((v) => isAbove(side * v, limit)).length >= needed);
}
