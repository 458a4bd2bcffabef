import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../../core/pipeline/analyze-case.ts';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { anchorBeside, caseAnchors } from '../../../../../renderer/panels/case-view/anchors.ts';
import { threeHourCase } from '../../../../bench/harness/built-cases.ts';

describe('what a case can be aligned on', () => {
  const record = threeHourCase();
  const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
  const anchors = caseAnchors(record, analysis, createCaseClock(record.origin));

  it('are onsets of dropouts first, then exposures and events, and the start of the case', () => {
    // The first loss of the finger is made at 1,500 s; the case starts at 09:12 in Zurich.
    expect(anchors[0]).toMatchObject({ atMs: 1_500_000, label: 'dropout 1, finger, 09:37:00' });
    expect(anchors.find(({ label }) => label.startsWith('phenylephrine'))?.atMs).toBe(1_340_000);
    expect(anchors.find(({ label }) => label === 'Incision, 09:40:20')?.atMs).toBe(1_700_000);
    expect(anchors.at(-1)).toMatchObject({ anchorId: 'start', atMs: analysis.bounds.startMs });
  });
  it('has a second stretch of the same case on another instant than the first, of the same kind where there is one', () => {
    const named = ['dropout 1', 'dropout 2', 'exposure 1', 'start'].map((anchorId) => ({ anchorId, atMs: 0, label: anchorId }));
    expect(['dropout 1', 'dropout 2', 'exposure 1', 'start'].map((anchorId) => anchorBeside(named, anchorId))).toEqual(['dropout 2', 'dropout 1', 'start', 'exposure 1']);
    expect(anchorBeside([{ anchorId: 'start', atMs: 0, label: 'start' }], 'start')).toBe('start');
  });

  it('are told apart', () => {
    expect(new Set(anchors.map(({ anchorId }) => anchorId)).size).toBe(anchors.length);
  });
});
