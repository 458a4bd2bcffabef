import { describe, expect, test } from 'vitest';
import type { CasePart } from '../../../../../core/model/case-part.ts';
import { clockKindText, evidenceRows, setOffsetText, signedSecondsText, verdictText, zoneText } from '../../../../../renderer/panels/clocks/clock-text.ts';
import { clocksText } from '../../../../../renderer/panels/case-view/case-facts.ts';
import { buildCaseRecord } from '../../../../builders/stored-case.ts';

const part: CasePart = { clock: 'absolute', mayBeTimeOfDay: false, zone: { name: 'Europe/Berlin', basis: 'stated' }, canSwapDayAndMonth: false, channels: [], eventTimes: [], drugTimes: [], nDuplicates: 0, nConflicts: 0, firstConflictLine: null };
const { origin, sources } = buildCaseRecord();
const source = sources[0]!;

describe('the words of a clock', () => {
  test('an offset has its sign and a true minus', () => {
    expect([84_000, -12_500, 0, null].map(signedSecondsText)).toEqual(['+84 s', '−12.5 s', '0 s', '–']);
  });

  test('what its times are, and who said in which zone', () => {
    expect([part, { ...part, clock: null }, { ...part, clock: 'time of day' as const }, { ...part, clock: 'elapsed' as const }, undefined].map(clockKindText)).toEqual(['date and time', 'no times', 'time of day, no date', 'time since a start', 'not kept with this case']);
    expect(zoneText(part, origin)).toBe('Europe/Berlin, stated');
    expect(zoneText({ ...part, zone: { name: '+01:00', basis: 'offset' } }, origin)).toBe('+01:00, written in the file');
    expect(zoneText({ ...part, zone: { name: 'UTC', basis: 'none' } }, origin)).toBe('not stated');
    expect(zoneText({ ...part, zone: { name: 'UTC', basis: 'none' } }, { ...origin, zone: 'Europe/Berlin', zoneStated: true })).toBe('not stated, read in Europe/Berlin');
    expect(zoneText({ ...part, clock: 'elapsed' }, origin)).toBe('–');
  });

  test('what is set, and on what ground', () => {
    expect(setOffsetText(source)).toBe('clock as the file has it');
    expect(setOffsetText({ ...source, clockOffsetMs: -84_000 })).toBe('clock taken as 1 min 24 s ahead: 1 min 24 s taken off its times; set by hand');
    const acceptedOffset = { against: 'trends.csv', method: 'course' as const, lowMs: 0, highMs: 1, n: 1, peak: 1, atPresent: null };
    expect(setOffsetText({ ...source, clockOffsetMs: 84_000, acceptedOffset })).toContain('a proposal that was accepted, against trends.csv');
    expect(clocksText(buildCaseRecord())).toBe('as the files have them');
    expect(clocksText(buildCaseRecord({ sources: [source, { ...source, clockOffsetMs: 1 }] }))).toBe('1 of 2 files set');
  });

  test('what the data say, a correlation or a share of measurements', () => {
    const comparison = { sourceIndex: 1, againstIndex: 0, offsetMs: 84_000, words: '', evidence: [] };
    expect((['proposed', 'agrees', 'changes', 'cannot be told'] as const).map((verdict) => verdictText({ ...comparison, verdict }))).toEqual(['+84 s proposed', 'agrees as it is', 'not the same throughout', 'cannot be told']);
    const evidence = { method: 'course' as const, ownName: 'HR', againstName: 'HR', n: 412, nOf: null, offsetMs: 84_000, lowMs: 72_000, highMs: 97_000, peak: 0.914, atPresent: null, next: 0.3, reason: null, curve: [] };
    expect(Object.fromEntries(evidenceRows(evidence))).toMatchObject({ 'Between': '+72 s and +97 s', 'Correlation there': '0.91', 'Correlation as the clocks stand': '–', 'Pairs of values': '412', 'Can be told': 'yes' });
    expect(Object.fromEntries(evidenceRows({ ...evidence, method: 'measurements', n: 9, nOf: 12, peak: 0.75, reason: 'too few' }))).toMatchObject({ 'Agreement there': '75 % found again', 'Measurements found in both': '9 of 12', 'Can be told': 'no: too few' });
  });
});
