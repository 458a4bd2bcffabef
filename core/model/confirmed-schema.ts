import { z } from 'zod';
import type { Range3 } from '../base/interval.ts';
import { dropoutTotalsSchema } from './analysis-schema.ts';
import type { ConfirmedFigures, CountedLosses, ReviewCounts } from './confirmed.ts';

const count = z.number().int().min(0);
const countsShape = { dropouts: count, confirmed: count, refuted: count, cannotTell: count, disputed: count, notReviewed: count, corrected: count, tooShort: count };
const rangeSchema: z.ZodType<Range3> = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });

/** What reviewers said of dropouts, as plain data. */
export const reviewCountsSchema: z.ZodType<ReviewCounts> = z.strictObject(countsShape);

const countedSchema: z.ZodType<CountedLosses> = z.strictObject({
  sites: z.array(z.strictObject({
    siteKey: z.string(),
    dropouts: z.array(z.strictObject({
      dropoutId: z.string(), lastGoodMs: z.number(), firstLostMs: z.number(), lastLostMs: z.number().nullable(), firstGoodMs: z.number().nullable(), censoredAtMs: z.number().nullable(), lostMs: rangeSchema,
    })),
    totals: dropoutTotalsSchema,
  })),
  blindMs: z.array(rangeSchema),
  blindTotals: dropoutTotalsSchema,
});

/** What reviewers made of the dropouts of a case, as plain data. */
export const confirmedFiguresSchema: z.ZodType<ConfirmedFigures> = z.strictObject({
  counts: z.array(z.strictObject({ ...countsShape, siteKey: z.string() })),
  all: reviewCountsSchema,
  without: count,
  isExcluded: z.boolean(),
  confirmed: countedSchema,
  notRefuted: countedSchema,
});
