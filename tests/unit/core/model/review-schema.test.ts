import { describe, expect, test } from 'vitest';
import type { ReviewAnchor } from '../../../../core/model/review.ts';
import { VERDICTS } from '../../../../core/model/review.ts';
import { isCaseBody, judgementSchema, queueOrderSchema, readerNameSchema, sealedEntrySchema, trailEntrySchema, VERDICT_NAMES } from '../../../../core/model/review-schema.ts';
import { anchorOf, digestOf, dropoutOf, LOSS, SEEN, TrailBuilder, verdictBody } from '../../../builders/review-trail.ts';

const reads = (schema: { safeParse: (value: unknown) => { success: boolean } }, value: unknown): boolean => schema.safeParse(value).success;

test('the verdicts are offered in the order in which they stand', () => {
  expect(VERDICT_NAMES).toEqual(Object.keys(VERDICTS));
  expect(VERDICT_NAMES.at(-1)).toBe('cannot tell');
});

describe('a judgement', () => {
  test('has a certainty with every verdict but cannot tell', () => {
    for (const verdict of VERDICT_NAMES) {
      expect(reads(judgementSchema, { ...LOSS, verdict, certainty: 'possible' }), verdict).toBe(verdict !== 'cannot tell');
      expect(reads(judgementSchema, { ...LOSS, verdict, certainty: null }), verdict).toBe(verdict === 'cannot tell');
    }
  });

  test('takes a note over several lines and refuses one without end, an unknown field and an unknown word', () => {
    expect(reads(judgementSchema, { ...LOSS, note: 'first line\nsecond' })).toBe(true);
    expect(reads(judgementSchema, { ...LOSS, note: 'x'.repeat(10_001) })).toBe(false);
    expect(reads(judgementSchema, { ...LOSS, mood: 'sure' })).toBe(false);
    expect(reads(judgementSchema, { ...LOSS, verdict: 'artefact' })).toBe(false);
    expect(reads(judgementSchema, { ...LOSS, certainty: 'sure' })).toBe(false);
  });

  test('takes half-open bounds only whole', () => {
    const bounds = { lastGoodMs: 0, firstLostMs: 1, lastLostMs: 2, firstGoodMs: 3 };
    expect(reads(judgementSchema, { ...LOSS, correctedBounds: bounds })).toBe(true);
    expect(reads(judgementSchema, { ...LOSS, correctedBounds: { ...bounds, lastLostMs: null, firstGoodMs: null } })).toBe(true);
    expect(reads(judgementSchema, { ...LOSS, correctedBounds: { ...bounds, firstGoodMs: null } })).toBe(false);
  });
});

describe('a reader’s name', () => {
  test.each(['A', 'Dr. Ž. O’Neill-Łuk', '山田', 'x'.repeat(60), 'Reader (night)'])('takes %j', (name) => expect(reads(readerNameSchema, name)).toBe(true));
  test.each(['', ' ', ' A', 'A ', 'A\nB', 'A\u2028B', 'A\u0000', 'x'.repeat(61), 'A. Reader (received, key 01234567)', 'A (Received'])('refuses %j', (name) => expect(reads(readerNameSchema, name)).toBe(false));
});

describe('an entry', () => {
  const trail = new TrailBuilder();
  trail.add('A. Reader', verdictBody(dropoutOf(100, 200)));
  const CASE = { caseKey: 'key-1', caseId: '' } as const;
  trail.add('A. Reader', { kind: 'taken back', ...CASE, supersedes: trail.sealed[0]!.entry.entryId });
  trail.add('A. Reader', { kind: 'flags', ...CASE, flags: ['record not usable', 'exclude from figures'], note: '', seen: SEEN });
  trail.add('A. Reader', { kind: 'revealed', ...CASE });
  trail.add('A. Reader', { kind: 'case read', ...CASE, unread: 0 });
  trail.add('A. Reader', { kind: 'act', act: 'case removed', caseKey: 'key-1', detail: '' });
  trail.receive(trail.sealed.slice(0, 1), digestOf('key'));

  test.each(trail.sealed.map((sealed) => [sealed.entry.kind, sealed] as const))('of kind %s is read as it stands, and not with a field more or less', (_kind, sealed) => {
    expect(sealedEntrySchema.parse(sealed)).toEqual(sealed);
    expect(reads(trailEntrySchema, { ...sealed.entry, more: 1 })).toBe(false);
    for (const field of Object.keys(sealed.entry)) {
      const { [field as keyof typeof sealed.entry]: _left, ...rest } = sealed.entry;
      expect(reads(trailEntrySchema, rest), field).toBe(false);
    }
  });

  const [first] = trail.sealed;
  test.each<[string, object]>([
    ['place 0', { place: 0 }], ['a place between two', { place: 1.5 }], ['another’s hash form', { previous: 'abc' }], ['an id in capitals', { entryId: 'A'.repeat(32) }],
    ['a local time', { at: '2031-03-04T08:00:00+01:00' }], ['no time', { at: 'yesterday' }], ['an unknown kind', { kind: 'opinion' }], ['an unknown role', { role: 'leader' }],
    ['a superseded something', { supersedes: 'the one before' }],
  ])('with %s is refused', (_what, over) => {
    expect(reads(trailEntrySchema, { ...first?.entry, ...over })).toBe(false);
  });

  test('a loss of an anchor ends once: where information came back, or where the count ends', () => {
    const anchored = (over: Partial<ReviewAnchor>) => reads(trailEntrySchema, { ...first?.entry, anchor: { ...anchorOf(dropoutOf(100, 200)), ...over } });
    expect(anchored({})).toBe(true);
    expect(anchored({ lastLostMs: null, firstGoodMs: null, censoredAtMs: 300_000 })).toBe(true);
    expect(anchored({ censoredAtMs: 300_000 })).toBe(false);
    expect(anchored({ lastLostMs: null, firstGoodMs: null })).toBe(false);
    expect(anchored({ lastLostMs: null, censoredAtMs: 300_000 })).toBe(false);
    expect(anchored({ firstLostMs: Infinity })).toBe(false);
  });

  test('what was received holds no received entry and no act', () => {
    const received = trail.sealed[6]!.entry;
    expect(reads(trailEntrySchema, received)).toBe(true);
    expect(reads(trailEntrySchema, { ...received, entry: received })).toBe(false);
    expect(reads(trailEntrySchema, { ...received, entry: trail.sealed[5]!.entry })).toBe(false);
  });

  test('flags stand once each', () => {
    expect(reads(trailEntrySchema, { ...trail.sealed[2]?.entry, flags: ['worth discussing', 'worth discussing'] })).toBe(false);
  });

  test('what is about one case’s reading is told apart from acts and what was received', () => {
    expect(trail.sealed.map(({ entry }) => isCaseBody(entry))).toEqual([true, true, true, true, true, false, false]);
  });
});

test('a sample has a seed of 32 bits and a size', () => {
  expect(reads(queueOrderSchema, { kind: 'random sample', seed: 0xffffffff, size: 1 })).toBe(true);
  for (const over of [{ seed: -1 }, { seed: 2 ** 32 }, { seed: 0.5 }, { size: 0 }, { size: 1.5 }]) expect(reads(queueOrderSchema, { kind: 'random sample', seed: 1, size: 1, ...over }), JSON.stringify(over)).toBe(false);
});
