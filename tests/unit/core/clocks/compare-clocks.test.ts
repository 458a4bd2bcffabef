import { describe, expect, it } from 'vitest';
import { compareClocks } from '../../../../core/clocks/compare-clocks.ts';
import type { ClockSource } from '../../../../core/clocks/clock-source.ts';
import type { PartChannel } from '../../../../core/model/case-part.ts';
import type { Quantity } from '../../../../core/model/quantity.ts';
import { MOST_CURVE_POINTS } from '../../../../core/model/clock-comparison.ts';
import { clockComparisonSchema } from '../../../../core/model/clock-comparison-schema.ts';
import { eventOf } from '../../../builders/event.ts';
import { seededRandom } from '../../../simulator/random.ts';
import { anyDevice, makeRate, record } from '../../../simulator/true-clocks.ts';

/*
 * What two devices recorded of one heart, with a clock that is known to be wrong. The offsets are those that were put in;
 * the handbook's words on clocks (10): monitor, record keeper, pump and laboratory differ by seconds to minutes.
 */

function channel(quantity: Quantity, values: readonly (readonly [seconds: number, value: number])[]): PartChannel {
  return {
    quantity, label: quantity, unit: '', site: quantity === 'spo2' ? 'finger' : null, sensor: '', layout: 'long',
    tMs: Float64Array.from(values, ([s]) => s * 1000), value: Float64Array.from(values, ([, v]) => v), mark: new Uint8Array(values.length), line: Uint32Array.from(values, (_, i) => i + 2),
  };
}

function source(sourceIndex: number, name: string, channels: readonly PartChannel[], over: Partial<ClockSource> = {}): ClockSource {
  return { sourceIndex, file: { name, kind: 'trends', clockOffsetMs: 0 }, channels, shiftMs: 0, events: [], ...over };
}

const spo2 = channel('spo2', Array.from({ length: 400 }, (_, i) => [i * 10, 95 + (i % 4)]));

/** Cuff pressures every five minutes, each unlike its neighbours; `late` is what the other clock says too much. */
function cuff(late: number, cutToMinute = false, count = 12): PartChannel[] {
  const at = (i: number): number => {
    const own = 137 + i * 300 + late;
    return cutToMinute ? Math.floor(own / 60) * 60 : own;
  };
  return [
    channel('nibp-sys', Array.from({ length: count }, (_, i) => [at(i), 100 + ((i * 37) % 41)])),
    channel('nibp-dia', Array.from({ length: count }, (_, i) => [at(i), 50 + ((i * 23) % 29)])),
  ];
}

