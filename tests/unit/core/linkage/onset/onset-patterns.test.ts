import { describe, expect, it } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../../../../core/model/analysis.ts';
import type { Channel } from '../../../../../core/model/channel.ts';
import type { CaseEvent } from '../../../../../core/model/event.ts';
import type { AnalysisParameters } from '../../../../../core/model/parameters.ts';
import { caseAnalysisSchema } from '../../../../../core/model/analysis-schema.ts';
import { cuffInstants } from '../../../../../core/linkage/onset/cuff-cycle.ts';
import { analyzeCase } from '../../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../../builders/case-record.ts';
import type { Cell } from '../../../../builders/channel.ts';
import { channelAt } from '../../../../builders/channel.ts';
import { eventOf } from '../../../../builders/event.ts';
import { parametersWith } from '../../../../builders/parameters.ts';

/** One value a second over half an hour; SpO2 and perfusion index vanish in the given seconds [from, to). */
const SECONDS = Array.from({ length: 1800 }, (_, s) => s);
const LOSS = [900, 960] as const;

interface Spec {
  readonly perfusion?: (s: number) => Cell;
  readonly losses?: readonly (readonly [number, number])[];
  readonly channels?: readonly Channel[];
  readonly events?: readonly CaseEvent[];
  readonly parameters?: Partial<AnalysisParameters>;
  readonly everyS?: number;
}

function analyze({ perfusion, losses = [LOSS], channels = [], events = [], parameters = {}, everyS = 1 }: Spec): CaseAnalysis {
  const rows = SECONDS.filter((s) => s % everyS === 0);
  const isLost = (s: number) => losses.some(([from, to]) => s >= from && s < to);
  const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, rows.map((s) => [s, isLost(s) ? null : 97 + (s % 2)] as const));
  const index = perfusion === undefined ? [] : [channelAt({ quantity: 'perfusion-index', site: 'finger' }, rows.map((s) => [s, isLost(s) ? null : perfusion(s)] as const))];
  const heart = channelAt({ quantity: 'heart-rate' }, rows.map((s) => [s, 60 + (s % 5)] as const));
  return analyzeCase(caseOf({ channels: [spo2, ...index, heart, ...channels], events }), parametersWith(parameters), '0.0.0');
}

function first(analysis: CaseAnalysis): Dropout {
  const dropout = analysis.sites[0]?.dropouts[0];
  if (dropout === undefined) throw new Error('no dropout');
  return dropout;
}
const patternsOf = (spec: Spec) => first(analyze(spec)).patterns;
/** Steady at `high`, then straight down to `low` over the last `overS` seconds before the loss. */
const fall = (high: number, low: number, overS: number) => (s: number) => (s < LOSS[0] - overS || s >= LOSS[1] ? high : high + ((low - high) * (s - LOSS[0] + overS)) / overS);

