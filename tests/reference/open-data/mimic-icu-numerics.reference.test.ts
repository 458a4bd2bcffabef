/*
 * Contains information from the MIMIC-III Waveform Database, made available under the ODbL v1.0 (see the fixture's README).
 * Source of the figures: tests/fixtures/open-data/mimic-icu-numerics/facts.json (every run of SpO2 = 0 by row) and README.md.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import type { CaseAnalysis, Dropout } from '../../../core/model/analysis.ts';
import { readFacts, readOpenData, type OpenRecord } from './read-open-data.ts';

interface RunOfZero {
  readonly first_lost_row: number;
  readonly last_lost_row: number;
  readonly spo2_before: number | null;
  readonly spo2_after: number | null;
  readonly lost_low_min: number | null;
  readonly lost_mid_min: number | null;
  readonly lost_high_min: number | null;
  readonly rows_with_no_channel_at_all: number;
  readonly kind: 'before first value' | 'between values' | 'after last value';
}
interface Facts {
  readonly rows: number;
  readonly first_nonzero_row: number;
  readonly last_nonzero_row: number;
  readonly spo2_zero_rows: number;
  readonly runs_of_zero: readonly RunOfZero[];
}
const FACTS = readFacts<Record<string, Facts>>('mimic-icu-numerics');
const MINUTE = 60_000;

const RECORDS = [
  { name: 's00001', file: 's00001-numerics-decoded.csv', facts: FACTS['s00001-2896-10-10-00-31n.hea'] as Facts, origin: Date.UTC(2896, 9, 10, 0, 31, 25, 894) },
  { name: 's25047', file: 's25047-numerics-decoded.csv', facts: FACTS['s25047-2704-05-04-10-44n.hea'] as Facts, origin: Date.UTC(2704, 4, 4, 10, 44, 18, 529) },
];

/** Rows in which no channel has a value, as [first, last] runs, counted here from the text itself. */
function emptyRuns(text: string): [number, number][] {
  const rows = text.trim().split('\n').slice(1).map((line) => line.split(',').slice(2));
  const out: [number, number][] = [];
  rows.forEach((cells, row) => {
    if (!cells.every((cell) => cell === '-' || Number(cell) === 0)) return;
    const last = out[out.length - 1];
    if (last !== undefined && last[1] === row - 1) last[1] = row;
    else out.push([row, row]);
  });
  return out;
}

const holds = (d: Dropout, run: RunOfZero): boolean => d.firstLostMs <= run.first_lost_row * MINUTE && d.lastLostMs !== null && d.lastLostMs >= run.last_lost_row * MINUTE;

