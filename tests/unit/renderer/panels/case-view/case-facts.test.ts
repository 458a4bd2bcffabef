import { describe, expect, it } from 'vitest';
import type { CaseAnalysis, Exposure } from '../../../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../../../core/model/case.ts';
import type { Channel } from '../../../../../core/model/channel.ts';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { beforeAfterText, endingText, exposuresById, exposureText, followersByExposure, holdingsText, linkText, lostSamplesText, makingText, markText, pressureText, recordedLines, siteText, spanText } from '../../../../../renderer/panels/case-view/case-facts.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel, buildDropout } from '../../../../builders/stored-case.ts';

const clock = createCaseClock({ epochMs: null, clock: 'elapsed', originOffsetMs: 0, zone: 'UTC', zoneStated: false });
const analysis = buildCaseAnalysis();
const bolus = analysis.exposures[0]!;
const exposure = (over: Partial<Exposure>): Exposure => ({ ...bolus, ...over });

describe('from when to when a case reaches', () => {
  const dated = createCaseClock({ epochMs: Date.UTC(2031, 2, 14, 6), clock: 'absolute', originOffsetMs: 0, zone: 'UTC', zoneStated: true });
  const HOUR = 3_600_000;
  it('says the next day in two words, and a later one with its date', () => {
    expect([4, 28, 52].map((hours) => spanText({ startMs: 0, endMs: hours * HOUR }, dated))).toEqual(['06:00 to 10:00', '06:00 to 10:00 (next day)', '06:00 to 10:00 (16 March 2031)']);
    expect(spanText({ startMs: 0, endMs: 4 * HOUR }, clock)).toBe('+0:00 to +4:00');
  });
});

describe('exposures and links in words', () => {
  it('names drug and dose, the rate of an infusion, or the position', () => {
    expect([
      exposureText(bolus),
      exposureText(exposure({ dose: null })),
      exposureText(exposure({ kind: 'infusion change', label: 'norepinephrine', dose: 8, unit: 'ug/min' })),
      exposureText(exposure({ kind: 'position', label: 'arms tucked', dose: null, unit: '' })),
    ]).toEqual(['phenylephrine 100 µg', 'phenylephrine dose not stated', 'norepinephrine infusion to 8 µg/min', 'arms tucked']);
  });
  it('gives lead and certainty, and says when a time was typed', () => {
    const byId = exposuresById({ ...analysis, exposures: [bolus, exposure({ exposureId: 'x2', manual: true })] });
    expect(linkText({ exposureId: 'x1', leadMs: 200_000, certainty: 'certain' }, byId)).toBe('phenylephrine 100 µg, 3 min 20 s before, certain');
    expect(linkText({ exposureId: 'x2', leadMs: 60_000, certainty: 'possible' }, byId)).toBe('phenylephrine 100 µg, 1 min before, possible, time typed by hand');
    expect(linkText({ exposureId: 'x1', leadMs: -60_000, certainty: 'during' }, byId)).toBe('phenylephrine 100 µg, 1 min after the onset');
  });
  it('lists for each exposure what followed, and keeps those that nothing followed', () => {
    const late = buildDropout({ dropoutId: 'late', firstLostMs: 60_000, links: [{ exposureId: 'x1', leadMs: 59_000, certainty: 'possible' }] });
    const followers = followersByExposure({ ...buildCaseAnalysis([late, buildDropout()]), exposures: [bolus, exposure({ exposureId: 'unfollowed' })] });
    expect(followers.get('x1')?.map((follower) => follower.dropout.dropoutId)).toEqual(['finger-2000', 'late']);
    expect(followers.get('unfollowed')).toEqual([]);
  });
});

