/*
 * Device hold and the making of stored values against `tests/fixtures/check-values.json` (handbook 3.3 and 3.4): one value a
 * second, recorded once a minute as a median of what there was, or as one instantaneous value.
 */
import { describe, expect } from 'vitest';
import type { ValueMaking } from '../../../core/model/mapping.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../builders/case-record.ts';
import { alternating, regularChannel, type Cell } from '../../builders/channel.ts';
import { parametersWith } from '../../builders/parameters.ts';
import { check } from './check-values.ts';

const MINUTES = 20;

/** Returns the stored minutes of a record at 1 Hz that is lost from `fromS` on for `missingS`, each standing at its minute's start. */
function stored(fromS: number, missingS: number, making: 'snapshot' | 'median'): Cell[] {
  const raw = Array.from({ length: MINUTES * 60 }, (_, s) => (s >= fromS && s < fromS + missingS ? null : 97 + (Math.floor(s / 60) % 2)));
  return Array.from({ length: MINUTES }, (_, minute) => {
    const all = raw.slice(minute * 60, minute * 60 + 60);
    if (making === 'snapshot') return all[0] ?? null;
    const there = all.flatMap((value) => value ?? []).sort((a, b) => a - b);
    return there[Math.floor(there.length / 2)] ?? null;
  });
}

function dropoutsOf(cells: readonly Cell[], valueMaking: ValueMaking, deviceHoldS?: number) {
  const spo2 = { ...regularChannel({ quantity: 'spo2', site: 'finger' }, cells, 60), valueMaking, ...(deviceHoldS === undefined ? {} : { deviceHoldS }) };
  return analyzeCase(caseOf({ channels: [spo2, regularChannel({ quantity: 'heart-rate' }, alternating(60, MINUTES), 60)] }), parametersWith({}), '0').sites[0]!.dropouts;
}

describe('how a minute was made', () => {
  check('recorder-median-hides', ({ given, expect: wanted }) => {
    for (let from = 300; from < 360; from++) {
      const cells = stored(from, given.missing_s, 'median');
      expect(cells.filter((cell) => cell === null)).toHaveLength(wanted.recorded_missing_minutes);
      expect(dropoutsOf(cells, 'median')).toEqual([]);
    }
    // What the bounds rest on: a loss shows only when a whole minute is blank, and then lasted no less than that minute.
    for (let missing = 1; missing <= 240; missing++) {
      for (let from = 300; from < 360; from += 7) {
        const [dropout, ...more] = dropoutsOf(stored(from, missing, 'median'), 'median');
        expect(more).toEqual([]);
        if (dropout === undefined) expect(missing).toBeLessThan(120);
        else {
          expect(dropout.lostMs.low).toBeLessThanOrEqual(missing * 1000);
          expect(dropout.lostMs.high).toBeGreaterThanOrEqual(missing * 1000);
        }
      }
    }
  });

  check('recorder-snapshot', ({ given, expect: wanted, tolerance }) => {
    const seen = Array.from({ length: 60 }, (_, k) => dropoutsOf(stored(300 + k, given.missing_s, 'snapshot'), 'snapshot')).filter((found) => found.length > 0);
    expect(Math.abs(seen.length / 60 - wanted)).toBeLessThanOrEqual(tolerance ?? 0);
    for (const [dropout] of seen) {
      expect(dropout!.lostMs.low).toBeLessThanOrEqual(given.missing_s * 1000);
      expect(dropout!.lostMs.high).toBeGreaterThanOrEqual(given.missing_s * 1000);
    }
  });

  check('hold-typical', ({ expect: heldS }) => {
    const cells = stored(300, 59, 'snapshot');
    const [plain] = dropoutsOf(cells, 'snapshot');
    const [held] = dropoutsOf(cells, 'snapshot', heldS);
    expect(held!.lostMs).toEqual({ ...plain!.lostMs, high: plain!.lostMs.high + heldS * 1000 });
  });
});
