import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { ValueMaking } from '../../core/model/mapping.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { caseOf } from '../builders/case-record.ts';
import { alternating, regularChannel, type Cell } from '../builders/channel.ts';
import { parametersWith } from '../builders/parameters.ts';

/* The truth is made here, second by second, and recorded in each of the ways that the page docs/methods/value-making.md names. */

const SECONDS = 1800;

interface Truth {
  /** Value at each second, null where the sensor gave none. */
  readonly raw: readonly (number | null)[];
  readonly lostS: number;
}

const truth = fc.record({ from: fc.integer({ min: 400, max: 1000 }), lasted: fc.integer({ min: 1, max: 400 }), steps: fc.array(fc.integer({ min: 5, max: 200 }), { minLength: 30, maxLength: 60 }) }).map(({ from, lasted, steps }): Truth => {
  const raw: (number | null)[] = [];
  let value = 97;
  let left = steps[0] ?? 60;
  let k = 0;
  for (let s = 0; s < SECONDS; s++) {
    if (left === 0) {
      k += 1;
      value = 94 + ((value - 94 + 1 + (k % 3)) % 6);
      left = steps[k % steps.length] ?? 60;
    }
    left -= 1;
    raw.push(s >= from && s < from + lasted ? null : value);
  }
  return { raw, lostS: lasted };
});

/** Returns what a recorder stores once every `everyS`, standing for the time before its stamp or after it. */
function record({ raw }: Truth, making: ValueMaking, everyS: number, isStampAtEnd: boolean, carryS: number): Cell[] {
  const cells: Cell[] = [];
  for (let at = everyS; at < SECONDS - everyS; at += everyS) {
    const from = isStampAtEnd ? at - everyS + 1 : at;
    const there = raw.slice(from, from + everyS).flatMap((value) => value ?? []).sort((a, b) => a - b);
    if (making === 'mean') cells.push(there.length === 0 ? null : there.reduce((sum, value) => sum + value, 0) / there.length);
    else if (making === 'median') cells.push(there[Math.floor(there.length / 2)] ?? null);
    else if (making === 'hold') cells.push(raw.slice(Math.max(0, at - carryS), at + 1).findLast((value) => value !== null) ?? null);
    else cells.push(raw[at] ?? null);
  }
  return cells;
}

test.each(['snapshot', 'mean', 'median', 'hold'] as const)('one loss recorded as %s lies within its bounds, to one value of the device', (valueMaking) => {
  let nSeen = 0;
  fc.assert(
    fc.property(truth, fc.constantFrom(5, 10, 30, 60), fc.boolean(), fc.integer({ min: 0, max: 90 }), fc.boolean(), (made, everyS, isStampAtEnd, carryS, isCarryStated) => {
      const cells = record(made, valueMaking, everyS, isStampAtEnd, carryS);
      const spo2 = { ...regularChannel({ quantity: 'spo2', site: 'finger' }, cells, everyS), valueMaking, ...(valueMaking === 'hold' && isCarryStated ? { deviceHoldS: carryS } : {}) };
      const heart = regularChannel({ quantity: 'heart-rate' }, alternating(60, cells.length), everyS);
      // The rule of held displays is not in question here.
      const { dropouts } = analyzeCase(caseOf({ channels: [spo2, heart] }), parametersWith({ minDurationS: 0, heldS: 86_400 }), '0').sites[0]!;
      expect(dropouts.length).toBeLessThanOrEqual(1);
      const [dropout] = dropouts;
      if (dropout === undefined) return;
      nSeen += 1;
      const { low, mid, high } = dropout.lostMs;
      expect(low).toBeLessThanOrEqual(made.lostS * 1000 + 1000);
      expect(high).toBeGreaterThanOrEqual(made.lostS * 1000 - 1000);
      expect(low <= mid && mid <= high).toBe(true);
    }),
    { seed: 20_261_127, numRuns: 300 },
  );
  expect(nSeen).toBeGreaterThan(100);
});
