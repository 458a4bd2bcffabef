import { describe, expect, it } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../../../core/model/analysis.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { Channel } from '../../../../core/model/channel.ts';
import type { CaseEvent } from '../../../../core/model/event.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const analyze = (channels: readonly Channel[], changes: Partial<AnalysisParameters> = {}, events: readonly CaseEvent[] = []): CaseAnalysis =>
  analyzeCase(caseOf({ channels, events }), parametersWith(changes), '0.0.0');
const finger = (cells: readonly Cell[], intervalS = 1, startS = 0) => regularChannel({ quantity: 'spo2', site: 'finger' }, cells, intervalS, startS);
const ear = (cells: readonly Cell[], intervalS = 1, startS = 0) => regularChannel({ quantity: 'spo2', site: 'ear lobe' }, cells, intervalS, startS);
const heart = (count: number, intervalS = 1) => regularChannel({ quantity: 'heart-rate' }, alternating(60, count), intervalS);
const inSeconds = (d: Dropout) => ({
  at: [d.lastGoodMs, d.firstLostMs, d.lastLostMs, d.firstGoodMs].map((ms) => (ms === null ? null : ms / 1000)),
  lost: [d.lostMs.low, d.lostMs.mid, d.lostMs.high].map((ms) => ms / 1000),
});
const fingerDropouts = (a: CaseAnalysis) => a.sites[0]!.dropouts;

describe('dropouts', () => {
  it('are kept from a mid estimate of the minimum duration on', () => {
    const cells = [...repeat(97, 60), ...repeat(null, 30), ...repeat(97, 60), ...repeat(null, 29), ...repeat(97, 60)];
    const list = fingerDropouts(analyze([finger(cells), heart(cells.length)]));
    expect(list.map(inSeconds)).toEqual([{ at: [59, 60, 89, 90], lost: [29, 30, 31] }]);
  });

  it('count neither before the first value nor at the very end', () => {
    const cells = [...repeat('---', 100), ...repeat(97, 50), ...repeat('---', 60)];
    const { sites } = analyze([finger(cells), heart(cells.length)]);
    expect(sites[0]!.dropouts).toEqual([]);
    expect(sites[0]!.monitored).toEqual({ startMs: 100_000, endMs: 149_000 });
    expect(sites[0]!.monitoredMs).toBe(49_000);
  });

  it('mixed of lost rows and rows that are not there keep the outer instants', () => {
    const cells: Cell[] = [...repeat(97, 20), '---', '---', ...repeat('no row', 5), '---', ...repeat('no row', 4), ...repeat(97, 20)];
    const [d] = fingerDropouts(analyze([finger(cells, 10), heart(cells.length, 10)]));
    expect(inSeconds(d!)).toEqual({ at: [190, 200, 310, 320], lost: [110, 120, 130] });
    expect(d!.lostSamples).toEqual({ absent: 12 });
  });

  it('use the interval before for the first lost and the one after for the last', () => {
    const points: [number, Cell][] = [];
    for (let i = 0; i < 20; i++) points.push([i * 60, 97]);
    for (let i = 0; i < 40; i++) points.push([1740 + i * 15, 96]);
    const all = Array.from({ length: 200 }, (_, i): [number, Cell] => [i * 15, 60 + (i % 3)]);
    const [d] = fingerDropouts(analyze([channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, points), channelAt({ quantity: 'heart-rate', layout: 'long' }, all)]));
    expect(inSeconds(d!)).toEqual({ at: [1140, 1200, 1725, 1740], lost: [525, 562.5, 600] });
  });

  it('say what was there before and after, and mark a return 4 points lower or below 90', () => {
    const cells = (after: number) => [...repeat(97, 60), ...repeat(null, 60), ...repeat(after, 60)];
    const dropOf = (after: number) => fingerDropouts(analyze([finger(cells(after)), heart(180)]))[0]!;
    expect([dropOf(93), dropOf(94), dropOf(98)].map((d) => [d.spo2Before, d.spo2After, d.dropOnReturn, d.isMarked])).toEqual([
      [97, 93, 4, true],
      [97, 94, 3, false],
      [97, 98, 0, false],
    ]);
    expect(fingerDropouts(analyze([finger([...repeat(91, 60), ...repeat(null, 60), ...repeat(89, 60)]), heart(180)]))[0]!.isMarked).toBe(true);
  });

  it('take the perfusion index of the onset, not one that is minutes old', () => {
    const cells = [...repeat(97, 100), ...repeat(null, 60), ...repeat(97, 40)];
    const perfusion = (until: number) => regularChannel({ quantity: 'perfusion-index', site: 'finger' }, cells.map((_, i) => (i < until ? 1 + i / 100 : null)));
    const of = (until: number) => fingerDropouts(analyze([finger(cells), perfusion(until), heart(200)]))[0]!.perfusionBefore;
    expect(of(100)).toBe(1.99);
    expect(of(60)).toBeCloseTo(1.59, 12);
    expect(of(30)).toBeNull();
  });

  it('count lost samples by reason', () => {
    const cells: Cell[] = [...repeat(97, 30), ...repeat('---', 20), ...repeat({ flagged: 96 }, 10), ...repeat(127, 5), ...repeat(97, 30)];
    expect(fingerDropouts(analyze([finger(cells), heart(cells.length)]))[0]!.lostSamples).toEqual({ absent: 20, flagged: 10, implausible: 5 });
  });
});

