import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Channel } from '../../core/model/channel.ts';
import { QUANTITIES } from '../../core/model/quantity.ts';
import { SITES } from '../../core/model/site.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { buildCaseAnalysis, buildCaseRecord } from '../builders/stored-case.ts';

const sample = fc.record({
  step: fc.integer({ min: 1, max: 60_000 }),
  value: fc.oneof(fc.double(), fc.constant(Number.NaN)),
  mark: fc.integer({ min: 0, max: 15 }),
  line: fc.integer({ min: 1, max: 4_294_967_295 }),
});

const channel: fc.Arbitrary<Channel> = fc
  .record({
    channelId: fc.string(),
    quantity: fc.constantFrom(...QUANTITIES),
    label: fc.string({ unit: 'binary' }),
    unit: fc.string(),
    site: fc.option(fc.constantFrom(...SITES)),
    sensor: fc.string(),
    sourceIndex: fc.nat(5),
    layout: fc.constantFrom('wide' as const, 'long' as const),
    samples: fc.array(sample, { maxLength: 60 }),
  })
  .map(({ samples, ...rest }) => {
    let at = 0;
    const tMs = Float64Array.from(samples, (s) => (at += s.step));
    return {
      ...rest,
      tMs,
      value: Float64Array.from(samples, (s) => s.value),
      mark: Uint8Array.from(samples, (s) => s.mark),
      line: Uint32Array.from(samples, (s) => s.line),
    };
  });

test('saving then opening gives an equal case, whatever the texts and samples', () => {
  fc.assert(
    fc.property(fc.array(channel, { maxLength: 6 }), fc.string({ unit: 'binary' }), fc.dictionary(fc.string().filter((key) => key !== '__proto__'), fc.string()), (channels, caseId, attributes) => {
      const record = buildCaseRecord({ channels, caseId, attributes: { ...attributes } });
      const bytes = encodeCase(record, buildCaseAnalysis());
      const decoded = decodeCase(bytes);
      expect(decoded).toEqual({ ok: true, value: { record, analysis: buildCaseAnalysis() } });
      expect(encodeCase(record, buildCaseAnalysis())).toEqual(bytes);
    }),
  );
});

test('random bytes never throw and are never taken for a case', () => {
  const good = encodeCase(buildCaseRecord(), null);
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 400 }), fc.nat(good.length - 1), (noise, at) => {
      expect(decodeCase(noise).ok).toBe(false);
      const spoiled = good.slice();
      spoiled.set(noise.subarray(0, spoiled.length - at), at);
      const result = decodeCase(spoiled);
      if (result.ok) expect(spoiled).toEqual(good);
    }),
  );
});
