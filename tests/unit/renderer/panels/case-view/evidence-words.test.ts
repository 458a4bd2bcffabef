import { describe, expect, it } from 'vitest';
import { createCaseClock } from '../../../../../renderer/format/time-text.ts';
import { exposuresById } from '../../../../../renderer/panels/case-view/case-facts.ts';
import { blindOnlyDoubtful, comparisonText, doubtfulLostText, pointsText, responsesText, restoredText, signsText } from '../../../../../renderer/panels/case-view/evidence-words.ts';
import { doubtfulOnlyDropouts, findDropout } from '../../../../../renderer/state/selection.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../../builders/stored-case.ts';

const clock = createCaseClock({ epochMs: null, clock: 'elapsed', originOffsetMs: 0, zone: 'UTC', zoneStated: false });
const record = buildCaseRecord();
const first = buildDropout();
const longer = buildDropout({ dropoutId: 'longer', lastGoodMs: 500, firstGoodMs: 60_000, lostMs: { low: 50_000, mid: 55_000, high: 60_000 }, spo2After: 95 });
const apart = buildDropout({ dropoutId: 'apart', lastGoodMs: 200_000, firstLostMs: 201_000, firstGoodMs: 260_000 });
const analysis = buildCaseAnalysis([first]);
const two = { ...analysis, sites: analysis.sites.map((site) => ({ ...site, dropoutsDoubtfulLost: [longer, apart] })) };

describe('the change over a dropout', () => {
  it('carries its sign and stands beside matched intervals', () => {
    expect([pointsText(2), pointsText(-5), pointsText(0)]).toEqual(['+2', '−5', '0']);
    const returnComparison = { changePoints: -5, intervals: 84, separate: 9, medianPoints: 0, lowPoints: -1, highPoints: 1, shareAsLow: 0 };
    expect(comparisonText(buildDropout({ returnComparison }))).toBe('−5 points. Over 84 intervals of the same length without loss (9 side by side): median 0, 5 to 95 % −1 to +1; none fell by as much or more.');
    expect([1, -1, 0].map((changePoints) => comparisonText(buildDropout({ returnComparison: { ...returnComparison, changePoints } })).split('.')[0])).toEqual(['+1 point', '−1 point', '0 points']);
    const ends = (changePoints: number): string => comparisonText(buildDropout({ returnComparison: { ...returnComparison, changePoints, shareAsLow: 0.98 } })).split('; ').at(-1)!;
    expect([ends(1), ends(0), ends(-1)]).toEqual(['98.0 % rose by no more, or fell.', '98.0 % did not rise.', '98.0 % fell by as much or more.']);
  });
  it('says why there is nothing to compare', () => {
    expect(comparisonText(buildDropout())).toContain('nothing to compare with');
    expect(comparisonText(buildDropout({ spo2After: null }))).toContain('nothing came back');
  });
});

describe('what may make a value read falsely low', () => {
  it('is named with its time, or is nothing', () => {
    expect(signsText({ dyeIds: ['d1'], sensorIds: ['e1'], headDownIds: [] }, record, clock)).toBe('may read falsely low (dye: phenylephrine, +0:00:00. sensor: arms tucked, +0:00:01)');
    expect(signsText({ dyeIds: [], sensorIds: [], headDownIds: [] }, record, clock)).toBeNull();
  });
});

describe('how a dropout ended', () => {
  it('gives the time and by what', () => {
    expect(restoredText(first)).toBe('after 30 s (25–35 s), at the same site');
    expect(restoredText(buildDropout({ restoredBy: 'other site', restoredSiteKey: 'nasal ala', restoredAfterMs: 50_000 }))).toBe('after 50 s, at nasal ala; not at this site');
    expect(restoredText(buildDropout({ restoredBy: 'not restored' }))).toBe('not restored in the 30 s that it was followed');
  });
  it('names what was done during it', () => {
    const exposures = exposuresById(analysis);
    expect(responsesText(buildDropout({ responses: [{ exposureId: 'x1', leadMs: -20_000, certainty: 'during' }] }), exposures)).toBe('phenylephrine 100 µg after 20 s');
    expect(responsesText(first, exposures)).toBe('nothing on record');
  });
});

describe('the second result', () => {
  it('is given beside a dropout of the first', () => {
    expect(doubtfulLostText(first, analysis)).toBe('the same, 25–35 s, mid 30 s');
    expect(doubtfulLostText(first, two)).toBe('50 s – 1 min, mid 55 s, SpO2 97 % → 95 %');
  });
  it('has dropouts that the first does not touch, and they can be chosen', () => {
    expect(doubtfulOnlyDropouts(two).map((dropout) => dropout.dropoutId)).toEqual(['apart']);
    expect(doubtfulOnlyDropouts(analysis)).toEqual([]);
    expect([findDropout(two, 'apart')?.dropoutId, findDropout(two, 'finger-2000')?.dropoutId, findDropout(two, 'longer')]).toEqual(['apart', 'finger-2000', undefined]);
  });
  it('has blind intervals of its own', () => {
    const blind = (number: number, lastGoodMs: number, firstGoodMs: number | null) => ({ number, lastGoodMs, firstLostMs: lastGoodMs, lastLostMs: null, firstGoodMs, lostMs: first.lostMs, restoredBy: 'same site' as const, restoredSiteKey: null });
    const with3 = { ...analysis, blind: [blind(1, 1000, 2000)], blindDoubtfulLost: [blind(1, 500, 2500), blind(2, 3000, 4000), blind(3, 5000, null)] };
    expect(blindOnlyDoubtful(with3).map(({ number }) => number)).toEqual([2, 3]);
  });
});
