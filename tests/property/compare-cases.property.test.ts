import fc from 'fast-check';
import { expect, test } from 'vitest';
import { compareCases } from '../../core/compare/compare-cases.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseEvent } from '../../core/model/event.ts';
import { buildCaseRecord, buildChannel } from '../builders/stored-case.ts';

const [EVENT] = buildCaseRecord().events;

/** Rows at whole seconds, some without a value. */
const rows = fc.uniqueArray(fc.record({ s: fc.integer({ min: 0, max: 60 }), value: fc.constantFrom(88, 97, 98, Number.NaN) }), { selector: (row) => row.s, maxLength: 40 });
const events = fc.array(fc.record({ atMs: fc.integer({ min: 0, max: 5 }), text: fc.constantFrom('prone', 'supine', 'note'), kind: fc.constantFrom('position' as const, 'note' as const) }), { maxLength: 8 });
const records = fc.record({ rows, events, startMs: fc.integer({ min: 0, max: 3 }) }).map(({ rows: drawn, events: list, startMs }): CaseRecord => {
  const sorted = [...drawn].sort((a, b) => a.s - b.s);
  return buildCaseRecord({
    origin: { ...buildCaseRecord().origin, epochMs: 1_900_000_000_000 + startMs * 1000 },
    channels: [buildChannel(sorted.map((row) => row.value), { tMs: Float64Array.from(sorted, (row) => row.s * 1000), line: Uint32Array.from(sorted, (_, i) => i) })],
    events: list.map((entry, i): CaseEvent => ({ ...EVENT!, ...entry, eventId: `e${i}` })),
    drugs: [],
  });
});
const bare = (record: CaseRecord) => ({ record, analysis: null });

test('a case beside itself is the same', () => {
  fc.assert(fc.property(records, (record) => {
    expect(compareCases(bare(record), bare(record))).toMatchObject({ isSame: true, movedMs: 0 });
  }));
});

test('rows and entries add up, and exchanging the two exchanges added with removed', () => {
  fc.assert(fc.property(records, records, (a, b) => {
    const there = compareCases(bare(a), bare(b));
    const back = compareCases(bare(b), bare(a));
    for (const channel of there.channels) expect(channel.rowsAfter).toBe(channel.rowsBefore - channel.rowsRemoved + channel.rowsAdded);
    expect(there.events.after).toBe(there.events.before - there.events.removed + there.events.added);
    expect([back.isSame, back.movedMs, back.events.added, back.events.removed, back.events.changed]).toEqual([there.isSame, there.movedMs === 0 ? 0 : -there.movedMs, there.events.removed, there.events.added, there.events.changed]);
    expect(back.channels.map((channel) => [channel.rowsAdded, channel.rowsRemoved, channel.rowsChanged])).toEqual(there.channels.map((channel) => [channel.rowsRemoved, channel.rowsAdded, channel.rowsChanged]));
  }), { numRuns: 500 });
});

test('as many changes are found as were made', () => {
  const edits = fc.record({ drop: fc.integer({ min: 0, max: 5 }), alter: fc.integer({ min: 0, max: 5 }), append: fc.integer({ min: 0, max: 5 }) });
  fc.assert(fc.property(edits, ({ drop, alter, append }) => {
    const values = Array.from({ length: 30 }, (_, i) => 90 + (i % 9));
    const kept = values.map((value, i) => ({ atMs: i * 1000, value: i >= 10 && i < 10 + alter ? 50 : value })).filter((_, i) => i < 20 || i >= 20 + drop);
    for (let i = 0; i < append; i += 1) kept.push({ atMs: (30 + i) * 1000, value: 99 });
    const after = buildCaseRecord({ channels: [buildChannel(kept.map((row) => row.value), { tMs: Float64Array.from(kept, (row) => row.atMs) })] });
    const [channel] = compareCases(bare(buildCaseRecord({ channels: [buildChannel(values)] })), bare(after)).channels;
    expect(channel).toMatchObject({ rowsRemoved: drop, rowsChanged: alter, rowsAdded: append });
  }));
});
