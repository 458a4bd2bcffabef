import { expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { reviewBasisSchema } from '../../../../core/model/review-schema.ts';
import { parametersDigest } from '../../../../core/review/parameters-digest.ts';
import { anchorAt, reviewBasisOf } from '../../../../core/review/review-basis.ts';
import { sha256 } from '../../../builders/review-trail.ts';
import { buildCaseAnalysis, buildCaseRecord, buildDropout } from '../../../builders/stored-case.ts';

const RECORD = buildCaseRecord();
const ORIGIN = RECORD.origin;
const basis = (over: Partial<typeof RECORD> = {}) => reviewBasisOf('key', buildCaseRecord(over), buildCaseAnalysis(), sha256);
const clockOf = (over: Partial<typeof RECORD>) => basis(over).sites[0]?.clock;

test('a basis holds the dropouts of every sensor, what was seen and nothing of the patient, and passes its schema', () => {
  const made = basis();
  const analysis = buildCaseAnalysis();
  const { dropoutId, siteKey, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs } = buildDropout();
  expect(made.sites[0]?.dropouts).toEqual([{ dropoutId, siteKey, number, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs }]);
  expect(made.seen).toEqual({ parametersDigest: parametersDigest(analysis.parameters, sha256), parametersName: analysis.parameters.name, productVersion: analysis.productVersion, inputDigests: analysis.inputDigests });
  expect(reviewBasisSchema.parse(made)).toEqual(made);
});

test('an anchor names the dropout with its instants and its clock; a dropout of another analysis has none', () => {
  const made = basis();
  const { dropoutId, siteKey, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs } = buildDropout();
  expect(anchorAt(made, dropoutId)).toEqual({ siteKey, dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, clock: made.sites[0]?.clock });
  expect(anchorAt(made, 'finger@1')).toBeNull();
});

test('the clock is that of the sensor’s file: what was added to set it is taken off again', () => {
  const epochMs = Date.UTC(2031, 6, 1, 6);
  const zone = 'Europe/Amsterdam'; // two hours east of UTC in July: IANA time zone database
  const source = RECORD.sources[0]!;
  expect(clockOf({ origin: { ...ORIGIN, epochMs, zone } })).toEqual({ kind: 'absolute', wallMs: Date.UTC(2031, 6, 1, 8), epochMs });
  expect(clockOf({ origin: { ...ORIGIN, epochMs, zone }, sources: [{ ...source, clockOffsetMs: 60_000 }] })).toEqual({ kind: 'absolute', wallMs: Date.UTC(2031, 6, 1, 7, 59), epochMs: epochMs - 60_000 });
  expect(clockOf({ origin: { ...ORIGIN, epochMs: null, clock: 'time of day', originOffsetMs: 5000 }, sources: [{ ...source, clockOffsetMs: 60_000 }] })).toEqual({ kind: 'time of day', wallMs: -55_000, epochMs: null });
  // The offset of another file of the case moves this sensor's clock by nothing.
  const channels = RECORD.channels.map((channel) => ({ ...channel, sourceIndex: 1 }));
  expect(clockOf({ origin: { ...ORIGIN, epochMs }, channels, sources: [{ ...source, clockOffsetMs: 60_000 }, source] })?.epochMs).toBe(epochMs);
});

test('the digest of parameters hangs on every rule and not on the name', () => {
  const digest = parametersDigest(DEFAULT_PARAMETERS, sha256);
  expect(parametersDigest({ ...DEFAULT_PARAMETERS, name: 'another' }, sha256)).toBe(digest);
  expect(parametersDigest(Object.fromEntries(Object.entries(DEFAULT_PARAMETERS).reverse()) as unknown as typeof DEFAULT_PARAMETERS, sha256)).toBe(digest);
  for (const [name, value] of Object.entries(DEFAULT_PARAMETERS)) {
    if (name === 'name') continue;
    const changed = typeof value === 'number' ? value + 1 : typeof value === 'boolean' ? !value : 'another';
    expect(parametersDigest({ ...DEFAULT_PARAMETERS, [name]: changed }, sha256), name).not.toBe(digest);
  }
});
