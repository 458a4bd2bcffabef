import { describe, expect, it } from 'vitest';
import type { SiteAnalysis } from '../../../../core/model/analysis.ts';
import type { CaseEvent } from '../../../../core/model/event.ts';
import type { DrugRecord } from '../../../../core/model/drug.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import { lowestBetween } from '../../../../core/metrics/lowest-possible.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import type { Cell } from '../../../builders/channel.ts';
import { channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import { drugOf } from '../../../builders/drug.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

interface Spec {
  readonly everyS?: number;
  readonly events?: readonly CaseEvent[];
  readonly drugs?: readonly DrugRecord[];
  readonly parameters?: Partial<AnalysisParameters>;
}
function site(cells: readonly Cell[], { everyS = 10, events = [], drugs = [], parameters = {} }: Spec = {}): SiteAnalysis {
  const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, cells, everyS);
  const heart = regularChannel({ quantity: 'heart-rate' }, cells.map((_, i) => 60 + (i % 5)), everyS);
  return analyzeCase(caseOf({ channels: [spo2, heart], events, drugs }), parametersWith(parameters), '0.0.0').sites[0]!;
}

describe('low runs', () => {
  const names = (cells: readonly Cell[], everyS: number) => site(cells, { everyS }).hypoxaemia.lowRuns.map((r) => [r.rule, r.lastedMs / 1000]);

  it('need two consecutive minutes: two values at a minute, or the time they stand at ten seconds', () => {
    expect(names([97, 97, 89, 88, 97, 97], 60)).toEqual([['hypoxaemia', 120]]);
    expect(names([97, 97, 89, 97, 88, 97], 60)).toEqual([]);
    expect(names([...repeat(97, 20), ...repeat(89, 12), ...repeat(97, 20)], 10)).toEqual([['hypoxaemia', 120]]);
    expect(names([...repeat(97, 20), ...repeat(89, 11), ...repeat(97, 20)], 10)).toEqual([]);
  });

  it('keep the mixed limits: 90 is not hypoxaemia, 85 is severe', () => {
    expect(names([97, 97, 90, 90, 97, 97], 60)).toEqual([]);
    expect(names([97, 97, 85, 85, 97, 97], 60)).toEqual([['hypoxaemia', 120], ['severe hypoxaemia', 120]]);
  });

  it('are cut by a loss', () => {
    expect(names([97, 97, 97, 97, 89, '---', 89, 97, 97, 97], 60)).toEqual([]);
  });
});

describe('desaturations', () => {
  const steady = repeat(98, 30);

  it('begin four points below the running median and end within two of it', () => {
    const [fall, ...more] = site([...steady, 96, 94, 92, 91, 95, 96, 97, ...steady]).hypoxaemia.desaturations;
    expect(more).toEqual([]);
    expect(fall).toMatchObject({ startMs: 310_000, endMs: 350_000, endedBy: 'return', baselinePct: 98, lowestPct: 91, lowestAtMs: 330_000, dyeIds: [] });
  });

  it('do not begin at three points, last at least ten seconds, and say when a loss cut them short', () => {
    expect(site([...steady, 95, 95, 95, ...steady]).hypoxaemia.desaturations).toEqual([]);
    expect(site([...repeat(98, 300), ...repeat(90, 9), ...repeat(98, 300)], { everyS: 1 }).hypoxaemia.desaturations).toEqual([]);
    expect(site([...repeat(98, 300), ...repeat(90, 10), ...repeat(98, 300)], { everyS: 1 }).hypoxaemia.desaturations).toHaveLength(1);
    expect(site([...steady, 90, 89, '---', '---', '---', '---', ...steady]).hypoxaemia.desaturations).toMatchObject([{ endedBy: 'loss', startMs: 300_000, endMs: 310_000 }]);
  });

  it('take no baseline across a loss', () => {
    expect(site([...steady, '---', '---', '---', '---', 90, ...repeat(91, 10), ...steady]).hypoxaemia.desaturations).toEqual([]);
  });

  it('name a dye that may explain a false low value', () => {
    const cells = [...steady, 90, 90, 90, ...steady];
    const dye = (atS: number) => site(cells, { events: [eventOf({ kind: 'dye', term: 'dye', atS, eventId: 'blue' })] }).hypoxaemia.desaturations[0]!.dyeIds;
    expect(dye(250)).toEqual(['blue']);
    expect(dye(320)).toEqual(['blue']);
    expect(dye(400)).toEqual([]);
    const drug = drugOf({ inn: 'methylthioninium chloride', atS: -1400, drugId: 'mb', isVasopressor: false });
    expect(site(cells, { drugs: [drug] }).hypoxaemia.desaturations[0]!.dyeIds).toEqual(['mb']);
    expect(site(cells, { drugs: [{ ...drug, inn: 'indocyanine green' }] }).hypoxaemia.desaturations[0]!.dyeIds).toEqual([]);
  });
});

