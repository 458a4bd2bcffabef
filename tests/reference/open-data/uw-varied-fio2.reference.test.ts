/*
 * Source: tests/fixtures/open-data/uw-varied-fio2 (MIT), figures in its README and facts.json: six recordings at 1 Hz, four sensors
 * with SpO2 in every second, a fifth that was never connected. The right number of dropouts is nought at every minimum.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { DURATION_PRESETS } from '../../../core/model/parameters.ts';
import { readFacts, readOpenData, type OpenRecord } from './read-open-data.ts';

interface Facts {
  readonly rows: number;
  readonly sensors: Readonly<Record<string, { readonly spo2_min: number; readonly spo2_max: number; readonly samples_below_90: number; readonly samples_below_85: number; readonly samples_below_80: number; readonly missing: number }>>;
}
const FACTS = readFacts<Record<string, Facts>>('uw-varied-fio2');
const FILES = Object.keys(FACTS).filter((name) => FACTS[name]?.rows !== undefined);
const WORN = ['1', '2', '4', '5'];

test('facts.json describes the six files', () => {
  expect(FILES).toHaveLength(6);
});

describe.each(FILES)('uw-varied-fio2 %s (open data)', (name) => {
  const facts = FACTS[name] as Facts;
  let read: OpenRecord;
  beforeAll(async () => {
    read = await readOpenData('uw-varied-fio2', `${name}.csv`);
  });

  test('every reading is accepted; the note "Collection Halted" is rejected', () => {
    expect(read.report.failure).toBeNull();
    expect(read.report.rows_accepted).toBe(facts.rows);
    expect(read.report.rows_read).toBe(read.report.rows_accepted + read.report.rows_rejected);
    expect(read.rejectedRows.map((r) => r.row).join('\n')).toContain('Collection Halted');
    expect(read.record.origin.clock).toBe('time of day');
  });

  test('five SpO2 channels, told apart by their number, with the values of facts.json', () => {
    const spo2 = read.record.channels.filter((c) => c.quantity === 'spo2');
    expect(spo2.map((c) => c.sensor).sort()).toEqual(['1', '2', '3', '4', '5']);
    for (const sensor of WORN) {
      const values = [...(spo2.find((c) => c.sensor === sensor)?.value ?? [])];
      const known = facts.sensors[sensor];
      expect(values.filter((v) => Number.isNaN(v))).toHaveLength(known?.missing ?? -1);
      expect(Math.min(...values)).toBe(known?.spo2_min);
      expect(Math.max(...values)).toBe(known?.spo2_max);
      for (const below of [90, 85, 80] as const) expect(values.filter((v) => v < below)).toHaveLength(known?.[`samples_below_${below}`] ?? -1);
    }
  });

  test.each(DURATION_PRESETS.map((p) => p.seconds))('no dropout in the worn sensors at a minimum of %i s', (minDurationS) => {
    const analysis = read.analyze({ minDurationS });
    for (const sensor of WORN) expect(analysis.sites.find((s) => s.sensor === sensor)?.dropouts, `sensor ${sensor}`).toEqual([]);
    expect(analysis.blind).toEqual([]);
    expect(analysis.recordGaps).toEqual([]);
  });

  test('sensor 3, a channel of noughts, was not monitored and has no dropout', () => {
    const site = read.analyze().sites.find((s) => s.sensor === '3');
    expect(site?.monitored).toBeNull();
    expect(site?.notMonitoredReason).not.toBeNull();
    expect(site?.dropouts).toEqual([]);
    expect(site?.monitoredMs).toBe(0);
  });

  test('time below 90, 85 and 80 % agrees with the samples counted, to a second per crossing; nothing was lost, so low = high', () => {
    const analysis = read.analyze();
    for (const sensor of WORN) {
      const site = analysis.sites.find((s) => s.sensor === sensor);
      const values = [...(read.record.channels.find((c) => c.quantity === 'spo2' && c.sensor === sensor)?.value ?? [])];
      expect(site?.below.map((b) => b.thresholdPct)).toEqual([90, 85, 80]);
      for (const below of site?.below ?? []) {
        const counted = values.filter((v) => v < below.thresholdPct).length;
        const crossings = values.slice(1).filter((v, i) => v < below.thresholdPct !== ((values[i] as number) < below.thresholdPct)).length;
        expect(Math.abs(below.observedMs / 1000 - counted)).toBeLessThanOrEqual(crossings);
        expect(below.lowMs).toBe(below.observedMs);
        expect(below.highMs).toBe(below.observedMs);
      }
    }
  });

  test('no value is taken for held (README: nothing stands still for more than 12 s) or for disputed (README: never 10 s in a row)', () => {
    for (const site of read.analyze().sites) {
      expect(site.statusCounts.held, site.siteKey).toBe(0);
      expect(site.statusCounts.disputed, site.siteKey).toBe(0);
    }
  });

  test('status text in unnamed columns does no harm, and a filler of −327.67 is no value', () => {
    const values = read.record.channels.flatMap((c) => [...c.value]);
    expect(values.some((v) => v === -327.67)).toBe(false);
    if (name === '100003') expect(read.text.match(/-327\.67/g)?.length).toBe(5);
  });
});
