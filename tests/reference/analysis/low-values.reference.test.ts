/*
 * Hypoxaemia figures, the dissociation curve and the bound inside a dropout against values worked out outside the program:
 * `tests/fixtures/check-values.json` (each entry names its source and how well it is known).
 */
import { describe, expect } from 'vitest';
import type { SiteAnalysis } from '../../../core/model/analysis.ts';
import { LOW_RUN_RULES } from '../../../core/model/hypoxaemia.ts';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import { saturationPct, tensionByEquation2MmHg, tensionMmHg } from '../../../core/metrics/dissociation.ts';
import { belowLine } from '../../../core/metrics/value-series.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../builders/case-record.ts';
import type { Cell } from '../../builders/channel.ts';
import { channelAt } from '../../builders/channel.ts';
import { parametersWith } from '../../builders/parameters.ts';
import { check, idsOf } from './check-values.ts';

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

describe('averaging and delay: what a recorded low value can and cannot show', () => {
  const boxcar = (values: readonly number[], window: number) => values.map((_, i) => values.slice(Math.max(0, i - window + 1), i + 1).reduce((a, b) => a + b, 0) / Math.min(i + 1, window));
  for (const id of ['averaging-boxcar-depth', 'averaging-boxcar-full']) {
    check(id, ({ given, expect: wanted, tolerance }) => {
      const truth = Array.from({ length: 120 }, (_, s) => (s >= 60 && s < 60 + given.true_duration_s ? 98 - given.true_drop_pct : 98));
      const shown = boxcar(truth, given.window_s).map((v, s) => [s, v] as const);
      expect(Math.abs(98 - siteOf(shown).hypoxaemia.lowest!.pct - wanted)).toBeLessThanOrEqual(Math.max(tolerance!, 1e-9));
    });
  }

  check('delay-transient-ear-finger', ({ expect: wanted }) => {
    // The same dip at two sites: the lowest values differ by site, and each is reported as its own.
    const dip = (low: number) => [98, 98, 98, low, 98, 98, 98].map((v, i) => [i * 3, v] as const);
    expect([siteOf(dip(wanted.ear_min)).hypoxaemia.lowest!.pct, siteOf(dip(wanted.finger_min)).hypoxaemia.lowest!.pct]).toEqual([wanted.ear_min, wanted.finger_min]);
  });
});

describe('what a dropout may hide', () => {
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
