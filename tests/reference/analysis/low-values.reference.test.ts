/*
 * Hypoxaemia figures, the dissociation curve and the bound inside a dropout against values worked out outside the program:
 * `tests/fixtures/check-values.json` (each entry names its source and how well it is known).
 */
import { describe, expect } from 'vitest';
import type { SiteAnalysis } from '../../../core/model/analysis.ts';
import { LOW_RUN_RULES } from '../../../core/model/hypoxaemia.ts';
import { DEFAULT_PARAMETERS, FALL_RATE_PRESETS } from '../../../core/model/parameters.ts';
import { lowestBetween } from '../../../core/metrics/lowest-possible.ts';
import { saturationPct, tensionByEquation2MmHg, tensionMmHg } from '../../../core/metrics/dissociation.ts';
import { belowLine } from '../../../core/metrics/value-series.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../builders/case-record.ts';
import type { Cell } from '../../builders/channel.ts';
import { channelAt } from '../../builders/channel.ts';
import { drugOf } from '../../builders/drug.ts';
import { eventOf } from '../../builders/event.ts';
import { parametersWith } from '../../builders/parameters.ts';
import { check, entryOf, idsOf } from './check-values.ts';

const siteOf = (points: readonly (readonly [number, Cell])[], changes = {}): SiteAnalysis =>
  analyzeCase(caseOf({ channels: [channelAt({ quantity: 'spo2', site: 'finger' }, points)] }), parametersWith({ minDurationS: 0, ...changes }), '0.0.0').sites[0]!;

describe('hypoxaemia', () => {
  check('spo2-aut-clipped', ({ given, expect: wanted, tolerance }) => {
    const below = siteOf(given.series).below.find((b) => b.thresholdPct === given.threshold)!;
    expect(Math.abs(below.areaPctS - wanted)).toBeLessThanOrEqual(tolerance!);
    expect([below.areaLowPctS, below.areaHighPctS]).toEqual([below.areaPctS, below.areaPctS]);
  });

  check('spo2-aut-naive', ({ given, expect: wanted }) => {
    // The other way of counting, which the program does not use: the check is that its figure is not this one.
    const below = siteOf(given.series).below.find((b) => b.thresholdPct === given.threshold)!;
    expect(below.areaPctS).toBeLessThan(wanted - 50);
  });

  check('spo2-time-below', ({ given, expect: wanted, tolerance }) => {
    const t = given.series.map(([s]: [number, number]) => s);
    const { time } = belowLine({ t, value: given.series.map(([, v]: [number, number]) => v), gap: 90 }, given.threshold);
    expect(Math.abs(time - wanted)).toBeLessThanOrEqual(tolerance!);
  });

  check('spo2-twa', ({ given, expect: wanted }) => {
    const series = [96, 92, 88, 84, 88, 92, 96].map((v, i) => [i * 60, v] as const);
    const site = siteOf(series);
    expect(site.below[0]!.areaPctS).toBe(given.aut);
    expect(site.hypoxaemia.observedMs / 1000).toBe(given.duration_s);
    expect(site.below[0]!.areaPctS / (site.hypoxaemia.observedMs / 1000)).toBeCloseTo(wanted, 6);
  });

  check('spo2-nadir', ({ given, expect: wanted }) => {
    expect(siteOf(given.series).hypoxaemia.lowest!.pct).toBe(wanted);
  });

  check('hypox-ehrenfeld-definition', ({ expect: wanted }) => {
    const [mild, severe] = LOW_RUN_RULES;
    expect(`SpO2 ${mild!.atLimit ? '<=' : '<'} ${mild!.limitPct}`).toBe(wanted.hypoxaemia);
    expect(`SpO2 ${severe!.atLimit ? '<=' : '<'} ${severe!.limitPct}`).toBe(wanted.severe);
    for (const rule of LOW_RUN_RULES) expect(rule.minS / 60).toBe(wanted.min_duration_min);
    const minutes = (values: readonly number[]) => siteOf(values.map((v, i) => [i * 60, v] as const)).hypoxaemia.lowRuns.map((r) => r.rule);
    expect(minutes([97, 97, 89.9, 89.9, 97])).toEqual(['hypoxaemia']);
    expect(minutes([97, 97, 90, 90, 97])).toEqual([]);
    expect(minutes([97, 97, 85, 85, 97])).toEqual(['hypoxaemia', 'severe hypoxaemia']);
    expect(minutes([97, 97, 85.1, 85, 97])).toEqual(['hypoxaemia']);
  });
});