describe('fading', () => {
  it('is a fall by half or more within three minutes', () => {
    const dropout = first(analyze({ perfusion: fall(4, 1, 150) }));
    expect(dropout.patterns).toEqual(['fading']);
    const course = dropout.evidence.perfusion!;
    expect(course.highest).toBe(4);
    // The level at the end is the median of the last ten seconds of the line: 4 − 3 × 144.5/150.
    expect(course.last).toBeCloseTo(4 - (3 * 144.5) / 150, 9);
    expect(course.fadeRatio).toBeCloseTo(course.last / 4, 9);
    expect(course.lastAtMs).toBe(899_000);
  });

  it('is not a fall by less, nor one that was over three minutes before', () => {
    expect(patternsOf({ perfusion: fall(4, 2.4, 150) })).toEqual([]);
    expect(patternsOf({ perfusion: (s) => (s < 700 ? 4 : 1.8) })).not.toContain('fading');
  });

  it('is a weak signal in the last half minute, whatever came before', () => {
    expect(patternsOf({ perfusion: () => 0.29 })).toContain('fading');
    expect(patternsOf({ perfusion: () => 0.3 })).not.toContain('fading');
    expect(patternsOf({ perfusion: (s) => (s >= 830 && s < 858 ? 0.2 : 0.35) })).not.toContain('fading');
  });

  it('starts anew where the sensor was moved, since another finger has another index', () => {
    const stepped = (s: number) => (s < 800 ? 4 : 1.2);
    expect(patternsOf({ perfusion: stepped })).toContain('fading');
    const moved = eventOf({ kind: 'sensor moved', atS: 800 });
    const dropout = first(analyze({ perfusion: stepped, events: [moved], parameters: { handTimeS: 30 } }));
    expect(dropout.patterns).toEqual(['abrupt']);
    expect(dropout.evidence.perfusion!.resetAtMs).toBe(800_000);
    expect(patternsOf({ perfusion: stepped, events: [eventOf({ kind: 'sensor moved', atS: 800, site: 'toe' })] })).toContain('fading');
  });

  it('is not claimed for one stray value', () => {
    expect(patternsOf({ perfusion: (s) => (s === 850 ? 9 : 2) })).toEqual(['abrupt']);
  });

  it('works on one value a minute', () => {
    const spec: Spec = { perfusion: (s) => (s < 900 ? 4 : 1.5), losses: [[960, 1080]], everyS: 60 };
    expect(patternsOf(spec)).toEqual(['fading']);
  });
});

describe('abrupt', () => {
  it('is a strong and steady signal up to the loss', () => {
    expect(patternsOf({ perfusion: () => 2 })).toEqual(['abrupt']);
    expect(patternsOf({ perfusion: (s) => (s < 870 ? 2 : 1.6) })).toEqual(['abrupt']);
    expect(patternsOf({ perfusion: (s) => (s < 870 ? 2 : 1.59) })).toEqual([]);
    expect(patternsOf({ perfusion: () => 0.99 })).toEqual([]);
  });

  it('is not claimed on less than a minute of history, nor without a perfusion index', () => {
    expect(patternsOf({ perfusion: () => 2, events: [eventOf({ kind: 'sensor on', atS: 860 })] })).toEqual([]);
    const dropout = first(analyze({}));
    expect(dropout.patterns).toEqual([]);
    expect(dropout.evidence.perfusion).toBeNull();
  });

  it('keeps the course for a drawing: half an hour steady gives thirty full bins of ten seconds', () => {
    const course = first(analyze({ perfusion: () => 2 })).evidence.perfusion!;
    expect(course.courseBinMs).toBe(10_000);
    expect(course.course).toEqual(Array.from({ length: 30 }, () => 2));
  });
});

describe('cuff', () => {
  const cuff = (atS: readonly number[]): Channel => channelAt({ quantity: 'nibp-mean', layout: 'long' }, atS.map((s, i) => [s, 70 + i] as const));
  const cycle = [290, 590, 890, 1190, 1490];
  /** 40 s each, over when the measurement is stamped. */
  const losses = [[555, 595], [855, 895], [1155, 1195]] as const;

  it('is a short loss beside a measurement, when the sensor has at least two such losses', () => {
    const dropouts = analyze({ losses, channels: [cuff(cycle)] }).sites[0]!.dropouts;
    expect(dropouts.map((d) => d.patterns)).toEqual([['cuff'], ['cuff'], ['cuff']]);
    expect(dropouts[0]!.evidence.cuff).toEqual({ atMs: [590_000], alike: 3, cycleMs: 300_000, stepsAtCycle: 2, steps: 2, isRegular: true });
    expect(patternsOf({ losses: [[555, 595]], channels: [cuff(cycle)] })).toEqual([]);
  });

  it('is not a long loss, nor one that no measurement stands beside', () => {
    const dropouts = analyze({ losses: [[555, 660], [855, 895], [1155, 1195]], channels: [cuff(cycle)] }).sites[0]!.dropouts;
    expect(dropouts.map((d) => d.evidence.cuff !== null)).toEqual([false, true, true]);
    expect(patternsOf({ losses: [[700, 740], [1000, 1040]], channels: [cuff([500, 1200])] })).toEqual([]);
  });

  it('says when the spacing is not that of the cuff', () => {
    const off = analyze({ losses: [[555, 595], [800, 840], [1290, 1330]], channels: [cuff([290, 590, 890, 1190, 1490])], parameters: { cuffMarginS: 200 } }).sites[0]!.dropouts;
    expect(off[0]!.evidence.cuff!.isRegular).toBe(false);
  });

  it('is measured once where systolic, mean and diastolic stand a few seconds apart', () => {
    const parts = (['nibp-sys', 'nibp-mean', 'nibp-dia'] as const).map((quantity, k) => channelAt({ quantity, layout: 'long' }, [[100 + k, 90], [400 + k, 80]]));
    expect(cuffInstants(parts)).toEqual([100_000, 400_000]);
  });

  it('is measured where the value changes when the export repeats the last one on every row', () => {
    const repeated = channelAt({ quantity: 'nibp-mean' }, SECONDS.map((s) => [s, 70 + Math.floor(s / 300)] as const));
    expect(cuffInstants([repeated])).toEqual([0, 300_000, 600_000, 900_000, 1_200_000, 1_500_000]);
  });
});

