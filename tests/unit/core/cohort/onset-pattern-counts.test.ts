import { describe, expect, it } from 'vitest';
import { onsetPatternCounts } from '../../../../core/cohort/onset-pattern-counts.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import { patternFigure } from '../../../../core/report/document/cohort-figures.ts';
import { cohortCase } from '../../../builders/cohort-case.ts';

function withPatterns(caseId: string, patterns: readonly (readonly string[])[]): CohortCase {
  const one = cohortCase(caseId, [{ losses: patterns.map((_, i) => [100 * i + 10, 100 * i + 50]) }]);
  return { ...one, sites: one.sites.map((site) => ({ ...site, any: { ...site.any, dropouts: site.any.dropouts.map((dropout, i) => ({ ...dropout, patterns: patterns[i] ?? [] })) } })) };
}

const CASES = [withPatterns('a', [['fading'], ['cold', 'fading'], []]), withPatterns('b', [['fading'], ['fading', 'cold'], ['fading']])];

describe('losses by onset patterns', () => {
  it('count once each, under all patterns that hold, most first; no loss is left out', () => {
    // Worked by hand: six losses of 40 s each: three fading, two fading and cold (whatever the order in the file), one of none.
    expect(onsetPatternCounts(CASES)).toEqual({
      rows: [{ patterns: ['fading'], losses: 3, cases: 2, lostMs: 120_000 }, { patterns: ['fading', 'cold'], losses: 2, cases: 2, lostMs: 80_000 }, { patterns: [], losses: 1, cases: 1, lostMs: 40_000 }],
      losses: 6, lostMs: 240_000,
    });
    expect(onsetPatternCounts([...CASES].reverse())).toEqual(onsetPatternCounts(CASES));
    expect(onsetPatternCounts([])).toEqual({ rows: [], losses: 0, lostMs: 0 });
  });
  it('are drawn with shares that add up to all of them', () => {
    const { scene, alternative } = patternFigure(onsetPatternCounts(CASES));
    const line = scene.shapes.find((shape) => shape.kind === 'line' && shape.ink === 'ink');
    const axis = scene.shapes.filter((shape) => shape.kind === 'text' && shape.text === '100 %');
    expect(line?.kind === 'line' ? line.points.at(-1)?.[0] : null).toBe(axis[0]?.kind === 'text' ? axis[0].x : undefined);
    expect(alternative).toContain('fading: 3 (50.0 %); fading + cold: 2 (33.3 %); no pattern holds: 1 (16.7 %)');
  });
});