describe('area and time below a line, on another quantity', () => {
  const pressure = (given: { series: [number, number][]; threshold: number }) => belowLine({ t: given.series.map(([s]) => s), value: given.series.map(([, v]) => v), gap: 90 }, given.threshold);
  check('map-aut65', ({ given, expect: wanted, tolerance }) => expect(Math.abs(pressure(given).area - wanted)).toBeLessThanOrEqual(tolerance!));
  check('map-time65', ({ given, expect: wanted, tolerance }) => expect(Math.abs(pressure(given).time - wanted)).toBeLessThanOrEqual(tolerance!));
  check('map-twa65', ({ given, expect: wanted, tolerance }) => {
    const { area, observed } = pressure(entryOf('map-aut65').given);
    expect([area, observed]).toEqual([given.aut, given.duration_s]);
    expect(Math.abs(area / observed - wanted)).toBeLessThanOrEqual(tolerance!);
  });
});

describe('what may make SpO2 read falsely low', () => {
  /** Whether a dye, given so long before the lowest value, is named beside it. */
  const isNamed = (inn: string, beforeS: number): boolean => {
    const points = Array.from({ length: 400 }, (_, i) => [i * 10, i === 300 ? 88 : 97] as const);
    const { sites } = analyzeCase(caseOf({ channels: [channelAt({ quantity: 'spo2', site: 'finger' }, points)], drugs: [drugOf({ drugId: 'dye', inn, isVasopressor: false, atS: 3000 - beforeS })] }), DEFAULT_PARAMETERS, '0.0.0');
    return sites[0]!.hypoxaemia.lowest!.dyeIds.includes('dye');
  };
  check('dye-methyleneblue-dog', ({ expect: minutes }) => {
    expect([isNamed('methylthioninium chloride', minutes * 60 - 10), isNamed('methylthioninium chloride', minutes * 60 + 10)]).toEqual([true, false]);
  });
  // 10 min for every dye but methylene blue: a default of the program.
  check('dye-icg-human', ({ expect: { nadir_s } }) => expect([isNamed('indocyanine green', nadir_s), isNamed('indocyanine green', 610)]).toEqual([true, false]));
  check('dye-icg-child', ({ expect: { duration_min } }) => expect(isNamed('indocyanine green', duration_min * 60)).toBe(true));
  check('venous-forehead', () => {
    // 5 of 25 anaesthetics head down: enough for a note beside every forehead sensor worn so, and beside no other.
    const down = eventOf({ kind: 'position', term: 'head down', phase: 'start', atS: 100 });
    const worn = (site: 'forehead' | 'finger') => analyzeCase(caseOf({ channels: [channelAt({ quantity: 'spo2', site }, Array.from({ length: 60 }, (_, i) => [i * 10, 97 - (i % 2)] as const))], events: [down] }), DEFAULT_PARAMETERS, '0.0.0');
    expect([worn('forehead'), worn('finger')].map(({ findings }) => findings.some(({ code }) => code === 'forehead-head-down'))).toEqual([true, false]);
  });
});

describe('averaging and delay: what a recorded low value can and cannot show', () => {
  const boxcar = (values: readonly number[], window: number) => values.map((_, i) => values.slice(Math.max(0, i - window + 1), i + 1).reduce((a, b) => a + b, 0) / Math.min(i + 1, window));
  for (const id of ['averaging-boxcar-depth', 'averaging-boxcar-full']) {
    check(id, ({ given, expect: wanted, tolerance }) => {
      const truth = Array.from({ length: 120 }, (_, s) => (s >= 60 && s < 60 + given.true_duration_s ? 98 - given.true_drop_pct : 98));
      const shown = boxcar(truth, given.window_s).map((v, s) => [s, v] as const);
      expect(Math.abs(98 - siteOf(shown).hypoxaemia.lowest!.pct - wanted)).toBeLessThanOrEqual(Math.max(tolerance!, 1e-9));
    });
  }

  check('delay-finger-hypothermia', ({ expect: { normothermia_s, mild_hypothermia_s } }) => {
    // By so much the finger comes later in the cold, while ear and forehead do not: the search for a lag must reach that far.
    expect(DEFAULT_PARAMETERS.lagMaxS).toBeGreaterThanOrEqual(mild_hypothermia_s - normothermia_s);
  });

  check('delay-transient-ear-finger', ({ expect: wanted }) => {
    // The same dip at two sites: the lowest values differ by site, and each is reported as its own.
    const dip = (low: number) => [98, 98, 98, low, 98, 98, 98].map((v, i) => [i * 3, v] as const);
    expect([siteOf(dip(wanted.ear_min)).hypoxaemia.lowest!.pct, siteOf(dip(wanted.finger_min)).hypoxaemia.lowest!.pct]).toEqual([wanted.ear_min, wanted.finger_min]);
  });
});

