import { describe, expect, it } from 'vitest';
import { siteCohort } from '../../../../../core/sites/site-cohort.ts';
import { shareText } from '../../../../../renderer/format/number-text.ts';
import { cohortShareTexts, spreadText } from '../../../../../renderer/panels/sites/cohort-text.ts';
import { sortRows } from '../../../../../renderer/panels/sites/sort-rows.ts';
import { buildSitePair } from '../../../../builders/site-comparison.ts';

describe('figures over cases in words', () => {
  it('are median and range, and one number for one case', () => {
    expect(spreadText({ cases: 12, least: 0.1, median: 0.25, most: 0.9 }, shareText)).toBe('25.0 % (10.0 % to 90.0 % in 12 cases)');
    expect(spreadText({ cases: 1, least: 0.1, median: 0.1, most: 0.1 }, shareText)).toBe('10.0 % (1 case)');
    expect(spreadText(null, shareText)).toBe('–');
  });

  it('say when an interval is not to be leaned on, and why there is none', () => {
    const share = { low: 0.4, mid: 0.5, high: 0.6 };
    const spread = (cases: number) => ({ cases, least: 0.2, median: 0.5, most: 0.8 });
    const [overCases, drawn] = [{ lower: 0.3, upper: 0.7 }, { lower: 0.35, upper: 0.65 }];
    expect(cohortShareTexts({ share, overCases, drawn, spread: spread(12) })).toEqual({ share: '50.0 % (40.0–60.0 %)', interval: '30.0 % to 70.0 %', drawn: '35.0 % to 65.0 %', spread: '50.0 % (20.0 % to 80.0 % in 12 cases)' });
    expect(cohortShareTexts({ share, overCases, drawn, spread: spread(3) })).toMatchObject({ interval: '30.0 % to 70.0 %', drawn: '35.0 % to 65.0 %, few cases' });
    expect(cohortShareTexts({ share, overCases: null, drawn: null, spread: spread(1) })).toMatchObject({ interval: 'none from one case', drawn: 'none from one case' });
    expect(cohortShareTexts({ share, overCases: null, drawn: null, spread: spread(3) })).toMatchObject({ interval: 'none: cases do not differ', drawn: 'none: all draws alike' });
    expect(cohortShareTexts(null).share).toBe('nothing lost');
  });

  it('sort the cases, unknown values last in either direction', () => {
    const rows = siteCohort(
      [0.5, null, 0.9].map((share, i) => ({ caseKey: `k${i}`, caseId: `c${i}`, sensors: [], pairs: [buildSitePair({ firstCoveredShare: share })] })),
    ).pairs[0]!.rows;
    expect(sortRows(rows, 'first', 'descending').map((row) => row.caseId)).toEqual(['c2', 'c0', 'c1']);
    expect(sortRows(rows, 'first', 'ascending').map((row) => row.caseId)).toEqual(['c0', 'c2', 'c1']);
    expect(sortRows(rows, 'name', 'descending').map((row) => row.caseId)).toEqual(['c2', 'c1', 'c0']);
  });
});
