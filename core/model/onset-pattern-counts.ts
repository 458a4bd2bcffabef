import type { OnsetPattern } from './onset-evidence.ts';

/** Losses for which the same onset patterns hold. */
export interface PatternCount {
  /** In the order in which patterns are written; empty: none holds. */
  readonly patterns: readonly OnsetPattern[];
  readonly losses: number;
  readonly cases: number;
  /** ms, mid. */
  readonly lostMs: number;
}

/** Losses by the combination of onset patterns that hold for them: every loss counts once. Most losses first. */
export interface PatternCounts {
  readonly rows: readonly PatternCount[];
  readonly losses: number;
  readonly lostMs: number;
}
