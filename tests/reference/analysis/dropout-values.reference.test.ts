/*
 * Checks of dropout bounds, sample classes, blind time, links and time below a threshold against values worked out
 * outside the program: `tests/fixtures/check-values.json` (each entry names its source). All expected numbers are read
 * from there; channels are built, not parsed.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../../core/model/analysis.ts';
import type { AnalysisParameters } from '../../../core/model/parameters.ts';
import { DEFAULT_PARAMETERS, DURATION_PRESETS } from '../../../core/model/parameters.ts';
import type { Channel } from '../../../core/model/channel.ts';
import { dropoutTotals } from '../../../core/metrics/dropout-totals.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../builders/case-record.ts';
import { channelAt, regularChannel, repeat } from '../../builders/channel.ts';
import type { Cell } from '../../builders/channel.ts';
import { drugOf } from '../../builders/drug.ts';
import { parametersWith } from '../../builders/parameters.ts';

interface CheckValue {
  readonly id: string;
  // The shape of `given` and `expect` differs from entry to entry; each test reads the fields of its own.
  readonly given: any;
  readonly expect: any;
  readonly tolerance: number | null;
  readonly source: string;
}
const ENTRIES: readonly CheckValue[] = JSON.parse(readFileSync(new URL('../../fixtures/check-values.json', import.meta.url), 'utf8'));

function check(id: string, body: (entry: CheckValue) => void): void {
  const entry = ENTRIES.find((e) => e.id === id);
  if (entry === undefined) throw new Error(`check-values.json has no entry ${id}`);
  it(`${id} — ${entry.source}`, () => body(entry));
}

function analyze(channels: readonly Channel[], changes: Partial<AnalysisParameters> = {}, drugs = [] as ReturnType<typeof drugOf>[]): CaseAnalysis {
  return analyzeCase(caseOf({ channels, drugs }), parametersWith({ minDurationS: 0, ...changes }), '0.0.0');
}

/** A finger channel that is lost at the given seconds and good elsewhere, with an ECG that never fails. */
function withLosses(intervalS: number, lostS: readonly number[], untilS: number, site: 'finger' | 'ear lobe' = 'finger'): Channel[] {
  const seconds = Array.from({ length: Math.round((untilS + 20 * intervalS) / intervalS) + 1 }, (_, i) => (i - 10) * intervalS);
  return [
    channelAt({ quantity: 'spo2', site }, seconds.map((s) => [s, lostS.includes(s) ? '---' : 97] as const)),
    channelAt({ quantity: 'heart-rate' }, seconds.map((s, i) => [s, 60 + (i % 5)] as const)),
  ];
}

function only(a: CaseAnalysis): Dropout {
  const dropouts = a.sites[0]!.dropouts;
  expect(dropouts).toHaveLength(1);
  return dropouts[0]!;
}

const seconds = (range: { low: number; mid: number; high: number }) => ({ low: range.low / 1000, mid: range.mid / 1000, high: range.high / 1000 });

describe('dropout bounds', () => {
  for (const id of ['drop-bounds-10s', 'drop-bounds-single', 'drop-bounds-60s-single']) {
    check(id, ({ given, expect: wanted }) => {
      const intervalS = given.lost_s[0] - given.good_s[0];
      const d = only(analyze(withLosses(intervalS, given.lost_s, given.next_good_s)));
      expect([d.lastGoodMs / 1000, d.firstGoodMs! / 1000]).toEqual([given.good_s[0], given.next_good_s]);
      expect(seconds(d.lostMs)).toEqual(wanted);
    });
  }

  check('drop-bounds-missing-rows', ({ given, expect: wanted }) => {
    const { interval_s: h, last_good_s: from, next_good_s: to } = given;
    const rows = [...Array.from({ length: 10 }, (_, i) => from - (9 - i) * h), ...Array.from({ length: 10 }, (_, i) => to + i * h)];
    const all = Array.from({ length: (to - from) / h + 20 }, (_, i) => from + (i - 9) * h);
    const d = only(
      analyze([
        channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, rows.map((s) => [s, 97] as const)),
        channelAt({ quantity: 'heart-rate', layout: 'long' }, all.map((s, i) => [s, 60 + (i % 5)] as const)),
      ]),
    );
    expect({ first_lost: d.firstLostMs / 1000, last_lost: d.lastLostMs! / 1000, ...seconds(d.lostMs) }).toEqual(wanted);
  });

  check('drop-10min-preset', ({ given, expect: wanted }) => {
    const lost = Array.from({ length: given.lost_samples }, (_, i) => (i + 1) * given.interval_s);
    const channels = withLosses(given.interval_s, lost, (given.lost_samples + 1) * given.interval_s);
    const { low, mid, high } = seconds(only(analyze(channels)).lostMs);
    const counted = analyze(channels, { minDurationS: 600 }).sites[0]!.dropouts.length === 1;
    expect({ low, mid, high, counted_by_mid_at_600: counted }).toEqual(wanted);
    expect(analyze(channels, { minDurationS: 601 }).sites[0]!.dropouts).toEqual([]);
  });

  check('drop-share', ({ given, expect: wanted }) => {
    const lost = (given.mids_s as number[]).map((s) => ({ low: s * 1000, mid: s * 1000, high: s * 1000 }));
    const totals = dropoutTotals(lost, given.monitored_s * 1000);
    expect(totals.lostMs.mid / 1000).toBe(wanted.lost_s);
    expect(totals.shareMid! * 100).toBeCloseTo(wanted.share_pct, 9);
    expect(totals.count / (given.monitored_s / 3600)).toBeCloseTo(wanted.per_hour, 9);
  });

  check('drop-blind-overlap', ({ given, expect: wanted }) => {
    const lostBetween = (x: { fl: number; ll: number }) => Array.from({ length: (x.ll - x.fl) / 10 + 1 }, (_, i) => x.fl + i * 10);
    const [a, heart] = withLosses(10, lostBetween(given.a), 300);
    const [b] = withLosses(10, lostBetween(given.b), 300, 'ear lobe');
    const result = analyze([a!, b!, heart!]);
    expect(result.sites.map((s) => [s.dropouts[0]!.lastGoodMs / 1000, s.dropouts[0]!.firstGoodMs! / 1000])).toEqual([
      [given.a.lg, given.a.fg],
      [given.b.lg, given.b.fg],
    ]);
    expect(result.blind).toHaveLength(1);
    expect(result.blind[0]!.lostMs.low / 1000).toBe(wanted.certain_s);
    expect(result.blind[0]!.lostMs.high / 1000).toBe(wanted.possible_s);
    expect(result.blind[0]!.lostMs.mid / 1000).toBe((wanted.certain_s + wanted.possible_s) / 2);
  });
});