describe('cuff measurements that stand in two sources', () => {
  it('give the offset to the second where both have seconds', () => {
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, ...cuff(0)]), source(1, 'keeper.csv', cuff(95))]);
    expect(own).toMatchObject({ sourceIndex: 1, againstIndex: 0, verdict: 'proposed', offsetMs: -95_000 });
    const [best] = own!.evidence;
    expect(best).toMatchObject({ method: 'measurements', n: 12, nOf: 12, peak: 1, atPresent: 0, offsetMs: -95_000, lowMs: -96_000, highMs: -94_000, reason: null });
    expect(own!.words).toContain('12 of 12 cuff measurements are found again at −95 s, between −96 s and −94 s');
  });

  it('give limits that hold the truth where one clock writes whole minutes, however they came about', () => {
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, ...cuff(0)]), source(1, 'keeper.csv', cuff(200, true))]);
    const [best] = own!.evidence;
    expect(own?.verdict).toBe('proposed');
    expect(best!.lowMs!).toBeLessThanOrEqual(-200_000);
    expect(best!.highMs!).toBeGreaterThanOrEqual(-200_000);
    expect(best!.highMs! - best!.lowMs!).toBeLessThanOrEqual(120_000);
  });

  it('agree where they stand at the same times', () => {
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, ...cuff(0)]), source(1, 'keeper.csv', cuff(0))]);
    expect(own).toMatchObject({ verdict: 'agrees', offsetMs: null });
    expect(own!.words).toContain('the clock agrees as it is');
  });

  it('are told from rows that carry the last measurement on', () => {
    const carried = (late: number, of: 'nibp-sys' | 'nibp-dia'): PartChannel => {
      const [sys, dia] = cuff(0);
      const own = of === 'nibp-sys' ? sys! : dia!;
      return channel(of, Array.from({ length: 360 }, (_, i) => [140 + i * 10, own.value[Math.min(11, Math.floor((i * 10) / 300))]!] as const).map(([s, v]) => [s + late, v]));
    };
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, ...cuff(0)]), source(1, 'keeper.csv', [carried(60, 'nibp-sys'), carried(60, 'nibp-dia')])]);
    expect(own).toMatchObject({ verdict: 'proposed' });
    expect(Math.abs((own!.evidence[0]!.offsetMs ?? 0) + 63_000)).toBeLessThanOrEqual(10_000);
  });

  it('are too few when three are found, and say nothing when another offset finds as many', () => {
    const [few] = compareClocks([source(0, 'monitor.csv', [spo2, ...cuff(0, false, 3)]), source(1, 'keeper.csv', cuff(95, false, 3))]);
    expect(few?.verdict).toBe('cannot be told');
    expect(few?.words).toContain('only 3 cuff measurements are found in both');
    const same = (late: number): PartChannel[] => [channel('nibp-sys', Array.from({ length: 12 }, (_, i) => [i * 300 + late, 120 - (i % 2)])), channel('nibp-dia', Array.from({ length: 12 }, (_, i) => [i * 300 + late, 70 + (i % 2)]))];
    const [alike] = compareClocks([source(0, 'monitor.csv', [spo2, ...same(0)]), source(1, 'keeper.csv', same(95))]);
    expect(alike?.words).toContain('another offset finds nearly as many');
  });
});

describe('rates of two devices', () => {
  const random = seededRandom(4);
  const rate = makeRate(random, 7200);
  const monitor = record(random, rate, anyDevice(random, 'heart-rate', 10, 7200, 0));
  const keeper = (aheadS: number): PartChannel => record(seededRandom(9), rate, anyDevice(seededRandom(9), 'pulse-rate', 10, 7200, aheadS));

  it('give an offset with its limits, correlation at the peak and at present, and a curve that a picture can show', () => {
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, monitor]), source(1, 'keeper.csv', [keeper(130)])]);
    expect(own).toMatchObject({ verdict: 'proposed', againstIndex: 0 });
    const [best] = own!.evidence;
    expect(best!.lowMs!).toBeLessThanOrEqual(-130_000);
    expect(best!.highMs!).toBeGreaterThanOrEqual(-130_000);
    expect(best!.peak!).toBeGreaterThan(0.5);
    expect(best!.atPresent!).toBeLessThan(best!.peak! - 0.15);
    expect(best!.curve.length).toBeGreaterThan(100);
    expect(best!.curve.length).toBeLessThanOrEqual(MOST_CURVE_POINTS);
    expect(best!.curve.map(([at]) => at)).toEqual([...best!.curve.map(([at]) => at)].sort((a, b) => a - b));
    expect(clockComparisonSchema.parse(JSON.parse(JSON.stringify(own)))).toEqual(own);
  });

  it('the whole offset is proposed where one is set already, and the proposal set brings agreement', () => {
    const set = { file: { name: 'keeper.csv', kind: 'trends' as const, clockOffsetMs: -60_000 }, shiftMs: -60_000 };
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, monitor]), source(1, 'keeper.csv', [keeper(130)], set)]);
    expect(own!.evidence[0]!.lowMs!).toBeLessThanOrEqual(-130_000);
    expect(own!.evidence[0]!.highMs!).toBeGreaterThanOrEqual(-130_000);
    const offsetMs = own!.offsetMs!;
    const [after] = compareClocks([source(0, 'monitor.csv', [spo2, monitor]), source(1, 'keeper.csv', [keeper(130)], { file: { ...set.file, clockOffsetMs: offsetMs }, shiftMs: offsetMs })]);
    expect(after).toMatchObject({ verdict: 'agrees', offsetMs: null });
  });

  it('of which one never changes cannot tell anything', () => {
    const paced = channel('pulse-rate', Array.from({ length: 700 }, (_, i) => [i * 10, 70]));
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, monitor]), source(1, 'keeper.csv', [paced])]);
    expect(own?.verdict).toBe('cannot be told');
  });

  it('charted every five minutes are too seldom', () => {
    const charted = channel('pulse-rate', Array.from({ length: 40 }, (_, i) => [i * 300, 60 + ((i * 7) % 13)]));
    const [own] = compareClocks([source(0, 'monitor.csv', [spo2, monitor]), source(1, 'keeper.csv', [charted])]);
    expect(own?.words).toContain('values every 5 min show too little of the course');
  });
});

