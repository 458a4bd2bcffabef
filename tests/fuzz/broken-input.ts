import { expect } from 'vitest';
import { assembleCases, readFile } from '../../core/pipeline/import-files.ts';
import type { ImportOptions } from '../../core/readers/reader.ts';
import type { FileReading } from '../../core/readers/reading.ts';
import { memorySource, plainImport } from '../builders/byte-source.ts';
import { seededRandom, type Random } from '../simulator/random.ts';

/** How many inputs each target is given; `npm test` runs few, a release runs 10,000 (docs/testing.md). */
export const RUNS = Number(process.env['LACUNA_FUZZ_RUNS'] ?? 200);
export const FIRST_SEED = Number(process.env['LACUNA_FUZZ_FIRST'] ?? 1);
/** No input of a target is longer than this, so none may take long. */
const MAX_BYTES = 400_000;
const MAX_MS = 10_000;
const MAX_REPORT_CHARS = 2_000_000;

const JUNK: readonly string[] = ['\u0000', '\u0000\u0000\u0000', '\ufeff', '\u202e', '\u2066', '"', '\\', '{', '[', ']', '}', '<', '&', '|', '^', '~', '\r', '\n', '\u000b', '\u001c', '\u0014\u0000', '1e999', '-1', '99999999999999999999', 'NaN', '__proto__', '=1+1', '\ud800'];
const encoder = new TextEncoder();

function spliced(bytes: Uint8Array, at: number, remove: number, insert: Uint8Array): Uint8Array {
  const out = new Uint8Array(bytes.length - remove + insert.length);
  out.set(bytes.subarray(0, at));
  out.set(insert, at);
  out.set(bytes.subarray(at + remove), at + insert.length);
  return out;
}

/** Breaks an input in one to six places: cut off, bytes changed, stretches removed, doubled, moved, repeated, junk put in. */
export function broken(random: Random, whole: Uint8Array): Uint8Array {
  let bytes: Uint8Array = whole.slice(0, MAX_BYTES);
  for (let n = random.int(1, 6); n > 0 && bytes.length > 0; n -= 1) {
    const at = random.int(0, bytes.length - 1);
    const length = Math.min(random.int(1, random.chance(0.2) ? 2000 : 12), bytes.length - at);
    const stretch = bytes.slice(at, at + length);
    switch (random.int(0, 8)) {
      case 0:
        bytes = bytes.slice(0, at);
        break;
      case 1:
        bytes[at] = random.int(0, 255);
        break;
      case 2:
        bytes = spliced(bytes, at, length, new Uint8Array(0));
        break;
      case 3:
        bytes = spliced(bytes, at, 0, stretch);
        break;
      case 4:
        bytes = spliced(bytes, random.int(0, bytes.length), 0, stretch);
        break;
      case 5:
        bytes = spliced(bytes, at, random.chance(0.5) ? length : 0, encoder.encode(random.pick(JUNK)));
        break;
      case 6: {
        const times = random.int(2, 200);
        const repeated = new Uint8Array(Math.min(stretch.length * times, MAX_BYTES));
        for (let i = 0; i < repeated.length; i += 1) repeated[i] = stretch[i % stretch.length] ?? 0;
        bytes = spliced(bytes, at, 0, repeated);
        break;
      }
      case 7:
        bytes = spliced(bytes, at, 0, Uint8Array.from({ length }, () => random.int(0, 255)));
        break;
      default:
        bytes = spliced(bytes, at, 0, encoder.encode(random.pick(['{"a":', '[', '<x>']).repeat(random.int(1, 3000))));
    }
  }
  return bytes.slice(0, MAX_BYTES);
}

/** Throws unless what was read keeps every promise of a reader, however broken the input was. */
export function expectSound(readings: readonly FileReading[]): void {
  expect(readings.length).toBeGreaterThan(0);
  for (const { report, rejectedRows, cases } of readings) {
    expect(report.rows_read).toBe(report.rows_accepted + report.rows_rejected);
    expect(report.rejected.reduce((sum, group) => sum + group.count, 0)).toBe(report.rows_rejected);
    expect(rejectedRows.length).toBeLessThanOrEqual(report.rows_rejected);
    if (report.failure !== null) {
      expect(report.failure.message.length).toBeGreaterThan(10);
      expect(report.failure.remedy ?? '').not.toBe('');
    }
    for (const { channels, events, drugs } of cases) {
      for (const { tMs, value, mark, line } of channels) {
        expect([value.length, mark.length, line.length]).toEqual([tMs.length, tMs.length, tMs.length]);
        for (let i = 0; i < tMs.length; i += 1) if (!Number.isFinite(tMs[i]) || (i > 0 && !((tMs[i] ?? 0) > (tMs[i - 1] ?? 0)))) throw new Error(`time ${i} does not rise`);
        for (const v of value) if (!Number.isNaN(v) && !Number.isFinite(v)) throw new Error('a value that is not finite');
      }
      for (const { tMs } of [...events, ...drugs]) if (!Number.isFinite(tMs)) throw new Error('an entry without a time');
    }
  }
  expect(JSON.stringify(readings.map(({ report }) => report)).length).toBeLessThan(MAX_REPORT_CHARS);
}

/** Gives a reader `RUNS` inputs, broken by `mangle` (a maker that breaks its own, such as what lies inside an archive, leaves some whole); a failure names its seed. `optionsOf`: what is stated for an input. */
export async function runFuzz(path: string, make: (random: Random) => Uint8Array, mangle: (random: Random, bytes: Uint8Array) => Uint8Array = broken, optionsOf: (random: Random) => Partial<ImportOptions> = () => ({})): Promise<void> {
  for (let seed = FIRST_SEED; seed < FIRST_SEED + RUNS; seed += 1) {
    const random = seededRandom(seed);
    const bytes = mangle(random, make(random));
    const started = performance.now();
    try {
      const readings = await readFile(memorySource(path, bytes, random.pick([61, 997, 65_536])), plainImport(optionsOf(random)));
      expectSound(readings);
      assembleCases(readings, plainImport());
      const tookMs = performance.now() - started;
      if (tookMs > MAX_MS) throw new Error(`took ${Math.round(tookMs)} ms`);
    } catch (error) {
      throw new Error(`seed ${seed}, ${bytes.length} bytes: ${error instanceof Error ? error.message : String(error)}`, { cause: error });
    }
  }
}
