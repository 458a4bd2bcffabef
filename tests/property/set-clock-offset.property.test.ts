import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { setClockOffset } from '../../core/pipeline/set-clock-offset.ts';
import { importTexts } from '../builders/import-text.ts';

/*
 * A clock set on a stored case, its files gone, must give the very case that an import of the files with that offset gives;
 * set back, the very bytes that were stored before. Held for dated files, clock times without a date, elapsed times,
 * a second trend file that continues, repeats or contradicts the first, and a case list.
 */

/** One character for each byte: a difference in text is quicker to see than one in numbers. */
function textOf(bytes: Uint8Array): string {
  return new TextDecoder('latin1').decode(bytes);
}

const START_MS = Date.UTC(2031, 2, 4, 22, 50);

type Stamp = 'dated' | 'offset' | 'clock' | 'elapsed';

function stampOf(kind: Stamp, seconds: number): string {
  const iso = new Date(START_MS + seconds * 1000).toISOString();
  switch (kind) {
    case 'dated':
      return iso.slice(0, 19).replace('T', ' ');
    case 'offset':
      return `${iso.slice(0, 19)}+00:00`;
    case 'clock':
      return iso.slice(11, 19);
    case 'elapsed':
      return String(seconds);
  }
}

interface Given {
  readonly trendStamp: Stamp;
  readonly entryStamp: Stamp;
  readonly values: readonly number[];
  readonly second: { readonly startS: number; readonly isSame: boolean } | null;
  readonly eventsS: readonly number[];
  readonly drugsS: readonly number[];
  readonly zone: string | null;
}

const given: fc.Arbitrary<Given> = fc.record({
  trendStamp: fc.constantFrom<Stamp>('dated', 'dated', 'offset', 'clock', 'elapsed'),
  entryStamp: fc.constantFrom<Stamp>('dated', 'dated', 'offset', 'clock', 'elapsed'),
  values: fc.array(fc.integer({ min: 85, max: 100 }), { minLength: 20, maxLength: 60 }),
  second: fc.option(fc.record({ startS: fc.integer({ min: -300, max: 900 }), isSame: fc.boolean() })),
  eventsS: fc.array(fc.integer({ min: 0, max: 8000 }), { minLength: 1, maxLength: 5 }),
  drugsS: fc.array(fc.integer({ min: 0, max: 8000 }), { minLength: 1, maxLength: 5 }),
  zone: fc.constantFrom(null, 'UTC', 'Europe/Berlin'),
});

function filesOf({ trendStamp, entryStamp, values, second, eventsS, drugsS }: Given): Record<string, string> {
  const name = trendStamp === 'elapsed' ? 'elapsed_s' : 'time';
  const entryName = entryStamp === 'elapsed' ? 'elapsed_s' : 'time';
  const trends = (startS: number, add: number): string => [`${name},SpO2,HR`, ...values.map((value, i) => `${stampOf(trendStamp, startS + i * 10)},${i % 9 === 4 ? '---' : Math.min(100, value + add)},${60 + (value % 11)}`)].join('\n');
  const sorted = (times: readonly number[]): number[] => [...times].sort((a, b) => a - b);
  return {
    'c/a-trends.csv': trends(600, 0),
    ...(second === null ? {} : { 'c/b-trends.csv': trends(600 + Math.round(second.startS / 10) * 10, second.isSame ? 0 : 1) }),
    'c/drugs.csv': [`${entryName},drug,dose,unit`, ...sorted(drugsS).map((s) => `${stampOf(entryStamp, s)},phenylephrine,100,mcg`)].join('\n'),
    'c/events.csv': [`${entryName},event`, ...sorted(eventsS).map((s) => `${stampOf(entryStamp, s)},arms tucked`)].join('\n'),
    'c/list.csv': 'case,service\nc,vascular\n',
  };
}

async function imported(texts: Record<string, string>, zone: string | null, offsetsS: Readonly<Record<string, number>>): Promise<CaseRecord> {
  const mapping: Mapping = { schema: 'lacuna-mapping/1', name: 'm', files: Object.entries(offsetsS).map(([fileName, clockOffsetS]) => ({ match: { fileName }, reading: { clockOffsetS } })) };
  const { cases, files } = await importTexts(texts, { mapping, zone });
  const [record] = cases;
  if (record === undefined) throw new Error(JSON.stringify(files));
  return record;
}

function restored(record: CaseRecord): CaseRecord {
  const decoded = decodeCase(encodeCase(record, null));
  if (!decoded.ok) throw new Error(decoded.failure.message);
  return decoded.value.record;
}

function moved(record: CaseRecord, sourceIndex: number, offsetMs: number): CaseRecord {
  const result = setClockOffset(record, sourceIndex, offsetMs, null);
  if (!result.ok) throw new Error(result.failure.message);
  return result.value;
}

const second = fc.oneof(fc.integer({ min: -120, max: 120 }), fc.integer({ min: -90_000, max: 90_000 }), fc.constantFrom(0, -3600, 3600, 0.25));

describe('a clock set on a stored case', () => {
  it('gives the case that an import with that offset gives, byte for byte; set back, the bytes that were stored', async () => {
    await fc.assert(
      fc.asyncProperty(given, fc.array(fc.tuple(fc.nat({ max: 4 }), second), { minLength: 1, maxLength: 3 }), async (files, moves) => {
        const texts = filesOf(files);
        const plain = restored(await imported(texts, files.zone, {}));
        const stored = textOf(encodeCase(plain, null));
        const offsets: Record<string, number> = {};
        let record = plain;
        for (const [pick, offsetS] of moves) {
          const index = pick % record.sources.length;
          offsets[record.sources[index]!.name] = offsetS;
          record = restored(moved(record, index, offsetS * 1000));
        }
        const again = await imported(texts, files.zone, offsets);
        expect(textOf(encodeCase(record, null))).toBe(textOf(encodeCase(again, null)));
        let back = record;
        for (const index of plain.sources.keys()) back = moved(back, index, 0);
        expect(textOf(encodeCase(back, null))).toBe(stored);
        expect(stored).toBe(textOf(encodeCase(await imported(texts, files.zone, {}), null)));
      }),
      { numRuns: 150 },
    );
  });
});