describe('unsteady', () => {
  it('is three short losses or doubtful runs within two minutes', () => {
    const shorts = [[790, 794], [820, 824]] as const;
    const spec = (extra: readonly (readonly [number, number])[], perfusion = (s: number): Cell => (s >= 850 && s < 855 ? 0.2 : 2)): Spec => ({ losses: [...shorts, ...extra, LOSS], perfusion });
    const dropout = first(analyze(spec([])));
    expect(dropout.evidence.unsteady).toEqual({ shortLosses: 2, doubtfulRuns: 1 });
    expect(dropout.patterns).toContain('unsteady');
    expect(first(analyze(spec([], () => 2))).patterns).not.toContain('unsteady');
    expect(first(analyze(spec([[870, 874]], () => 2))).patterns).toContain('unsteady');
  });

  it('does not count what ended before the window, nor dropouts of their own', () => {
    const dropouts = analyze({ losses: [[700, 704], [720, 724], [740, 744], [800, 835], LOSS], perfusion: () => 2 }).sites[0]!.dropouts;
    expect(dropouts[1]!.evidence.unsteady).toEqual({ shortLosses: 0, doubtfulRuns: 0 });
  });
});

describe('cold', () => {
  const core = (celsius: number, atS = 600): Channel => channelAt({ quantity: 'temp-core', layout: 'long' }, [[atS, celsius]]);

  it('is a core temperature below 36 °C at the onset', () => {
    expect(patternsOf({ channels: [core(35.9)] })).toEqual(['cold']);
    expect(patternsOf({ channels: [core(36)] })).toEqual([]);
    expect(first(analyze({ channels: [core(36)] })).evidence.temperature).toEqual({ celsius: 36, atMs: 600_000 });
  });

  it('is not taken from an old value, an implausible one, or a temperature of no stated place', () => {
    expect(patternsOf({ channels: [core(35, 0)], losses: [[1000, 1060]] })).toEqual([]);
    expect(patternsOf({ channels: [core(5)] })).toEqual([]);
    expect(patternsOf({ channels: [channelAt({ quantity: 'temp', layout: 'long' }, [[600, 30]])] })).toEqual([]);
  });
});

it('several patterns stand beside each other in the order of the specification, and the whole is plain data of the schema', () => {
  const analysis = analyze({ perfusion: fall(4, 1, 150), channels: [channelAt({ quantity: 'temp-core', layout: 'long' }, [[600, 35]])], events: [eventOf({ kind: 'bypass', atS: 850, phase: 'start' })] });
  expect(first(analysis).patterns).toEqual(['fading', 'cold', 'planned']);
  expect(first(analysis).evidence.plannedBy).toEqual(['event:bypass::850']);
  expect(() => caseAnalysisSchema.parse(JSON.parse(JSON.stringify(analysis)))).not.toThrow();
});