/* Analysis specification, section 8: dyes, venous pulsation and a slipped sensor explain false low values; events that name them are shown beside low values. */
describe('what may make a value read falsely low', () => {
  const cells = [...repeat(98, 30), ...repeat(84, 15), ...repeat(98, 30)];
  const signs = (events: readonly CaseEvent[]) => {
    const { desaturations, lowRuns, lowest } = site(cells, { events }).hypoxaemia;
    return [desaturations[0]!, lowRuns[0]!, lowest!].map(({ dyeIds, sensorIds, headDownIds }) => [dyeIds, sensorIds, headDownIds]);
  };
  it('is named beside falls, low runs and the lowest value', () => {
    const dye = eventOf({ kind: 'dye', term: 'dye', atS: 250, eventId: 'blue' });
    expect(signs([dye])).toEqual([[['blue'], [], []], [['blue'], [], []], [['blue'], [], []]]);
  });
  it('is a sensor touched within two minutes, at this site or at none named', () => {
    const moved = (atS: number, at: string | null) => signs([{ ...eventOf({ kind: 'sensor moved', atS, eventId: 'moved' }), site: at }])[2];
    expect(moved(200, 'finger')).toEqual([[], ['moved'], []]);
    expect(moved(200, null)).toEqual([[], ['moved'], []]);
    expect(moved(200, 'toe')).toEqual([[], [], []]);
    expect(moved(150, 'finger')).toEqual([[], [], []]); // the lowest value first stands at 300 s
  });
  it('is lying head down only for a sensor on the forehead', () => {
    const down = eventOf({ kind: 'position', term: 'head down', phase: 'start', atS: 100, eventId: 'tilt' });
    expect(signs([down])[2]).toEqual([[], [], []]);
    const forehead = regularChannel({ quantity: 'spo2', site: 'forehead' }, cells, 10);
    const analysis = analyzeCase(caseOf({ channels: [forehead], events: [down] }), parametersWith({}), '0.0.0');
    expect(analysis.sites[0]!.hypoxaemia.lowest).toMatchObject({ pct: 84, headDownIds: ['tilt'] });
  });
});

describe('the second result', () => {
  it('leaves doubtful values out of the figures of low SpO2 and of the time to information', () => {
    // The fall to 84 stands under a perfusion index of 0.2: information in the first result, lost in the second.
    const cells = [...repeat(97, 30), ...repeat(84, 15), ...repeat(97, 30)];
    const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, cells, 10);
    const index = regularChannel({ quantity: 'perfusion-index', site: 'finger' }, cells.map((v) => (v === 84 ? 0.2 : 2)), 10);
    const [only] = analyzeCase(caseOf({ channels: [spo2, index] }), parametersWith({}), '0.0.0').sites;
    expect(only!.hypoxaemia.lowest?.pct).toBe(84);
    expect(only!.hypoxaemiaDoubtfulLost.lowest?.pct).toBe(97);
    // Lines 97 → 84 cross 90 % at 7/13 of 10 s: 140 s and twice 60/13 s below.
    expect(only!.below[0]!.observedMs / 1000).toBeCloseTo(140 + 120 / 13, 9);
    expect(only!.belowDoubtfulLost[0]).toMatchObject({ observedMs: 0, lowMs: 0, highMs: 150_000 });
    expect([only!.restoration.medianMs, only!.restorationDoubtfulLost.medianMs]).toEqual([null, 150_000]);
    expect(only!.statusRuns).toEqual({ implausible: [], flagged: [], held: [], weak: [300_000, 450_000], disputed: [] });
  });
});