describe('sampling and hold', () => {
  check('sampling-detect-prob', ({ given, expect: wanted, tolerance }) => {
    // Every phase of the sampling against the event, in steps of 0.1 s: in how many is the loss seen at all?
    const phases = given.interval_s * 10;
    let found = 0;
    for (let p = 0; p < phases; p++) {
      const atS = Array.from({ length: 21 }, (_, i) => p / 10 + (i - 10) * given.interval_s);
      const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, atS.map((s) => [s, s >= 0 && s < given.event_s ? '---' : 97] as const));
      found += analyze([spo2]).sites[0]!.dropouts.length;
    }
    expect(Math.abs(found / phases - wanted)).toBeLessThanOrEqual(tolerance!);
  });

  check('sampling-unbiased-total', ({ given, expect: wanted }) => {
    // Mean of lost mid over all phases, missed losses counted as nothing.
    const phases = given.interval_s * 10;
    let total = 0;
    for (let p = 0; p < phases; p++) {
      const atS = Array.from({ length: 21 }, (_, i) => p / 10 + (i - 10) * given.interval_s);
      const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, atS.map((s) => [s, s >= 0 && s < given.event_s ? '---' : 97] as const));
      total += analyze([spo2]).sites[0]!.totals.lostMs.mid / 1000;
    }
    expect(total / phases).toBeCloseTo(wanted, 9);
  });

  for (const id of ['hold-typical', 'hold-iso-update']) {
    check(id, ({ expect: holdS }) => {
      const channels = withLosses(10, [10, 20, 30, 40], 50);
      const plain = only(analyze(channels));
      const held = only(analyze(channels, { deviceHoldS: holdS }));
      expect(held.lostMs).toEqual({ ...plain.lostMs, high: plain.lostMs.high + holdS * 1000 });
      expect(DEFAULT_PARAMETERS.deviceHoldS).toBe(0);
    });
  }
});

describe('classes of a sample', () => {
  check('sentinels', ({ given }) => {
    for (const cell of given.cells as (string | number)[]) {
      // A reader writes text fillers as such; a number that slipped through as a value must be lost all the same.
      const written: Cell = typeof cell === 'number' ? cell : cell === '' ? null : cell.startsWith('0') ? 0 : '---';
      const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, [...repeat(97, 10), ...repeat(written, 5), ...repeat(97, 10)], 10);
      expect(only(analyze([spo2])).lostMs.mid, `cell ${JSON.stringify(cell)}`).toBe(50_000);
    }
  });

  check('pi-minimum', ({ given, expect: wanted }) => {
    expect(wanted).toBe('weak (below 0.3)');
    expect(statusAt(given.pi)).toBe('weak');
  });

  check('pi-desirable', ({ given, expect: wanted }) => {
    const [weak, desirable] = given.thresholds as [number, number];
    expect(DEFAULT_PARAMETERS.weakPerfusionIndex).toBe(weak);
    expect(wanted.below_0_3).toBe('weak');
    expect(statusAt(weak - 0.001)).toBe('weak');
    expect(statusAt(weak)).toBe('good');
    expect(statusAt(desirable)).toBe('good');
  });
});

