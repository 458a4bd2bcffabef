import { z } from 'zod';
import type { CaseComparison, ListedChanges } from './case-comparison.ts';

const range = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });
const interval = z.strictObject({ startMs: z.number(), endMs: z.number() });
const entry = z.strictObject({ atMs: z.number(), endMs: z.number().nullable(), text: z.string(), reading: z.string() });
const dropout = z.strictObject({ firstLostMs: z.number(), firstGoodMs: z.number().nullable(), lostMs: range, restoredBy: z.enum(['same site', 'other site', 'not restored']) });
const state = z.enum(['added', 'removed', 'changed']);

function listed<T>(item: z.ZodType<T>): z.ZodType<ListedChanges<T>> {
  return z.strictObject({ before: z.number(), after: z.number(), added: z.number(), removed: z.number(), changed: z.number(), list: z.array(item) });
}
const entries = listed(z.strictObject({ state, before: entry.nullable(), after: entry.nullable() }));

/** What differs between a stored case and a new reading of it. */
export const caseComparisonSchema = z.strictObject({
  isSame: z.boolean(),
  isContained: z.boolean(),
  alignedBy: z.enum(['date', 'clock', 'first row']),
  movedMs: z.number(),
  origin: z.strictObject({
    epochMs: z.number().nullable(),
    clock: z.enum(['absolute', 'time of day', 'elapsed']),
    originOffsetMs: z.number(),
    zone: z.string(),
    zoneStated: z.boolean(),
  }),
  span: z.strictObject({ before: interval.nullable(), after: interval.nullable() }),
  channels: z.array(
    z.strictObject({
      channelId: z.string(),
      label: z.string(),
      unit: z.string(),
      state: z.enum(['added', 'removed', 'changed', 'same']),
      rowsBefore: z.number(),
      rowsAfter: z.number(),
      rowsAdded: z.number(),
      rowsRemoved: z.number(),
      rowsChanged: z.number(),
      firstMs: z.number().nullable(),
      facts: z.array(z.string()),
    }),
  ),
  events: entries,
  drugs: entries,
  dropouts: listed(z.strictObject({ siteKey: z.string(), state, before: dropout.nullable(), after: dropout.nullable() })).nullable(),
  facts: z.array(z.string()),
  clocksKept: z.array(z.strictObject({ source: z.string(), offsetMs: z.number() })),
  sources: z.strictObject({ added: z.array(z.string()), removed: z.array(z.string()), same: z.number() }),
}) satisfies z.ZodType<CaseComparison>;
