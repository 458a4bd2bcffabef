import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { CASE_BYTES_VERSION, decodeCase, decodeForReview, encodeCase } from '../../../../core/persist/case-bytes.ts';
import type { ReviewableCase } from '../../../../core/model/review.ts';
import { reviewBasisOf } from '../../../../core/review/review-basis.ts';
import { buildCaseAnalysis, buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

function decodedOrThrow(bytes: Uint8Array) {
  const result = decodeCase(bytes);
  if (!result.ok) throw new Error(result.failure.message);
  return result.value;
}

describe('a stored case', () => {
  test('comes back equal, NaN and marks included', () => {
    const record = buildCaseRecord();
    const analysis = buildCaseAnalysis();
    expect(decodedOrThrow(encodeCase(record, analysis))).toEqual({ record, analysis });
    expect(decodedOrThrow(encodeCase(record, null)).analysis).toBeNull();
  });

  test('keeps the clock offsets of its files', () => {
    const record = buildCaseRecord();
    const offset = { ...record, sources: record.sources.map((source) => ({ ...source, clockOffsetMs: -90_000 })) };
    expect(decodedOrThrow(encodeCase(offset, null)).record).toEqual(offset);
  });

  test('may have no channel and no sample', () => {
    const record = buildCaseRecord({ channels: [], events: [], drugs: [] });
    expect(decodedOrThrow(encodeCase(record, null)).record).toEqual(record);
    const empty = buildCaseRecord({ channels: [buildChannel([])] });
    expect(decodedOrThrow(encodeCase(empty, null)).record).toEqual(empty);
  });

  test('writes times and lines that channels share only once, whether they are one array or equal copies', () => {
    const values = Array.from({ length: 1000 }, (_, i) => 90 + (i % 10));
    const first = buildChannel(values);
    const sharing = buildChannel(values.map((v) => v / 2), { channelId: 'spo2@toe', site: 'toe', tMs: first.tMs, line: first.line });
    const copying = buildChannel(values.map((v) => v / 2), { channelId: 'spo2@toe', site: 'toe' });
    const alone = encodeCase(buildCaseRecord({ channels: [first] }), null).length;
    // value 8000 bytes; times, lines and marks are those of the first channel; some JSON
    for (const second of [sharing, copying]) {
      const both = encodeCase(buildCaseRecord({ channels: [first, second] }), null);
      expect(both.length - alone).toBeLessThan(8000 + 400);
      const channels = decodedOrThrow(both).record.channels;
      expect(channels[1]!.tMs).toBe(channels[0]!.tMs);
    }
  });

  test('keeps -0 apart from 0 in samples', () => {
    const record = buildCaseRecord({ channels: [buildChannel([0, 1]), buildChannel([-0, 1], { channelId: 'other', quantity: 'other', site: null })] });
    const channels = decodedOrThrow(encodeCase(record, null)).record.channels;
    expect(Object.is(channels[1]!.value[0], -0)).toBe(true);
    expect(Object.is(channels[0]!.value[0], 0)).toBe(true);
  });

  test('is readable from the middle of another buffer', () => {
    const bytes = encodeCase(buildCaseRecord(), null);
    for (const shift of [1, 3, 8]) {
      const host = new Uint8Array(bytes.length + shift);
      host.set(bytes, shift);
      expect(decodedOrThrow(host.subarray(shift)).record).toEqual(buildCaseRecord());
    }
  });

  test('refuses a number that JSON cannot hold', () => {
    const analysis = buildCaseAnalysis([], { bounds: { startMs: 0, endMs: Number.POSITIVE_INFINITY, startFrom: 'first row', endFrom: 'last row' } });
    expect(() => encodeCase(buildCaseRecord(), analysis)).toThrow(/endMs is Infinity/);
  });
});

describe('a case stored by form 1, before clock offsets', () => {
  test('still opens, its files without an offset', () => {
    const bytes = new Uint8Array(readFileSync(new URL('../../../fixtures/stored-cases/form-1.case', import.meta.url)));
    expect(new DataView(bytes.buffer, bytes.byteOffset).getUint32(8, true)).toBe(1);
    expect(decodedOrThrow(bytes).record).toEqual(buildCaseRecord());
  });
});

describe('a case stored by form 2, before it kept what its sources gave', () => {
  test('still opens, its clock offset with it', () => {
    const bytes = new Uint8Array(readFileSync(new URL('../../../fixtures/stored-cases/form-2.case', import.meta.url)));
    expect(new DataView(bytes.buffer, bytes.byteOffset).getUint32(8, true)).toBe(2);
    const record = buildCaseRecord();
    const decoded = decodedOrThrow(bytes).record;
    expect(decoded).toEqual({ ...record, sources: record.sources.map((source) => ({ ...source, clockOffsetMs: -90_000 })) });
    expect(decoded.parts).toBeUndefined();
  });
});

describe('a case stored by form 3, before the making of values and device hold', () => {
  test('still opens, with nothing stated', () => {
    const bytes = new Uint8Array(readFileSync(new URL('../../../fixtures/stored-cases/form-3.case', import.meta.url)));
    expect(new DataView(bytes.buffer, bytes.byteOffset).getUint32(8, true)).toBe(3);
    const { channels, parts } = decodedOrThrow(bytes).record;
    expect(channels).toEqual(buildCaseRecord().channels);
    expect(parts?.[0]?.channels[0]?.valueMaking).toBeUndefined();
  });
});

describe('the making of values and device hold', () => {
  test('come back with the channel', () => {
    const record = buildCaseRecord({ channels: [buildChannel([98, 97], { valueMaking: 'median', deviceHoldS: 10 })] });
    expect(decodedOrThrow(encodeCase(record, null)).record).toEqual(record);
  });
});

describe('what the sources gave', () => {
  test('comes back with arrays shared as they were, and costs no second copy of the values', () => {
    const channel = buildChannel([98, 97, Number.NaN, 96]);
    const { channelId: _id, sourceIndex: _index, ...own } = channel;
    const parts = [{
      clock: 'absolute' as const, mayBeTimeOfDay: false, zone: { name: 'UTC', basis: 'none' as const }, canSwapDayAndMonth: false,
      channels: [{ ...own, tMs: own.tMs.map((t) => t + 1_900_000_000_000) }], eventTimes: [[1_900_000_001_000, null] as const], drugTimes: [[1_900_000_000_500, null] as const],
      nDuplicates: 1, nConflicts: 0, firstConflictLine: null,
    }];
    const record = buildCaseRecord({ channels: [channel], parts });
    const decoded = decodedOrThrow(encodeCase(record, null)).record;
    expect(decoded).toEqual(record);
    expect(decoded.parts?.[0]?.channels[0]?.value).toBe(decoded.channels[0]?.value);
    expect(decodeCase(encodeCase({ ...record, parts: [] }, null)).ok).toBe(false);
  });

  test('keeps the proposal that was accepted', () => {
    const record = buildCaseRecord();
    const acceptedOffset = { against: 'trends.csv', method: 'course' as const, lowMs: 58_000, highMs: 63_000, n: 300, peak: 0.91, atPresent: 0.1 };
    const accepted = { ...record, sources: record.sources.map((source) => ({ ...source, clockOffsetMs: 60_000, acceptedOffset })) };
    expect(decodedOrThrow(encodeCase(accepted, null)).record).toEqual(accepted);
  });
});

describe('a case whose analysis another version of the program wrote', () => {
  test('keeps its record and comes without analysis, to be analysed anew', () => {
    const older = { ...buildCaseAnalysis(), fieldOfAnotherVersion: 1 };
    const decoded = decodeCase(encodeCase(buildCaseRecord(), older));
    expect(decoded.ok && decoded.value.analysis).toBeNull();
    expect(decoded.ok && decoded.value.record.caseId).toBe('case-1');
  });
});

describe('bytes that are not a whole stored case', () => {
  const good = encodeCase(buildCaseRecord(), buildCaseAnalysis());
  const failureOf = (bytes: Uint8Array) => {
    const result = decodeCase(bytes);
    if (result.ok) throw new Error('expected a failure');
    return result.failure;
  };

  test('every cut is told as damage, an empty or foreign file as foreign', () => {
    for (let length = 1; length < good.length; length += 1) expect(failureOf(good.slice(0, length)).code).toBe('case-damaged');
    expect(failureOf(new Uint8Array(0)).code).toBe('case-foreign');
    expect(failureOf(new TextEncoder().encode('time,SpO2\n1,98\n')).code).toBe('case-foreign');
  });

  test('a byte too many is told as damage', () => {
    const longer = new Uint8Array(good.length + 1);
    longer.set(good);
    expect(failureOf(longer).code).toBe('case-damaged');
  });

  test('every single flipped byte is noticed', () => {
    for (let at = 0; at < good.length; at += 1) {
      const copy = good.slice();
      copy[at] = copy[at]! ^ 0x20;
      expect(decodeCase(copy).ok, `byte ${at}`).toBe(false);
    }
  });

  test('a newer form is refused with a remedy', () => {
    const newer = good.slice();
    new DataView(newer.buffer).setUint32(8, CASE_BYTES_VERSION + 1, true);
    expect(failureOf(newer)).toMatchObject({ code: 'case-newer', remedy: expect.stringContaining('newer version') as string });
  });
});

describe('what reviews need of a stored case', () => {
  const basis = (parts: { readonly record: ReviewableCase['record']; readonly analysis: ReviewableCase['analysis'] | null }): unknown => (parts.analysis === null ? null : reviewBasisOf('key', parts.record, parts.analysis, (text) => text));
  const record = buildCaseRecord({ caseId: 'A' });
  const analysis = buildCaseAnalysis();

  test('is what the whole case gives, whichever version wrote its analysis', () => {
    const bytes = encodeCase(record, analysis);
    for (const version of [analysis.productVersion, 'another']) {
      const found = decodeForReview(bytes, version);
      expect(found.ok && basis(found.value)).toEqual(basis(decodedOrThrow(bytes)));
    }
    expect(decodeForReview(encodeCase(record, null), analysis.productVersion)).toMatchObject({ ok: true, value: { analysis: null } });
  });

  test('of an analysis that another version wrote in another shape is nothing, as of the whole case', () => {
    const bytes = encodeCase(record, { ...analysis, exposures: [{ from: 'a later shape' }] as unknown as typeof analysis.exposures, productVersion: 'another' });
    expect(decodedOrThrow(bytes).analysis).toBeNull();
    expect(decodeForReview(bytes, analysis.productVersion)).toMatchObject({ ok: true, value: { analysis: null } });
  });

  test('is never taken from bytes that were cut or changed', () => {
    const bytes = encodeCase(record, analysis);
    for (let at = 0; at < bytes.length; at += 97) {
      const changed = Uint8Array.from(bytes);
      changed[at] = (changed[at] ?? 0) ^ 0x10;
      const [whole, found] = [decodeCase(changed), decodeForReview(changed, analysis.productVersion)];
      expect([at, found.ok]).toEqual([at, whole.ok]);
      expect(decodeForReview(bytes.subarray(0, at), analysis.productVersion)).toEqual(decodeCase(bytes.subarray(0, at)));
    }
  });
});