describe.each(RECORDS)('mimic-icu-numerics $name (open data, ODbL)', ({ name, file, facts, origin }) => {
  let read: OpenRecord;
  let analysis: CaseAnalysis;
  let dropouts: readonly Dropout[];
  beforeAll(async () => {
    read = await readOpenData('mimic-icu-numerics', file);
    analysis = read.analyze();
    dropouts = analysis.sites[0]?.dropouts ?? [];
  });
  const between = facts.runs_of_zero.filter((r) => r.kind === 'between values');

  test('every row is accepted, one a minute, dated in its far year', () => {
    expect(read.report.rows_accepted).toBe(facts.rows);
    expect(read.report.rows_rejected).toBe(0);
    expect(read.record.origin.epochMs).toBe(origin);
    expect(analysis.sites).toHaveLength(1);
    expect(analysis.sites[0]?.intervalMs).toBe(MINUTE);
  });

  test('0 is read as no value: as many samples without SpO2 as facts.json counts', () => {
    const spo2 = read.record.channels.find((c) => c.quantity === 'spo2');
    expect(spo2?.value.filter((v) => Number.isNaN(v))).toHaveLength(facts.spo2_zero_rows);
  });

  test('monitored from the first value to the last', () => {
    expect(analysis.sites[0]?.monitored).toEqual({ startMs: facts.first_nonzero_row * MINUTE, endMs: facts.last_nonzero_row * MINUTE });
  });

  test.each(between.filter((r) => r.rows_with_no_channel_at_all === 0))('rows $first_lost_row to $last_lost_row: $lost_low_min / $lost_mid_min / $lost_high_min min', (run) => {
    const found = dropouts.filter((d) => holds(d, run));
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({
      lastGoodMs: (run.first_lost_row - 1) * MINUTE,
      firstLostMs: run.first_lost_row * MINUTE,
      lastLostMs: run.last_lost_row * MINUTE,
      firstGoodMs: (run.last_lost_row + 1) * MINUTE,
      lostMs: { low: (run.lost_low_min as number) * MINUTE, mid: (run.lost_mid_min as number) * MINUTE, high: (run.lost_high_min as number) * MINUTE },
      spo2Before: run.spo2_before,
      spo2After: run.spo2_after,
    });
    expect(found[0]?.patterns).not.toContain('record gap');
  });

  test('where the recorder stopped for part of a run or all of it, loss and record gap together lie inside the bounds of facts.json', () => {
    for (const run of between.filter((r) => r.rows_with_no_channel_at_all > 0)) {
      const found = dropouts.filter((d) => holds(d, run));
      if (found.length === 0) {
        // Nothing of it was the sensor's: the whole run must be a record gap.
        expect(run.rows_with_no_channel_at_all).toBe(run.last_lost_row - run.first_lost_row + 1);
        continue;
      }
      expect(found).toHaveLength(1);
      expect(found[0]?.patterns).toContain('record gap');
      // A joined dropout holds more than one run of the file.
      const runs = between.filter((r) => holds(found[0] as Dropout, r));
      const total = (of: (r: RunOfZero) => number | null): number => runs.reduce((sum, r) => sum + (of(r) ?? 0), 0) * MINUTE;
      const mid = (found[0]?.lostMs.mid ?? 0) + (found[0]?.recordGapMs.mid ?? 0);
      expect(mid).toBeGreaterThanOrEqual(total((r) => r.lost_low_min));
      expect(mid).toBeLessThanOrEqual(total((r) => r.lost_high_min));
    }
  });

  test('no dropout but those of facts.json', () => {
    for (const d of dropouts) expect(between.filter((r) => holds(d, r)).length, `${d.firstLostMs / MINUTE} min`).toBeGreaterThanOrEqual(1);
  });

  test('every time in which no channel has a value is a record gap, and no other is', () => {
    const lastRow = facts.rows - 1;
    // Rows before the first and after the last row with a value have nothing on one side: the record had not begun, or was over.
    const expected = emptyRuns(read.text).filter(([first, last]) => first > 0 && last < lastRow);
    expect(analysis.recordGaps.map((g) => [g.firstMissingMs / MINUTE, g.lastMissingMs / MINUTE]).filter(([first = 0, last = 0]) => first > 0 && last < lastRow)).toEqual(expected);
    expect(analysis.recordGapsCanBeTold).toBe(true);
  });

  test('the two lost rows at the very end are no dropout, since nothing else went on for more than 5 min', () => {
    expect(dropouts.filter((d) => d.firstLostMs > facts.last_nonzero_row * MINUTE)).toEqual([]);
  });

  if (name === 's00001') {
    test('the runs 591 to 610 and 612 are one dropout: a single good row does not part them', () => {
      const joined = dropouts.filter((d) => d.firstLostMs === 591 * MINUTE);
      expect(joined).toHaveLength(1);
      expect(joined[0]?.lastLostMs).toBe(612 * MINUTE);
      expect(joined[0]?.firstGoodMs).toBe(613 * MINUTE);
      expect(joined[0]?.bridgedMs).toBeGreaterThan(0);
    });

    test('an arterial pressure that is 0 in nearly every row gives next to no values and no pressure before a dropout', () => {
      for (const quantity of ['art-sys', 'art-dia', 'art-mean']) {
        const channel = read.record.channels.find((c) => c.quantity === quantity);
        const values = channel?.value.filter((v) => !Number.isNaN(v)).length ?? 0;
        // README: 0 in 1928 to 1929 of 1936 rows.
        expect([7, 8]).toContain(values);
      }
    });

    test('152 cuff readings, irregular: they take part in no dropout', () => {
      const cuff = read.record.channels.find((c) => c.quantity === 'nibp-sys');
      expect(cuff?.value.filter((v) => !Number.isNaN(v))).toHaveLength(152);
    });
  }
});