describe('SpO2', () => {
  const values = (lateS: number, change: (v: number, i: number) => number): PartChannel => {
    const random = seededRandom(2);
    let level = 97;
    return channel('spo2', Array.from({ length: 500 }, (_, i) => {
      level = Math.max(88, Math.min(100, level + 0.5 * random.normal()));
      return [i * 10 + lateS, change(Math.round(level), i)];
    }));
  };

  it('recorded twice, value for value, tells clocks apart', () => {
    const [own] = compareClocks([source(0, 'a.csv', [values(0, (v) => v), channel('heart-rate', [])]), source(1, 'b.csv', [values(40, (v) => v)])]);
    expect(own).toMatchObject({ verdict: 'proposed', offsetMs: -40_000 });
  });

  it('of another sensor does not: sites come late by different times', () => {
    const [own] = compareClocks([source(0, 'a.csv', [values(0, (v) => v)]), source(1, 'b.csv', [values(40, (v, i) => v - 2 + (i % 2))])]);
    expect(own?.verdict).toBe('cannot be told');
    expect(own?.words).toContain('SpO2 of two sensors comes late by different times');
  });
});

describe('sources with nothing in common', () => {
  it('cannot be told, and a single event about the sensor is a hint and no proposal', () => {
    const events = [eventOf({ kind: 'sensor on', atS: 80 })];
    const [own] = compareClocks([source(0, 'trends.csv', [spo2]), source(1, 'events.csv', [], { events })]);
    expect(own).toMatchObject({ verdict: 'cannot be told', againstIndex: null, offsetMs: null, evidence: [] });
    expect(own!.words).toContain('nothing in events.csv was recorded by another source as well');
    expect(own!.words).toContain('80 s after the first SpO2 of trends.csv');
  });

  it('one source has nothing to be compared with', () => {
    expect(compareClocks([source(0, 'trends.csv', [spo2])])).toEqual([]);
  });

  it('a third source is held against the second where only they share something', () => {
    const random = seededRandom(6);
    const rate = makeRate(random, 7200);
    const gas = (late: number): PartChannel => channel('etco2', Array.from({ length: 700 }, (_, i) => [i * 10 + late, Math.round((30 + (rate[i * 10] ?? 70) / 4) * 10) / 10]));
    const found = compareClocks([
      source(0, 'monitor.csv', [spo2, record(random, rate, anyDevice(random, 'heart-rate', 10, 7200, 0))]),
      source(1, 'keeper.csv', [record(random, rate, anyDevice(random, 'heart-rate', 10, 7200, 0)), gas(0)]),
      source(2, 'ventilator.csv', [gas(-70)]),
    ]);
    expect(found.map(({ sourceIndex, againstIndex, verdict }) => [sourceIndex, againstIndex, verdict])).toEqual([[1, 0, 'agrees'], [2, 1, 'proposed']]);
    expect(Math.abs(found[1]!.offsetMs! - 70_000)).toBeLessThanOrEqual(2000);
  });
});