describe('what a dropout may hide', () => {
  // The bounding rates must not be below what was observed or derived, else what is called excluded is not.
  const rateOf = (label: string): number => FALL_RATE_PRESETS.find((preset) => preset.label === label)!.pctPerS;
  check('desat-store-adult', ({ given: { vo2_ml_min, hb_g_l, blood_l }, expect: wanted, tolerance }) => {
    const perMin = (100 * vo2_ml_min) / (1.34 * hb_g_l * blood_l);
    expect(Math.abs(perMin - wanted)).toBeLessThanOrEqual(tolerance!);
    expect(rateOf('adult')).toBeGreaterThanOrEqual(perMin / 60);
  });
  check('desat-store-child', ({ given: { vo2_ml_min, hb_g_l, blood_l }, expect: wanted, tolerance }) => {
    const perMin = (100 * vo2_ml_min) / (1.34 * hb_g_l * blood_l);
    expect(Math.abs(perMin - wanted)).toBeLessThanOrEqual(tolerance!);
    expect(rateOf('child')).toBeGreaterThanOrEqual(perMin / 60);
  });
  check('desat-adult-measured', ({ expect: pctPerS }) => expect(rateOf('adult')).toBeGreaterThanOrEqual(pctPerS));
  check('desat-preterm', ({ expect: [, greatest] }) => expect(rateOf('preterm')).toBeGreaterThanOrEqual(greatest));
  check('desat-obese-time', ({ expect: { obese_s } }) => {
    // From 97 to 90 % in so short a time: the bound must allow it.
    const [, lowest] = lowestBetween({ atMs: 0, pct: 97 }, { atMs: obese_s * 1000, pct: 97 }, rateOf('adult'), DEFAULT_PARAMETERS.risePctPerS);
    expect(lowest!.pct).toBeLessThanOrEqual(90);
  });
  check('desat-benumof-80', ({ expect: minutes }) => {
    for (const [patient, min] of Object.entries<number>(minutes)) {
      const rate = rateOf(patient.startsWith('child') ? 'child' : 'adult');
      expect([patient, rate * min * 60 > 100 - 80]).toEqual([patient, true]);
    }
  });

  check('blind-lowest-possible', ({ given, expect: wanted, tolerance }) => {
    expect([DEFAULT_PARAMETERS.fallPctPerS, DEFAULT_PARAMETERS.risePctPerS]).toEqual([given.fall_rate, given.rise_rate]);
    const points: [number, Cell][] = Array.from({ length: 40 }, (_, i) => [i * 10, i < 20 ? given.before : i < 25 ? '---' : given.after]);
    const dropout = siteOf(points).dropouts[0]!;
    expect((dropout.firstGoodMs! - dropout.lastGoodMs) / 1000).toBe(given.blind_s);
    expect(Math.abs(dropout.cannotExclude.pct - wanted)).toBeLessThanOrEqual(tolerance!);
    expect(dropout.cannotExclude.edge[0]).toEqual({ atMs: dropout.lastGoodMs, pct: given.before });
    expect(dropout.cannotExclude.edge.at(-1)).toEqual({ atMs: dropout.firstGoodMs, pct: given.after });
  });
});

describe('dissociation curve', () => {
  for (const id of idsOf('odc-sev-').filter((x) => !x.includes('eq2'))) {
    check(id, ({ given, expect: wanted, tolerance }) => expect(Math.abs(saturationPct(given.po2_mmHg) - wanted)).toBeLessThanOrEqual(tolerance!));
  }
  for (const id of idsOf('odc-sev-eq2-')) {
    check(id, ({ given, expect: wanted, tolerance }) => expect(Math.abs(tensionByEquation2MmHg(100 * given.s) - wanted)).toBeLessThanOrEqual(tolerance!));
  }
  for (const id of idsOf('odc-inverse-')) {
    check(id, ({ given, expect: wanted, tolerance }) => expect(Math.abs(tensionMmHg(100 * given.s) - wanted)).toBeLessThanOrEqual(tolerance!));
  }
  check('odc-hill-60', ({ given, expect: wanted, tolerance }) => {
    // The program shows no Hill curve; the entry is an independent witness that equation 1 is not far off at 60 mmHg.
    const hill = (100 * given.po2_mmHg ** given.n) / (given.p50 ** given.n + given.po2_mmHg ** given.n);
    expect(Math.abs(hill - wanted)).toBeLessThanOrEqual(tolerance!);
    expect(Math.abs(saturationPct(given.po2_mmHg) - hill)).toBeLessThan(1);
  });
});