describe('a dropout in words', () => {
  it('says how it ended', () => {
    expect(endingText(buildDropout(), clock)).toBe('same site');
    expect(endingText(buildDropout({ restoredBy: 'other site', restoredSiteKey: 'nasal ala', restoredAfterMs: 380_000 }), clock)).toBe('nasal ala, after 6 min 20 s');
    expect(endingText(buildDropout({ restoredBy: 'not restored', censoredAtMs: 600_000 }), clock)).toBe('not restored, counted to +0:10:00');
  });
  /* Analysis specification, section 5: marked when it returns 4 or more points lower, or below 90 %. */
  it('says in words why it is marked', () => {
    expect(markText(buildDropout({ dropOnReturn: 5, spo2After: 92, isMarked: true }), 90)).toBe('5 points lower');
    expect(markText(buildDropout({ dropOnReturn: 9, spo2After: 88, isMarked: true }), 90)).toBe('9 points lower, below 90 %');
    expect(markText(buildDropout({ dropOnReturn: 0, spo2After: 89, isMarked: true }), 90)).toBe('below 90 %');
    expect(markText(buildDropout({ isMarked: false }), 90)).toBeNull();
  });
  it('shows values on both sides, and none where nothing came back', () => {
    expect([beforeAfterText(buildDropout()), beforeAfterText(buildDropout({ spo2After: null }))]).toEqual(['97 % → 92 %', '97 % → none']);
  });
  it('gives the pressure before with its channel and the number of values', () => {
    expect(pressureText(buildDropout(), 600)).toBe('Cuff pressure, mean: mean 61, lowest 52 mmHg in the 10 min before (4 values)');
    expect(pressureText(buildDropout({ pressureBefore: null }), 600)).toBeNull();
  });
  it('says how values were lost, also where there were no rows', () => {
    expect([lostSamplesText(buildDropout({ lostSamples: { absent: 12, implausible: 1, held: 0 } })), lostSamplesText(buildDropout({ lostSamples: {} }))]).toEqual(['absent 12, implausible 1', 'rows missing altogether']);
  });
});

describe('sites and records in words', () => {
  it('calls an unstated site what it is', () => {
    expect([siteText('unstated'), siteText('unstated 2'), siteText('nasal ala')]).toEqual(['site not stated', 'site not stated 2', 'nasal ala']);
  });
  it('says what a record holds', () => {
    expect(holdingsText(buildCaseRecord())).toBe('1 channel (SpO2), 1 event, 1 drug entry');
  });
});

describe('how values were made', () => {
  it('says what a mapping states, and that nothing is stated', () => {
    const [site] = buildCaseAnalysis().sites;
    const record = (facts: Partial<Channel>): CaseRecord => buildCaseRecord({ channels: [buildChannel([98, 97], facts)] });
    expect(makingText(site!, record({}))).toBe('how each value was made is not stated');
    expect(makingText(site!, record({ valueMaking: 'median', deviceHoldS: 10 }))).toBe('median of each interval, device hold 10 s');
    expect(makingText(site!, record({ valueMaking: 'hold' }))).toBe('an older value may be carried on');
  });

  it('says it once where every site agrees, else site by site, and nothing of a sensor that was never on', () => {
    const [site] = buildCaseAnalysis().sites;
    const ear = { ...site!, siteKey: 'ear lobe', intervalMs: 15_000, segments: [{ startMs: 0, endMs: 1, intervalMs: 15_000 }] };
    const lines = (sites: CaseAnalysis['sites']): string[] => recordedLines({ ...buildCaseAnalysis(), sites }, buildCaseRecord());
    expect(lines([site!])).toEqual(['Finger recorded every 1 s, how each value was made is not stated']);
    expect(lines([site!, { ...site!, siteKey: 'toe' }])).toEqual(['Every site recorded every 1 s, how each value was made is not stated']);
    expect(lines([site!, ear])).toEqual(['Finger recorded every 1 s, how each value was made is not stated', 'Ear lobe recorded every 15 s, how each value was made is not stated']);
    expect(lines([site!, { ...ear, monitored: null }])).toHaveLength(1);
  });
});