describe('lowest value and shares', () => {
  it('are of the information only', () => {
    const { hypoxaemia } = site([...repeat(97, 5), 88, 86, 88, '---', '---', '---', '---', ...repeat(97, 5)]);
    expect(hypoxaemia.lowest).toMatchObject({ pct: 86, atMs: 60_000 });
    // 120 s seen of 160 s: eight values up to the loss stand 10 s each, four of the five after it; three of them low.
    expect(hypoxaemia.t90).toEqual({ observed: 30 / 120, low: 30 / 160, high: 70 / 160 });
    expect(hypoxaemia.observedMs).toBe(110_000);
  });

  it('have bounds of the monitored time: a loss not restored is in them, a record gap is not', () => {
    // 200 s seen, then nothing while the heart rate goes on for 400 s: mid 395 s lost. All of that may have been low.
    const open = site([...repeat(97, 21), ...repeat('---', 40)]);
    expect([open.monitoredMs, open.below[0]!.highMs]).toEqual([600_000, 395_000]);
    expect(open.hypoxaemia.t90).toEqual({ observed: 0, low: 0, high: 400 / 600 });
    // The recorder stood still from 200 to 400 s (mid 190 s out): what is left was seen.
    const seconds = [...Array.from({ length: 21 }, (_, i) => i * 10), ...Array.from({ length: 21 }, (_, i) => 400 + i * 10)];
    const both = [channelAt({ quantity: 'spo2', site: 'finger' }, seconds.map((s) => [s, 97] as const)), channelAt({ quantity: 'heart-rate' }, seconds.map((s) => [s, 60 + (s % 7)] as const))];
    const gap = analyzeCase(caseOf({ channels: both }), parametersWith({}), '0.0.0').sites[0]!;
    expect([gap.monitoredMs, gap.hypoxaemia.t90]).toEqual([410_000, { observed: 0, low: 0, high: 0 }]);
  });

  it('are nothing for a sensor that was never on', () => {
    const { hypoxaemia, below } = site(repeat('---', 10));
    expect(hypoxaemia).toEqual({ observedMs: 0, meanPct: null, lowest: null, t90: { observed: null, low: null, high: null }, lowRuns: [], desaturations: [] });
    expect(below.every((b) => b.observedMs === 0 && b.areaHighPctS === 0)).toBe(true);
  });
});

describe('drop on return against matched intervals', () => {
  it('sets a fall over a loss beside falls where nothing was lost', () => {
    // A slow fall of one point every 100 s: over 60 s of loss a change of −1 or 0 is nothing strange (54 of the 120 compared fell by one: starts 4 to 9 of each of the first nine decades); −6 is.
    const slope = Array.from({ length: 100 }, (_, i) => 99 - Math.floor(i / 10));
    const cells: Cell[] = [...slope, 90, ...repeat('---', 5), 84, ...repeat(84, 30)];
    const { returnComparison } = site(cells).dropouts[0]!;
    expect(returnComparison).toMatchObject({ changePoints: -6, medianPoints: 0, lowPoints: -1, highPoints: 0, shareAsLow: 0 });
    // Stretches of 101 and 31 values: 1000 s and 300 s, so 16 and 5 intervals of 60 s side by side.
    expect(returnComparison!.separate).toBe(21);
    const ordinary = site([...slope, 90, ...repeat('---', 5), 89, ...repeat(89, 30)]).dropouts[0]!.returnComparison!;
    expect(ordinary.shareAsLow).toBe(54 / 120);
  });

  it('is null where nothing came after, or no interval is as long', () => {
    expect(site([...repeat(97, 3), ...repeat('---', 30), ...repeat(97, 3)]).dropouts[0]!.returnComparison).toBeNull();
    expect(site([...repeat(97, 40), ...repeat('---', 80)]).dropouts[0]!.returnComparison).toBeNull();
  });
});

