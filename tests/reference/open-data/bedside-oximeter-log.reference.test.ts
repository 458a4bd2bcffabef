/*
 * Source: tests/fixtures/open-data/bedside-oximeter-log (Apache-2.0), figures counted in its README:
 * 76 readings at 2 s; 29 "---", 8 noughts with PS; last good 07:19:27, first lost 07:19:29, last lost 07:20:41, first good 07:20:43.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { readOpenData, type OpenRecord } from './read-open-data.ts';

/** First reading: 07:18:43. */
const at = (clock: string): number => {
  const [h = 0, m = 0, s = 0] = clock.split(':').map(Number);
  return ((h * 60 + m) * 60 + s - ((7 * 60 + 18) * 60 + 43)) * 1000;
};

let log: OpenRecord;
beforeAll(async () => {
  log = await readOpenData('bedside-oximeter-log', 'log-2017-12-29.txt');
});

describe('bedside-oximeter-log (open data)', () => {
  test('all 76 readings are accepted and the garbage line is not', () => {
    expect(log.report.failure).toBeNull();
    expect(log.report.kind).toBe('trends');
    expect(log.report.rows_accepted).toBe(76);
    expect(log.report.rows_read).toBe(log.report.rows_accepted + log.report.rows_rejected);
    expect(log.rejectedRows.map((r) => r.line)).toContain(1);
  });

  test('SpO2 has 76 samples 2 s apart, from 29 December 2017, 07:18:43', () => {
    const spo2 = log.record.channels.filter((c) => c.quantity === 'spo2');
    expect(spo2).toHaveLength(1);
    expect(spo2[0]?.tMs).toEqual(Float64Array.from({ length: 76 }, (_, i) => i * 2000));
    expect(log.record.origin.epochMs).toBe(Date.UTC(2017, 11, 29, 7, 18, 43));
    expect(spo2[0]?.value[0]).toBe(99);
    // "89*": the star says that an alarm limit was passed; it is no part of the number.
    expect(spo2[0]?.value[at('07:18:57') / 2000]).toBe(89);
  });

  test.each([10, 30, 60])('one dropout of low 72, mid 74, high 76 s at a minimum of %i s', (minDurationS) => {
    const [site] = log.analyze({ minDurationS }).sites;
    expect(site?.dropouts).toHaveLength(1);
    expect(site?.dropouts[0]).toMatchObject({
      lastGoodMs: at('07:19:27'),
      firstLostMs: at('07:19:29'),
      lastLostMs: at('07:20:41'),
      firstGoodMs: at('07:20:43'),
      lostMs: { low: 72_000, mid: 74_000, high: 76_000 },
      spo2Before: 73,
      spo2After: 94,
      restoredBy: 'same site',
    });
  });

  test('none at a minimum of 2 min', () => {
    expect(log.analyze({ minDurationS: 120 }).sites[0]?.dropouts).toHaveLength(0);
  });

  test('37 samples and the last, which the device itself calls a pulse search, hold no information; none is taken for 0 %', () => {
    const counts = log.analyze().sites[0]?.statusCounts;
    const lost = (counts?.absent ?? 0) + (counts?.implausible ?? 0) + (counts?.flagged ?? 0) + (counts?.held ?? 0);
    expect(lost).toBe(38);
    expect(counts?.implausible).toBe(0);
    expect(counts?.flagged).toBeGreaterThanOrEqual(1);
  });

  test('the log holds nothing but the oximeter, so it cannot tell a stopped recorder, and the result says so', () => {
    expect(log.analyze().recordGapsCanBeTold).toBe(false);
  });
});
