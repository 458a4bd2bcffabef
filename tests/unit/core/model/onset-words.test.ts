import { describe, expect, it } from 'vitest';
import type { OnsetEvidence, PerfusionEvidence } from '../../../../core/model/onset-evidence.ts';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { courseText, eventText, patternWords } from '../../../../core/model/onset-words.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';

const clock = createCaseClock({ epochMs: null, clock: 'elapsed', originOffsetMs: 0, zone: 'UTC', zoneStated: false });
const record = buildCaseRecord();
const analysis = buildCaseAnalysis();
/* A fade from 2 to 0.4 over the last three minutes, five minutes in bins of 10 s. */
const perfusion: PerfusionEvidence = {
  last: 0.4, lastAtMs: 300_000, highest: 2, highestAtMs: 120_000, fadeRatio: 0.2, lowestOfLastPart: 0.38, medianOfLastPart: 0.5, medianBefore: 1.6, steadyRatio: 0.3125, resetAtMs: null,
  courseBinMs: 10_000, course: [2.1, ...Array.from({ length: 5 }, () => null), ...Array.from({ length: 24 }, (_, i) => 2 - i * 0.07)],
};
const evidence: OnsetEvidence = { perfusion, cuff: null, unsteady: { shortLosses: 2, doubtfulRuns: 1 }, temperature: { celsius: 35.4, atMs: 240_000 }, plannedBy: [] };
const words = (over: Partial<OnsetEvidence>, patterns: string[] = []) =>
  Object.fromEntries(patternWords(buildDropout({ patterns, evidence: { ...evidence, ...over } }), analysis, record, clock).map(({ pattern, holds, figures }) => [pattern, `${holds ? '' : 'not: '}${figures}`]));

describe('the figures behind onset patterns', () => {
  it('stand beside the rule, whether or not it holds', () => {
    const { fading, abrupt, unsteady, cold } = words({}, ['fading', 'unsteady', 'cold']);
    expect(fading).toBe('perfusion index 0.4 at the loss, 20.0 % of its highest 2 (+0:02:00) in the 3 min before; lowest of the last 30 s 0.38. Rule: 50 % or less, or below 0.3 in the last 30 s');
    expect(abrupt).toBe('not: median of the last 30 s 0.5, 31.3 % of the 1.6 of the 5 min before. Rule: 80 % or more, and 1 or more');
    expect(unsteady).toBe('2 short losses and 1 doubtful run in the 2 min before. Rule: 3 or more together');
    expect(cold).toBe('core temperature 35.4 °C at +0:04:00. Rule: below 36 °C');
  });
  it('say why a pattern cannot be judged', () => {
    const { fading, abrupt, cold, cuff } = words({ perfusion: null, temperature: null });
    expect([fading, abrupt, cold]).toEqual([
      'not: cannot be judged: no perfusion index of this sensor shortly before the loss', 'not: cannot be judged: no perfusion index of this sensor shortly before the loss',
      'not: cannot be judged: no core temperature recorded shortly before the loss',
    ]);
    expect(cuff).toContain('no cuff pressure within 1 min of the loss');
  });
  it('say how regular a cuff was, and that this is the stronger sign', () => {
    const cuff = { atMs: [300_000], alike: 4, cycleMs: 300_000, stepsAtCycle: 3, steps: 3, isRegular: true };
    expect(words({ cuff }, ['cuff'])['cuff']).toBe('cuff pressure at +0:05:00; 4 dropouts of this sensor like that (rule: 2 or more); 3 of 3 steps between them at the cuff’s cycle of 5 min; regular: the stronger sign');
  });
  it('name the events of a planned interruption, and where the sensor was touched', () => {
    expect(words({ plannedBy: ['e1', 'gone'] }, ['planned'])['planned']).toBe('arms tucked, +0:00:01; an event that is no longer listed');
    expect(words({ perfusion: { ...perfusion, resetAtMs: 60_000 } })['fading']).toContain('The sensor was touched at +0:01:00');
    expect(eventText('d1', record, clock)).toBe('phenylephrine, +0:00:00');
  });
});

describe('the course of the perfusion index in words', () => {
  it('gives a value a minute and says where none is', () => {
    expect(courseText(buildDropout({ evidence }))).toBe('Perfusion index, medians of 10 s: 5 min before 2.1, 4 min before no value, 3 min before 1.65, 2 min before 1.23, 1 min before 0.81, at the loss 0.39.');
    expect(courseText(buildDropout())).toBe('No perfusion index shortly before the loss.');
  });
});