describe('what cannot be excluded', () => {
  it('is cut at nought, and is the line where the rates do not reach', () => {
    const at = (atMs: number, pct: number) => ({ atMs, pct });
    expect(lowestBetween(at(0, 98), at(600_000, 94), 0.5, 2)).toEqual([at(0, 98), at(196_000, 0), at(553_000, 0), at(600_000, 94)]);
    expect(lowestBetween(at(0, 98), at(10_000, 60), 0.5, 2)).toEqual([at(0, 98), at(10_000, 60)]);
  });

  it('uses the information inside a joined dropout, and the device hold before it', () => {
    const cells: Cell[] = [...repeat(98, 20), ...repeat('---', 4), 98, ...repeat('---', 4), ...repeat(98, 20)];
    const whole = site(cells).dropouts[0]!;
    // Two times 50 s: 98 − 0.5 × 2 × 50 / 2.5 = 78.
    expect(whole.cannotExclude.pct).toBeCloseTo(78, 9);
    expect(whole.cannotExclude.edge).toHaveLength(5);
    expect(site(cells, { parameters: { deviceHoldS: 10 } }).dropouts[0]!.cannotExclude.pct).toBeCloseTo(98 - (0.5 * 2 * 60) / 2.5, 9);
  });

  it('has an edge that stays inside the dropout, however long the display may have been held before', () => {
    // 98 → 98 over 60 s held for 30 s before: the line down begins at −30 s, so at the last good value it stands at 98 − 15 = 83; it meets the line up at 98 − 0.5 × 2 × 90 / 2.5 = 62.
    const { cannotExclude: held, lastGoodMs, firstGoodMs } = site([...repeat(98, 20), ...repeat('---', 5), ...repeat(98, 20)], { parameters: { deviceHoldS: 30 } }).dropouts[0]!;
    expect(held.edge.map(({ atMs, pct }) => [atMs - lastGoodMs, pct])).toEqual([[0, 98], [0, 83], [42_000, 62], [60_000, 98]]);
    expect(held).toMatchObject({ pct: 62, atMs: lastGoodMs + 42_000 });
    // At 8 %/s of a preterm infant the lines meet before the last good value: inside there is only the way up, from 98 − 2 × 60.
    const preterm = site([...repeat(98, 20), ...repeat('---', 5), ...repeat(98, 20)], { parameters: { deviceHoldS: 120, fallPctPerS: 8 } }).dropouts[0]!;
    expect(preterm.cannotExclude.edge.every(({ atMs }) => atMs >= preterm.lastGoodMs && atMs <= firstGoodMs!)).toBe(true);
    expect(preterm.cannotExclude.pct).toBe(0);
    const open = site([...repeat(98, 20), ...repeat('---', 40)], { parameters: { deviceHoldS: 30 } }).dropouts[0]!;
    expect(open.cannotExclude.edge.slice(0, 3).map(({ atMs, pct }) => [atMs - open.lastGoodMs, pct])).toEqual([[0, 98], [0, 83], [166_000, 0]]);
  });

  it('goes on falling where information never came back', () => {
    const { cannotExclude, censoredAtMs } = site([...repeat(98, 20), ...repeat('---', 40)]).dropouts[0]!;
    expect(cannotExclude.edge.at(-1)).toEqual({ atMs: censoredAtMs, pct: 0 });
    expect(cannotExclude.atMs).toBe(190_000 + 196_000);
  });
});
