/** The lengths that the hand can choose, s: finer where they are short, since short losses are many. From analysis-spec 10: 5 s to 10 min. */
export const DURATION_STEPS_S = [
  5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 22, 25, 27, 30, 33, 36, 40, 45, 50, 55, 60, 66, 72, 80, 90, 100, 110, 120, 135, 150, 165, 180, 200, 220, 240, 270, 300, 330, 360, 400, 450, 500, 550, 600,
] as const;

export const SHORTEST_S = DURATION_STEPS_S[0];
export const LONGEST_S = 600;

/** Returns the place of the step nearest to `seconds` on a scale of ratios. */
export function nearestStep(seconds: number): number {
  let best = 0;
  DURATION_STEPS_S.forEach((step, i) => {
    const ofBest = DURATION_STEPS_S[best] ?? step;
    if (Math.abs(Math.log(step / Math.max(seconds, 1))) < Math.abs(Math.log(ofBest / Math.max(seconds, 1)))) best = i;
  });
  return best;
}

/** Multiples of every look-back that the hand can choose. */
export const LOOK_BACK_FACTORS = [0.25, 0.33, 0.5, 0.67, 0.75, 1, 1.25, 1.5, 2, 3, 4] as const;
