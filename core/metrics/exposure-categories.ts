import { difference, intersection, union } from '../base/interval.ts';
import type { Interval } from '../base/interval.ts';
import type { WindowParts } from './risk-windows.ts';

/** Exclusive parts of the monitored time by which of two kinds of windows they lie in; lost time is still in them. */
export interface ExposureCategories {
  readonly firstOnly: readonly Interval[];
  readonly secondOnly: readonly Interval[];
  readonly both: readonly Interval[];
  /** In no window, and not shortly before an exposure of either kind. */
  readonly neither: readonly Interval[];
}

/**
 * Returns four exclusive categories from the parts that two kinds of exposures make of the same monitored time.
 * Source  statistics d: two kinds, four exclusive categories.
 */
export function exposureCategories(monitored: readonly Interval[], first: WindowParts, second: WindowParts): ExposureCategories {
  const windows = union([...first.risk, ...second.risk]);
  return {
    firstOnly: difference(first.risk, second.risk),
    secondOnly: difference(second.risk, first.risk),
    both: intersection(first.risk, second.risk),
    neither: difference(difference(union(monitored), windows), union([...first.pre, ...second.pre])),
  };
}
