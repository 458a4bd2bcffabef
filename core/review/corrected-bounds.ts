import type { Interval } from '../base/interval.ts';
import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import type { FourInstants } from '../model/analysis.ts';
import type { ReviewableDropout } from '../model/review.ts';

/**
 * Returns bounds set by hand where they can stand for a dropout.
 * Shape   `others`: the dropouts of the same sensor, the corrected one among them or not. Without last two instants only where the
 *         computed dropout has none either: where the count ends is for the analysis to say.
 * Units   ms since the case origin.
 * Errors  `bounds-out-of-order` with a sentence for the reader.
 */
export function checkBounds(bounds: FourInstants, dropout: ReviewableDropout, others: readonly ReviewableDropout[], caseBounds: Interval): Result<FourInstants> {
  const { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs } = bounds;
  const refuse = (message: string, remedy: string): Result<FourInstants> => fail({ code: 'bounds-out-of-order', message, remedy });
  if (![lastGoodMs, firstLostMs, lastLostMs ?? 0, firstGoodMs ?? 0].every(Number.isFinite)) return refuse('A bound is no time.', 'Give each bound as a time of the case.');
  if ((lastLostMs === null) !== (firstGoodMs === null)) return refuse('One of the last two bounds is missing: the last lost and the first good instant belong together.', 'Give both, or neither where information never came back.');
  if (lastGoodMs >= firstLostMs) return refuse('The last good instant does not lie before the first lost one.', 'Set the last good instant earlier or the first lost one later.');
  const endMs = firstGoodMs ?? dropout.censoredAtMs;
  if (endMs === null) return refuse('Information came back after this dropout, and the bounds do not say when.', 'Give the last lost and the first good instant.');
  if (lastLostMs !== null && lastLostMs < firstLostMs) return refuse('The last lost instant lies before the first lost one.', 'Set the last lost instant later or the first lost one earlier.');
  if (lastLostMs !== null && lastLostMs >= endMs) return refuse('The last lost instant does not lie before the first good one.', 'Set the last lost instant earlier or the first good one later.');
  if (firstLostMs > endMs) return refuse('The first lost instant lies after the end of the dropout.', 'Set the first lost instant earlier.');
  if (lastGoodMs < caseBounds.startMs || endMs > caseBounds.endMs) return refuse('The bounds reach beyond the case.', 'Keep all bounds between the start and the end of the case.');
  if (lastGoodMs >= endOf(dropout) || endMs <= dropout.lastGoodMs) return refuse('The bounds do not touch the dropout that they are to correct.', 'Give the verdict “no loss” to this dropout if it is none.');
  const reached = others.find((other) => other.dropoutId !== dropout.dropoutId && firstLostMs < endOf(other) && (lastLostMs ?? endMs) >= other.firstLostMs);
  if (reached !== undefined) return refuse(`The bounds reach into dropout ${reached.number} of the same sensor, whose time would count twice.`, `Keep them outside dropout ${reached.number}, and correct that one by itself.`);
  return ok(bounds);
}

function endOf({ firstLostMs, firstGoodMs, censoredAtMs }: Pick<ReviewableDropout, 'firstLostMs' | 'firstGoodMs' | 'censoredAtMs'>): number {
  return firstGoodMs ?? censoredAtMs ?? firstLostMs;
}
