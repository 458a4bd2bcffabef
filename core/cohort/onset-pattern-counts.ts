import type { CohortCase } from '../model/cohort-case.ts';
import { ONSET_PATTERNS } from '../model/onset-evidence.ts';
import type { PatternCount, PatternCounts } from '../model/onset-pattern-counts.ts';

/**
 * Returns how many losses each combination of onset patterns has. A loss for which several hold counts under their combination, so that shares add up.
 * Shape   most losses first, then most time, then in the order of the patterns. Doubtful samples count as information.
 * Source  handbook 11.1 (Pareto of patterns); docs/methods/onset-patterns.md.
 */
export function onsetPatternCounts(cases: readonly CohortCase[]): PatternCounts {
  const counts = new Map<string, { readonly patterns: PatternCount['patterns']; losses: number; lostMs: number; readonly cases: Set<string> }>();
  for (const { caseKey, sites } of cases) {
    for (const { any: { dropouts } } of sites) {
      for (const { patterns: held, lostMs } of dropouts) {
        const patterns = ONSET_PATTERNS.filter((pattern) => held.includes(pattern));
        const key = patterns.join(';');
        const count = counts.get(key) ?? { patterns, losses: 0, lostMs: 0, cases: new Set<string>() };
        count.losses += 1;
        count.lostMs += lostMs.mid;
        count.cases.add(caseKey);
        counts.set(key, count);
      }
    }
  }
  const place = ({ patterns }: Pick<PatternCount, 'patterns'>): string => patterns.map((pattern) => ONSET_PATTERNS.indexOf(pattern)).join(';');
  const rows = [...counts.values()].map((count): PatternCount => ({ ...count, cases: count.cases.size })).sort((a, b) => b.losses - a.losses || b.lostMs - a.lostMs || (place(a) < place(b) ? -1 : 1));
  return { rows, losses: rows.reduce((sum, { losses }) => sum + losses, 0), lostMs: rows.reduce((sum, { lostMs }) => sum + lostMs, 0) };
}
