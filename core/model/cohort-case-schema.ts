import { z } from 'zod';
import type { Range3 } from '../base/interval.ts';
import { bareExposureShape } from './analysis-schema.ts';
import type { AlignedValues, CohortBlind, CohortCase, CohortCounted, CohortDropout, CohortLosses, CohortReview, CohortSite, CohortSitePair } from './cohort-case.ts';
import { ALIGNED_LAGS, CANDIDATE_FIELDS, NOT_USABLE_REASONS } from './cohort-case.ts';
import { reviewCountsSchema } from './confirmed-schema.ts';
import { PAIR_CAUTIONS } from './site-comparison.ts';
import { SITES } from './site.ts';

const rangeSchema: z.ZodType<Range3> = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });
const kindSchema = bareExposureShape.kind;

const dropoutSchema: z.ZodType<CohortDropout> = z.strictObject({
  dropoutId: z.string(),
  number: z.number(),
  lastGoodMs: z.number(),
  firstLostMs: z.number(),
  lastLostMs: z.number().nullable(),
  firstGoodMs: z.number().nullable(),
  censoredAtMs: z.number().nullable(),
  lostMs: rangeSchema,
  restoredBy: z.enum(['same site', 'other site', 'not restored']),
  restoredSiteKey: z.string().nullable(),
  restoredAfterMs: z.number().nullable(),
  patterns: z.array(z.string()),
  links: z.array(z.strictObject({ exposureId: z.string(), leadMs: z.number(), certainty: z.enum(['certain', 'possible', 'during']) })),
  responses: z.array(z.strictObject({ kind: kindSchema, atMs: z.number() })),
  isMarked: z.boolean(),
  spo2Before: z.number().nullable(),
  spo2After: z.number().nullable(),
  pressureBefore: z.number().nullable(),
});

const spansSchema = z.array(z.number()).refine((spans) => spans.length % 2 === 0, 'a span without its end');

const lossesSchema: z.ZodType<CohortLosses> = z.strictObject({
  dropouts: z.array(dropoutSchema),
  lostMs: rangeSchema,
  longestMidMs: z.number(),
  monitoredMs: z.number(),
  monitoredSpans: spansSchema,
  openTail: spansSchema,
});

const siteSchema: z.ZodType<CohortSite> = z.strictObject({
  siteKey: z.string(),
  site: z.enum(SITES),
  sensor: z.string(),
  intervalMs: z.number().nullable(),
  firstInformationMs: z.number().nullable(),
  lastInformationMs: z.number().nullable(),
  any: lossesSchema,
  doubtfulLost: lossesSchema,
  candidates: z.array(
    z.strictObject({
      bridgeS: z.number(),
      doubtfulLost: z.boolean(),
      losses: z.instanceof(Float64Array).refine((losses) => losses.length % CANDIDATE_FIELDS === 0, 'a loss that is not whole'),
    }),
  ),
});

const blindSchema: z.ZodType<CohortBlind> = z.strictObject({ count: z.number(), lostMs: rangeSchema, longestMidMs: z.number(), lengthsMs: z.array(rangeSchema), monitoredMs: z.number() });

const pairSchema: z.ZodType<CohortSitePair> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  sharedMs: z.number(),
  onlyFirstMs: z.number(),
  onlySecondMs: z.number(),
  neitherMs: z.number(),
  cautions: z.array(z.enum(PAIR_CAUTIONS)),
});

const alignedSchema: z.ZodType<AlignedValues> = z
  .strictObject({
    exposureIds: z.array(z.string()),
    series: z.array(z.strictObject({ quantity: z.enum(['spo2', 'perfusion-index', 'mean-pressure']), siteKey: z.string().nullable() })),
    values: z.instanceof(Uint16Array),
  })
  .refine(({ exposureIds, series, values }) => values.length === exposureIds.length * series.length * ALIGNED_LAGS, 'values that do not fill the grid');

const countedSchema: z.ZodType<CohortCounted> = z.strictObject({ sites: z.array(lossesSchema), blind: blindSchema });
const reviewSchema: z.ZodType<CohortReview> = z.strictObject({ counts: z.array(reviewCountsSchema), without: z.number(), confirmed: countedSchema, notRefuted: countedSchema });

/** What a case gives to a cohort, as it crosses from a worker to the host. */
export const cohortCaseSchema: z.ZodType<CohortCase> = z.strictObject({
  caseKey: z.string(),
  caseId: z.string(),
  patientKey: z.string().nullable(),
  attributes: z.record(z.string(), z.string()),
  startedAtMs: z.number().nullable(),
  date: z.string().nullable(),
  bounds: z.strictObject({ startMs: z.number(), endMs: z.number() }),
  surgery: z.strictObject({ startMs: z.number().nullable(), endMs: z.number().nullable() }),
  notUsable: z.enum(NOT_USABLE_REASONS).nullable(),
  recordGapsCanBeTold: z.boolean(),
  sites: z.array(siteSchema),
  blind: blindSchema,
  blindDoubtfulLost: blindSchema,
  exposures: z.array(z.strictObject(bareExposureShape).omit({ atc: true, flags: true, sourceText: true })),
  pairs: z.array(pairSchema),
  aligned: alignedSchema,
  review: reviewSchema.nullable(),
});