describe('joining', () => {
  const analyzed = (between: number, intervalS: number) => {
    const cells = [...repeat(97, 20), ...repeat(null, 30), ...repeat(96, between), ...repeat(null, 30), ...repeat(97, 20)];
    return fingerDropouts(analyze([finger(cells, intervalS), heart(cells.length, intervalS)]));
  };

  it('takes information shorter than 10 s off the time lost', () => {
    const [d, ...rest] = analyzed(9, 1);
    expect(rest).toEqual([]);
    expect(inSeconds(d!)).toEqual({ at: [19, 20, 88, 89], lost: [58, 60, 62] });
    expect(d!.bridgedMs).toBe(9000);
  });

  it('does not happen over 10 s of information', () => {
    expect(analyzed(10, 1)).toHaveLength(2);
    expect(analyzed(2, 5)).toHaveLength(2);
  });

  it('happens over a single sample, however long its interval', () => {
    const [d, ...rest] = analyzed(1, 60);
    expect(rest).toEqual([]);
    expect(d!.bridgedMs).toBe(60_000);
    expect(d!.lostMs.mid).toBe(60 * 60_000);
  });
});

describe('device hold', () => {
  it('widens high only', () => {
    const cells = [...repeat(97, 60), ...repeat(null, 60), ...repeat(97, 60)];
    const [d] = fingerDropouts(analyze([finger(cells), heart(180)], { deviceHoldS: 30 }));
    expect(inSeconds(d!).lost).toEqual([59, 60, 91]);
  });

  it('cannot claim more than was shown between two joined losses', () => {
    const cells = [...repeat(97, 60), ...repeat(null, 60), ...repeat(97, 3), ...repeat(null, 60), ...repeat(97, 60)];
    const [d] = fingerDropouts(analyze([finger(cells), heart(cells.length)], { deviceHoldS: 30 }));
    expect(inSeconds(d!).lost).toEqual([118, 120, 122 + 30 + 3]);
  });
});

describe('doubtful samples', () => {
  it('are information in the first result and lost in the second', () => {
    const cells = alternating(96, 300);
    const perfusion = regularChannel({ quantity: 'perfusion-index', site: 'finger' }, [...repeat(2, 100), ...repeat(0.2, 60), ...repeat(2, 140)]);
    const site = analyze([finger(cells), perfusion, heart(300)]).sites[0]!;
    expect(site.dropouts).toEqual([]);
    expect(site.dropoutsDoubtfulLost.map(inSeconds)).toEqual([{ at: [99, 100, 159, 160], lost: [59, 60, 61] }]);
    expect(site.dropoutsDoubtfulLost[0]!.lostSamples).toEqual({ weak: 60 });
    expect(site.doubtfulMs).toBe(60_000);
    expect(site.monitoredMs).toBe(299_000);
  });
});

