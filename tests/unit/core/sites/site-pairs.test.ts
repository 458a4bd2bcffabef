import { describe, expect, it } from 'vitest';
import type { CaseAnalysis } from '../../../../core/model/analysis.ts';
import { caseAnalysisSchema } from '../../../../core/model/analysis-schema.ts';
import type { Channel } from '../../../../core/model/channel.ts';
import type { CaseEvent } from '../../../../core/model/event.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { Site } from '../../../../core/model/site.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { findSwings } from '../../../../core/sites/swings.ts';
import { caseOf } from '../../../builders/case-record.ts';
import type { Cell } from '../../../builders/channel.ts';
import { channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const spo2 = (site: Site, cells: readonly Cell[], everyS = 10): Channel => regularChannel({ quantity: 'spo2', site }, cells, everyS);
function analyze(channels: readonly Channel[], events: readonly CaseEvent[] = [], parameters: Partial<AnalysisParameters> = {}): CaseAnalysis {
  const untilS = Math.max(...channels.map((c) => (c.tMs[c.tMs.length - 1] ?? 0) / 1000));
  const heart = channelAt({ quantity: 'heart-rate' }, Array.from({ length: Math.floor(untilS / 10) + 1 }, (_, i) => [i * 10, 60 + (i % 5)] as const));
  return analyzeCase(caseOf({ channels: [...channels, heart], events }), parametersWith(parameters), '0.0.0');
}

describe('coverage', () => {
  // Finger lost in rows 20–29, ear in rows 25–34 of 61: lost alone 5 rows each, together 5 rows. Mid times: n rows, n intervals.
  const finger = spo2('finger', [...repeat(97, 20), ...repeat(null, 10), ...repeat(97, 31)]);
  const ear = spo2('ear lobe', [...repeat(96, 25), ...repeat(null, 10), ...repeat(96, 26)]);

  it('parts the shared time into both, one or none, and says what the other site would have covered', () => {
    const [pair, ...more] = analyze([finger, ear]).pairs;
    expect(more).toEqual([]);
    expect(pair).toMatchObject({ firstKey: 'finger', secondKey: 'ear lobe', sharedMs: 600_000, bothMs: 450_000, onlyFirstMs: 50_000, onlySecondMs: 50_000, neitherMs: 50_000, firstCoveredShare: 0.5, secondCoveredShare: 0.5, cautions: [] });
    expect(pair!.allPairs).toEqual({ n: 46, bias: 1, sd: 0, rms: 1, maxAbs: 1 });
  });

  it('leaves bypass out unless told to keep it', () => {
    const events = [eventOf({ kind: 'bypass', atS: 190, phase: 'start' }), eventOf({ kind: 'bypass', atS: 360, phase: 'end' })];
    expect(analyze([finger, ear], events).pairs[0]).toMatchObject({ sharedMs: 430_000, bypassMs: 170_000, bothMs: 430_000, neitherMs: 0, firstCoveredShare: null });
    expect(analyze([finger, ear], events, { keepBypass: true }).pairs[0]).toMatchObject({ sharedMs: 600_000, bypassMs: 170_000, neitherMs: 50_000 });
  });

  it('leaves record gaps out', () => {
    const holed = (site: Site, value: number) => channelAt({ quantity: 'spo2', site, layout: 'long' }, Array.from({ length: 60 }, (_, i) => [i < 30 ? i * 10 : i * 10 + 300, value] as const));
    const heart = channelAt({ quantity: 'heart-rate', layout: 'long' }, Array.from({ length: 60 }, (_, i) => [i < 30 ? i * 10 : i * 10 + 300, 60 + (i % 5)] as const));
    const { pairs, recordGaps } = analyzeCase(caseOf({ channels: [holed('finger', 97), holed('ear lobe', 96), heart] }), parametersWith({}), '0.0.0');
    expect(recordGaps).toHaveLength(1);
    expect(pairs[0]!.sharedMs).toBe(890_000 - recordGaps[0]!.gapMs.mid);
    expect(pairs[0]!.neitherMs + pairs[0]!.onlyFirstMs + pairs[0]!.onlySecondMs).toBe(0);
  });

  it('compares nothing where one sensor followed the other, and says so', () => {
    const before = spo2('finger', [...repeat(97, 30), ...repeat(null, 31)]);
    const after = spo2('nasal ala', [...repeat(null, 40), ...repeat(97, 21)]);
    const [pair] = analyze([before, after]).pairs;
    expect(pair).toMatchObject({ sharedMs: 0, allPairs: null, stablePairs: null, lag: null, cautions: ['worn one after the other'] });
  });

  it('names different recording intervals, and a forehead while head down', () => {
    const slow = channelAt({ quantity: 'spo2', site: 'forehead' }, Array.from({ length: 21 }, (_, i) => [i * 30, 97] as const));
    const events = [eventOf({ kind: 'position', term: 'head down', atS: 100, phase: 'start' })];
    const [pair] = analyze([finger, slow], events).pairs;
    expect(pair!.cautions).toEqual(['different recording intervals', 'forehead while head down']);
    // At the instants of the coarser sensor: 21 of them, of which 200 to 290 s (210, 240, 270) are lost at the finger.
    expect(pair!.allPairs!.n).toBe(18);
  });

  it('notes a forehead worn head down with or without another site', () => {
    const events = [eventOf({ kind: 'position', term: 'head down', atS: 100, phase: 'start' }), eventOf({ kind: 'position', term: 'head down', atS: 400, phase: 'end' })];
    const notes = (site: Site) => analyze([spo2(site, repeat(97, 61))], events).findings.filter((f) => f.code === 'forehead-head-down').map((f) => f.message);
    expect(notes('forehead')).toEqual(['SpO2 forehead was worn head down for 5 min: venous pulsation can make it read falsely low there.']);
    expect(notes('finger')).toEqual([]);
  });

  it('holds every two sensors once, is plain data, and is nothing for one sensor', () => {
    const three = analyze([spo2('toe', repeat(95, 61)), finger, ear]);
    expect(three.pairs.map((p) => [p.firstKey, p.secondKey])).toEqual([['finger', 'toe'], ['finger', 'ear lobe'], ['toe', 'ear lobe']]);
    expect(() => caseAnalysisSchema.parse(JSON.parse(JSON.stringify(three)))).not.toThrow();
    expect(analyze([finger]).pairs).toEqual([]);
  });
});

describe('stable pairs', () => {
  it('are taken at most once a minute, and only where both sensors stand still', () => {
    const steady = analyze([spo2('finger', repeat(97, 61)), spo2('ear lobe', repeat(95, 61))]).pairs[0]!;
    expect(steady.stablePairs).toEqual({ n: 10, bias: 2, sd: 0, rms: 2, maxAbs: 2 });
    const restless = analyze([spo2('finger', repeat(97, 61)), spo2('ear lobe', Array.from({ length: 61 }, (_, i) => 90 + (i % 2) * 3))]).pairs[0]!;
    expect(restless.stablePairs).toBeNull();
    expect(restless.noLagReason).toBe('SpO2 of the first sensor never changed by 4 points.');
  });
});

describe('swings', () => {
  const of = (values: readonly number[]) => findSwings(Float64Array.from(values), 4).map((s) => [s.direction, s.from, s.to]);

  it('run from the last value of a plateau to the first extreme', () => {
    expect(of([98, 98, 98, 95, 92, 90, 90, 94, 97, 97])).toEqual([['fall', 2, 5], ['rise', 6, 8]]);
  });

  it('leave out what is smaller, and pass over what is missing', () => {
    expect(of([98, 95, 98, 95, 98])).toEqual([]);
    expect(of([98, NaN, 93, 95, 92, NaN, 98])).toEqual([['fall', 0, 4], ['rise', 4, 6]]);
  });
});

describe('the second result of a pair', () => {
  const index = (site: Site, cells: readonly Cell[]): Channel => regularChannel({ quantity: 'perfusion-index', site }, cells, 10);

  it('counts doubtful samples as no information, over the same time', () => {
    // Finger lost from 300 to 390 s. The ear lobe informs all the while, but weakly from 300 to 340 s: there it covers nothing in the second result.
    const finger = spo2('finger', [...repeat(97, 30), ...repeat(null, 10), ...repeat(97, 30)]);
    const ear = spo2('ear lobe', repeat(96, 70));
    const [pair] = analyze([finger, ear, index('ear lobe', [...repeat(1, 30), ...repeat(0.2, 5), ...repeat(1, 35)])]).pairs;
    expect(pair).toMatchObject({ sharedMs: 690_000, onlySecondMs: 100_000, neitherMs: 0, firstCoveredShare: 1 });
    expect(pair!.doubtfulLost).toMatchObject({ bothMs: 590_000, onlyFirstMs: 0, onlySecondMs: 50_000, neitherMs: 50_000, firstCoveredShare: 0.5, secondCoveredShare: 0 });
    // Lost at least from 300 to 390 s, at most from 290 to 400 s; weak at least from 300 to 340 s, at most from 290 to 350 s.
    // Least covered: 350 to 390 s; of the edges only the uncovered one counts as lost. Most: 340 to 390 s and both edges.
    expect(pair!.doubtfulLost.firstCovered).toEqual({ leastCoveredMs: 40_000, leastLostMs: 100_000, mostCoveredMs: 70_000, mostLostMs: 110_000 });
  });

  it('is the first result where nothing is doubtful', () => {
    const { doubtfulLost, ...pair } = analyze([spo2('finger', [...repeat(97, 30), ...repeat(null, 10), ...repeat(97, 30)]), spo2('ear lobe', repeat(96, 70))]).pairs[0]!;
    expect(pair).toMatchObject(doubtfulLost);
  });

  it('has a sensor without a single good sample lost throughout, and one that is weak at its ends lost there', () => {
    const both = (earIndex: readonly Cell[]) => analyze([spo2('finger', repeat(97, 60)), spo2('ear lobe', repeat(96, 60)), index('ear lobe', earIndex)]).pairs[0]!.doubtfulLost;
    expect(both(repeat(0.1, 60))).toMatchObject({ bothMs: 0, onlyFirstMs: 590_000, onlySecondMs: 0, neitherMs: 0, secondCoveredShare: 1, allPairs: null, lag: null });
    // Good from 100 to 490 s: each edge lies half an interval outside.
    expect(both([...repeat(0.1, 10), ...repeat(1, 40), ...repeat(0.1, 10)])).toMatchObject({ bothMs: 400_000, onlyFirstMs: 190_000, allPairs: { n: 40 } });
  });
});

describe('signal strength', () => {
  const index = (cells: readonly Cell[]): Channel => regularChannel({ quantity: 'perfusion-index', site: 'finger' }, cells, 10);

  it('gives level and shares by the time that values stand, and the course in five minutes', () => {
    const { perfusion } = analyze([spo2('finger', repeat(97, 60)), index([...repeat(0.2, 15), ...repeat(0.8, 15), ...repeat(2, 30)])]).sites[0]!.signal;
    expect(perfusion).toMatchObject({ median: 0.8, low: 0.2, high: 2, belowWeakShare: 0.25, belowDesirableShare: 0.5, binMs: 300_000, courseStartMs: 0, course: [0.5, 2] });
  });

  it('counts short losses that are in no dropout, and doubtful runs', () => {
    const cells: Cell[] = [...repeat(97, 10), null, ...repeat(97, 10), null, null, ...repeat(97, 10), ...repeat(null, 5), ...repeat(97, 20)];
    const weak: Cell[] = cells.map((_, i) => (i === 3 || i === 5 || i === 6 ? 0.1 : 2));
    const { signal, dropouts } = analyze([spo2('finger', cells), index(weak)]).sites[0]!;
    expect(dropouts).toHaveLength(1);
    expect(signal).toMatchObject({ shortLosses: 2, doubtfulRuns: 2 });
  });

  it('takes a time in which the recorder stood still for no short loss, nor for an unsteady signal', () => {
    // Rows of 10 s; three at a time are not there at all, three times, so nothing is known of the sensor then.
    const seconds = Array.from({ length: 120 }, (_, i) => i * 10).filter((s) => ![600, 610, 620, 660, 670, 680, 720, 730, 740].includes(s) && s < 1000);
    const rows = (quantity: 'spo2' | 'heart-rate', from: number): Channel => channelAt(quantity === 'spo2' ? { quantity, site: 'finger' } : { quantity }, seconds.map((s) => [s, s >= 800 && s < 860 && quantity === 'spo2' ? null : from + (s % 3)] as const));
    const { sites, recordGaps } = analyzeCase(caseOf({ channels: [rows('spo2', 95), rows('heart-rate', 60)] }), parametersWith({ unsteadyWindowS: 300 }), '0.0.0');
    expect(recordGaps).toHaveLength(3);
    expect(sites[0]!.dropouts.map((d) => [d.firstLostMs / 1000, d.patterns, d.evidence.unsteady])).toEqual([[800, [], { shortLosses: 0, doubtfulRuns: 0 }]]);
    expect(sites[0]!.signal.shortLosses).toBe(0);
  });

  it('is nothing where the sensor was never on, or has no index', () => {
    expect(analyze([spo2('finger', repeat('---', 30))]).sites[0]!.signal).toEqual({ perfusion: null, shortLosses: 0, doubtfulRuns: 0 });
    expect(analyze([spo2('finger', repeat(97, 30))]).sites[0]!.signal.perfusion).toBeNull();
  });

  it('gives the ratio of two sensors as the median over minutes', () => {
    const ear = regularChannel({ quantity: 'perfusion-index', site: 'ear lobe' }, repeat(0.5, 60), 10);
    const [pair] = analyze([spo2('finger', repeat(97, 60)), index(repeat(2, 60)), spo2('ear lobe', repeat(97, 60)), ear]).pairs;
    expect(pair).toMatchObject({ perfusionRatio: 4, perfusionMinutes: 10 });
  });
});
