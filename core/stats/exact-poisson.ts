import { chiSquareQuantile } from './distributions.ts';

/** A rate of events with its exact limits. */
export interface PoissonInterval {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** The limit that the rate stays below with `conf`, where nothing was counted; else null. */
  readonly oneSidedUpper: number | null;
  readonly reason: 'no time' | null;
}

/**
 * Returns events per unit of time with the exact interval of a Poisson count. It holds for events that do not depend on one
 * another; over cases it is several times too narrow, see `clusterRobustRatio`.
 * Shape   `count` a whole number ≥ 0.
 * Units   those of `time`.
 * Missing no time: everything null.
 * Source  Garwood, Biometrika 1936;28:437; one-sided limit −ln(1 − conf)/time: Hanley & Lippman-Hand, JAMA 1983;249:1743.
 */
export function poissonInterval(count: number, time: number, conf: number): PoissonInterval {
  if (!(time > 0)) return { estimate: null, lower: null, upper: null, oneSidedUpper: null, reason: 'no time' };
  const tail = (1 - conf) / 2;
  return {
    estimate: count / time,
    lower: count === 0 ? 0 : chiSquareQuantile(tail, 2 * count) / 2 / time,
    upper: chiSquareQuantile(1 - tail, 2 * count + 2) / 2 / time,
    oneSidedUpper: count === 0 ? -Math.log(1 - conf) / time : null,
    reason: null,
  };
}