describe('after the last value', () => {
  const gone = [...repeat(97, 200), ...repeat('---' as const, 500)];

  it('a loss is not restored when the case goes on for more than 5 min', () => {
    const a = analyze([finger(gone), heart(700)]);
    const [d] = fingerDropouts(a);
    expect(inSeconds(d!)).toEqual({ at: [199, 200, null, null], lost: [499, 499.5, 500] });
    expect(d).toMatchObject({ restoredBy: 'not restored', restoredSiteKey: null, censoredAtMs: 699_000, spo2After: null, dropOnReturn: null, isMarked: false });
    expect(a.sites[0]!.monitoredMs).toBe(699_000);
    expect(a.sites[0]!.totals.shareMid).toBeCloseTo(499.5 / 699, 12);
    expect(a.blind.map((b) => [b.restoredBy, b.lastLostMs, b.lostMs.mid])).toEqual([['not restored', null, 499_500]]);
  });

  it('is nothing when the case ends within 5 min', () => {
    expect(fingerDropouts(analyze([finger(gone.slice(0, 500)), heart(500)]))).toEqual([]);
  });

  it('is nothing when an event says that the sensor was taken off', () => {
    const off = (atS: number, site?: string) => eventOf({ kind: 'sensor off', atS, ...(site === undefined ? {} : { site }) });
    expect(fingerDropouts(analyze([finger(gone), heart(700)], {}, [off(205)]))).toEqual([]);
    expect(fingerDropouts(analyze([finger(gone), heart(700)], {}, [off(205, 'toe')]))).toHaveLength(1);
  });

  it('ends where the sensor was taken off long after it fell silent', () => {
    const [d] = fingerDropouts(analyze([finger(gone), heart(700)], {}, [eventOf({ kind: 'sensor off', atS: 600 })]));
    expect(d!.censoredAtMs).toBe(600_000);
  });

  it('is ended by information that comes at another site', () => {
    const a = analyze([finger(gone), ear(repeat(96, 400), 1, 300), heart(700)]);
    const [d] = fingerDropouts(a);
    expect(inSeconds(d!).lost).toEqual([100, 100.5, 101]);
    expect(d).toMatchObject({ restoredBy: 'other site', restoredSiteKey: 'ear lobe', restoredAfterMs: 100_000, censoredAtMs: 300_000 });
    expect(a.blind.map((b) => [b.restoredBy, b.restoredSiteKey, b.firstGoodMs, b.lostMs.mid])).toEqual([['other site', 'ear lobe', 300_000, 100_000]]);
  });

  it('goes on to the end of the case beside a site that was there all the while', () => {
    const a = analyze([finger(gone), ear(repeat(96, 700)), heart(700)]);
    expect(fingerDropouts(a)[0]).toMatchObject({ restoredBy: 'other site', restoredSiteKey: 'ear lobe', restoredAfterMs: 0, censoredAtMs: 699_000 });
    expect(a.blind).toEqual([]);
  });

  it('is nothing when the sensor was moved to a site that already gave information', () => {
    const moved = eventOf({ kind: 'sensor moved', atS: 210, site: 'ear lobe' });
    expect(fingerDropouts(analyze([finger(gone), ear(repeat(96, 700)), heart(700)], {}, [moved]))).toEqual([]);
  });

  it('is the same site when the sensor comes back, whatever another site showed meanwhile', () => {
    const cells = [...repeat(97, 200), ...repeat('---' as const, 300), ...repeat(97, 200)];
    const a = analyze([finger(cells), ear(repeat(96, 100), 1, 300), heart(700)]);
    expect(fingerDropouts(a)[0]).toMatchObject({ restoredBy: 'same site', restoredSiteKey: null });
  });

  it('without any other channel is not counted, and a finding says so', () => {
    const a = analyze([finger(gone)]);
    expect(fingerDropouts(a)).toEqual([]);
    expect(a.findings.map((f) => f.code)).toContain('end-not-counted');
  });
});

describe('bounds of the case', () => {
  it('are those of anaesthesia where events give them', () => {
    const cells = [...repeat(97, 100), ...repeat(null, 100), ...repeat(97, 100), ...repeat(null, 100), ...repeat(97, 100)];
    const events = [eventOf({ kind: 'anaesthesia start', atS: 150 }), eventOf({ kind: 'anaesthesia end', atS: 450 })];
    const a = analyze([finger(cells), heart(500)], {}, events);
    expect(a.bounds).toEqual({ startMs: 150_000, endMs: 450_000, startFrom: 'anaesthesia start', endFrom: 'anaesthesia end' });
    expect(a.sites[0]!.monitored).toEqual({ startMs: 200_000, endMs: 450_000 });
    expect(fingerDropouts(a)).toHaveLength(1);
  });

  it('are the whole record where the events contradict each other, with a finding', () => {
    const events = [eventOf({ kind: 'anaesthesia start', atS: 400 }), eventOf({ kind: 'anaesthesia end', atS: 100 })];
    const a = analyze([finger(repeat(97, 500)), heart(500)], {}, events);
    expect(a.bounds.startFrom).toBe('first row');
    expect(a.findings.map((f) => f.code)).toContain('bounds-unusable');
  });
});

describe('a site that was never monitored', () => {
  it('says why', () => {
    const a = analyze([finger(repeat(0, 200)), regularChannel({ quantity: 'spo2', site: 'toe' }, []), heart(200)]);
    expect(a.sites.map((s) => [s.monitored, s.dropouts.length, s.totals.shareMid])).toEqual([
      [null, 0, null],
      [null, 0, null],
    ]);
    expect(a.sites.map((s) => s.notMonitoredReason)).toEqual([
      'None of its 200 values is usable, so the sensor was never on.',
      'The channel has no recorded value.',
    ]);
  });

  it('does not say that it was never on when the export flags every value', () => {
    const [site] = analyze([finger([...repeat({ flagged: 97 }, 190), ...repeat('---', 10)]), heart(200)]).sites;
    expect(site!.notMonitoredReason).toBe(
      'The export itself flags 190 of its 200 values, and none of the others is usable. Check that the column of flags was read rightly.',
    );
  });

  it('because it was recorded now and then takes part in no dropout', () => {
    const at = [0, 310, 415, 1500, 1622, 3391, 4000, 4777];
    const a = analyze([channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, at.map((s) => [s, 97] as const)), heart(5000)]);
    expect(a.sites[0]).toMatchObject({ intervalMs: null, monitored: null, dropouts: [] });
  });
});
