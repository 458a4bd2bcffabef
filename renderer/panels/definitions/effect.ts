import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { Range3 } from '../../../core/base/interval.ts';
import { BLIND_KEY } from '../../../core/model/site.ts';

export interface EffectRow {
  readonly siteKey: string;
  readonly before: EffectSide | null;
  readonly after: EffectSide | null;
}

export interface EffectSide {
  readonly count: number;
  readonly lostMs: Range3;
  readonly longestMidMs: number;
  readonly shareMid: number | null;
}

/** Returns, for every site of either analysis (blind time as 'case' last), what was counted before and after a change. */
export function compareAnalyses(before: CaseAnalysis, after: CaseAnalysis): EffectRow[] {
  const keys = [...new Set([...before.sites, ...after.sites].map((site) => site.siteKey))];
  const side = (analysis: CaseAnalysis, key: string): EffectSide | null => analysis.sites.find((site) => site.siteKey === key)?.totals ?? null;
  const rows: EffectRow[] = keys.map((key) => ({ siteKey: key, before: side(before, key), after: side(after, key) }));
  if (keys.length > 1) rows.push({ siteKey: BLIND_KEY, before: before.blindTotals, after: after.blindTotals });
  return rows;
}

/** Returns how many links stand beside the dropouts of an analysis. */
export function countLinks(analysis: CaseAnalysis): number {
  return analysis.sites.reduce((sum, site) => sum + site.dropouts.reduce((inner, dropout) => inner + dropout.links.length, 0), 0);
}

export type RuleAnswer = 'met' | 'not met' | 'cannot be told';

/** Returns whether a total reaches more than `limitMs`: told apart only where the bounds lie on one side of it. */
export function exceeds(lostMs: Range3, limitMs: number): RuleAnswer {
  if (lostMs.low > limitMs) return 'met';
  return lostMs.high > limitMs ? 'cannot be told' : 'not met';
}