function statusAt(perfusionIndex: number): string | undefined {
  const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, repeat(97, 20), 10);
  const perfusion = regularChannel({ quantity: 'perfusion-index', site: 'finger' }, repeat(perfusionIndex, 20), 10);
  const { statusCounts } = analyze([spo2, perfusion]).sites[0]!;
  return Object.entries(statusCounts).find(([, n]) => n === 20)?.[0];
}

describe('links', () => {
  for (const id of ['link-possible', 'link-certain']) {
    check(id, ({ given, expect: wanted }) => {
      const h = given.first_lost_s - given.last_good_s;
      const lost = [0, 1, 2, 3].map((i) => given.first_lost_s + i * h);
      const all = Array.from({ length: 200 }, (_, i) => given.last_good_s + (i - 100) * h);
      const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, all.map((s) => [s, lost.includes(s) ? '---' : 97] as const));
      const drug = drugOf({ inn: 'phenylephrine', atS: given.bolus_s });
      const d = only(analyze([spo2], { lookBackBolusS: { other: given.window_s } }, [drug]));
      expect(d.links).toHaveLength(1);
      expect({ certainty: d.links[0]!.certainty, lead_s: d.links[0]!.leadMs / 1000 }).toEqual(wanted);
    });
  }
});

describe('low values', () => {
  check('spo2-time-below', ({ given, expect: wanted, tolerance }) => {
    const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, given.series);
    const below = analyze([spo2]).sites[0]!.below.find((b) => b.thresholdPct === given.threshold)!;
    expect(Math.abs(below.observedMs / 1000 - wanted)).toBeLessThanOrEqual(tolerance!);
  });

  check('spo2-t90-share', ({ given, expect: wanted }) => {
    const series = ENTRIES.find((e) => e.id === 'spo2-time-below')!.given.series;
    const site = analyze([channelAt({ quantity: 'spo2', site: 'finger' }, series)]).sites[0]!;
    expect(site.monitoredMs / 1000).toBe(given.monitored_s);
    expect((site.below[0]!.observedMs / site.monitoredMs) * 100).toBeCloseTo(wanted, 6);
  });

  check('spo2-sensitivity-range', ({ given, expect: wanted }) => {
    const series = ENTRIES.find((e) => e.id === 'spo2-time-below')!.given.series as [number, number][];
    const lostFrom = 420;
    const points: [number, Cell][] = [...series, ...[420, 480, 540, 600].map((s): [number, Cell] => [s, '---']), ...[660, 720].map((s): [number, Cell] => [s, 96])];
    const site = analyze([channelAt({ quantity: 'spo2', site: 'finger' }, points)]).sites[0]!;
    expect(site.dropouts[0]!.firstLostMs / 1000).toBe(lostFrom);
    expect(site.totals.lostMs.mid / 1000).toBe(given.lost_mid_s);
    const below = site.below.find((b) => b.thresholdPct === given.threshold)!;
    expect(below.observedMs / 1000).toBeCloseTo(given.observed_below_s, 6);
    expect({ low: below.lowMs / 1000, high: below.highMs / 1000 }).toEqual(wanted);
  });

  check('recorder-snapshot', ({ given, expect: wanted, tolerance }) => {
    // One instantaneous value a minute: how often does a loss of 59 s leave a blank minute?
    let blank = 0;
    for (let phase = 0; phase < 60; phase++) {
      const atS = Array.from({ length: 21 }, (_, i) => phase + (i - 10) * 60);
      const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, atS.map((s) => [s, s >= 0 && s < given.missing_s ? '---' : 97] as const));
      blank += analyze([spo2]).sites[0]!.dropouts.length;
    }
    expect(Math.abs(blank / 60 - wanted)).toBeLessThanOrEqual(tolerance!);
  });

  check('recorder-median-hides', ({ given, expect: wanted }) => {
    // One median of the available values a minute: a minute is blank only when all of its 60 values are missing.
    const minutes = Array.from({ length: 20 }, (_, minute): [number, Cell] => {
      const available = Array.from({ length: 60 }, (_second, i) => minute * 60 + i).filter((s) => s < 300 || s >= 300 + given.missing_s);
      return [minute * 60, available.length === 0 ? '---' : 97];
    });
    const site = analyze([channelAt({ quantity: 'spo2', site: 'finger' }, minutes)]).sites[0]!;
    expect(site.dropouts).toHaveLength(wanted.recorded_missing_minutes);
  });

  check('fail-preset-thresholds', ({ expect: wanted }) => {
    const secondsOf = (source: RegExp) => DURATION_PRESETS.filter((preset) => source.test(preset.source)).map((preset) => [preset.seconds, preset.rule]);
    expect(secondsOf(/Oh 2024/)).toEqual([[wanted.oh2024_s, 'continuous']]);
    expect(secondsOf(/Anesth Analg 2003;96:11/)).toEqual([[wanted.irita2003_s, 'continuous']]);
    expect(secondsOf(/Reich 1996/)).toEqual([[wanted.reich1996_s, 'continuous']]);
    expect(secondsOf(/Freund 1991/)).toEqual([[wanted.freund1991_s, 'cumulative']]);
  });
});
