import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../../core/pipeline/analyze-case.ts';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { caseAnchors } from '../../../../../renderer/panels/case-view/anchors.ts';
import { comparedFacts } from '../../../../../renderer/panels/case-view/compared-facts.ts';
import { allDropouts } from '../../../../../renderer/state/selection.ts';
import { threeHourCase } from '../../../../bench/harness/built-cases.ts';

describe('two stretches in a table', () => {
  const record = threeHourCase();
  const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
  const clock = createCaseClock(record.origin);
  const anchors = caseAnchors(record, analysis, clock);
  const side = (at: number) => ({ record, analysis, clock, anchor: anchors.at(at)! });
  const fact = (name: string, upper: number, lower: number) => comparedFacts(side(upper), side(lower)).find((one) => one.name === name);

  it('give what each is aligned on, and the definition of each', () => {
    expect(fact('Aligned on', 0, 1)).toMatchObject({ upper: anchors[0]!.label, lower: anchors[1]!.label, apart: '' });
    expect(fact('Definition', 0, 1)?.upper).toBe(DEFAULT_PARAMETERS.name);
  });
  it('say how far numbers are apart, the lower against the upper, and nothing where a difference means nothing', () => {
    const [first, second] = allDropouts(analysis);
    const apartMs = second!.lostMs.mid - first!.lostMs.mid;
    expect(apartMs).not.toBe(0);
    expect(fact('Time lost', 0, 1)?.apart.startsWith(apartMs > 0 ? '+' : '−')).toBe(true);
    expect(fact('Time lost', 0, 0)?.apart).toBe('none');
    expect(fact('Ended', 0, 1)?.apart).toBe('');
  });
  it('write a dash where one stretch has no dropout to speak of', () => {
    expect(fact('Time lost', 0, -1)).toMatchObject({ lower: '–', apart: '' });
    expect(fact('Time lost', -1, 0)).toMatchObject({ upper: '–', apart: '' });
  });
  it('list what was given shortly before, with the time between', () => {
    // The phenylephrine of this built case is given 160 s before its first loss.
    expect(fact('Given or done in the 15 min before', 0, -1)?.upper).toMatch(/phenylephrine .*2 min 40 s before/);
    expect(fact('Given or done in the 15 min before', 0, -1)?.lower).toBe('nothing on record');
  });
});
