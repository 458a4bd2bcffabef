import { z } from 'zod';
import type { Range3 } from '../base/interval.ts';
import { analysisParametersSchema } from './parameters-schema.ts';
import type { CohortFigures, CohortPair, CohortSensor, CohortShare, SiteCohort, Spread } from './site-cohort.ts';
import { PAIR_CAUTIONS } from './site-comparison.ts';
import { lagSchema } from './site-comparison-schema.ts';

const rangeSchema: z.ZodType<Range3> = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });
const spreadSchema: z.ZodType<Spread> = z.strictObject({ cases: z.number(), least: z.number(), median: z.number(), most: z.number() });
const intervalSchema = z.strictObject({ lower: z.number(), upper: z.number() });
const shareSchema: z.ZodType<CohortShare> = z.strictObject({ share: rangeSchema, overCases: intervalSchema.nullable(), drawn: intervalSchema.nullable(), spread: spreadSchema });
const limitSchema = z.tuple([z.number(), z.number()]).readonly();

const figuresShape = {
  bothMs: z.number(),
  onlyFirstMs: z.number(),
  onlySecondMs: z.number(),
  neitherMs: z.number(),
  firstCovered: shareSchema.nullable(),
  secondCovered: shareSchema.nullable(),
  differenceCases: z.number(),
  differencePairs: z.number(),
  bias: z.number().nullable(),
  sdTotal: z.number().nullable(),
  lower: z.number().nullable(),
  upper: z.number().nullable(),
  lowerInterval: limitSchema.nullable(),
  upperInterval: limitSchema.nullable(),
  rms: z.number().nullable(),
  lagMs: spreadSchema.nullable(),
  lagInterval: intervalSchema.nullable(),
};
const figuresSchema: z.ZodType<CohortFigures> = z.strictObject(figuresShape);

const pairSchema: z.ZodType<CohortPair> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  cases: z.number(),
  casesOneAfterTheOther: z.number(),
  sharedMs: z.number(),
  ...figuresShape,
  perfusionRatio: spreadSchema.nullable(),
  doubtfulLost: figuresSchema,
  cautions: z.array(z.strictObject({ caution: z.enum(PAIR_CAUTIONS), cases: z.number() })),
  rows: z.array(
    z.strictObject({
      caseKey: z.string(),
      caseId: z.string(),
      sharedMs: z.number(),
      bothMs: z.number(),
      onlyFirstMs: z.number(),
      onlySecondMs: z.number(),
      neitherMs: z.number(),
      firstCovered: rangeSchema.nullable(),
      secondCovered: rangeSchema.nullable(),
      pairs: z.number(),
      bias: z.number().nullable(),
      rms: z.number().nullable(),
      lag: lagSchema.nullable(),
      perfusionRatio: z.number().nullable(),
      cautions: z.array(z.enum(PAIR_CAUTIONS)),
    }),
  ),
});

const sensorSchema: z.ZodType<CohortSensor> = z.strictObject({
  siteKey: z.string(),
  cases: z.number(),
  monitoredMs: z.number(),
  perfusion: spreadSchema.nullable(),
  belowWeakShare: spreadSchema.nullable(),
  belowDesirableShare: spreadSchema.nullable(),
  shortLossesPerH: spreadSchema.nullable(),
  doubtfulRunsPerH: spreadSchema.nullable(),
  rows: z.array(
    z.strictObject({
      caseKey: z.string(),
      caseId: z.string(),
      siteKey: z.string(),
      monitoredMs: z.number(),
      shortLosses: z.number(),
      doubtfulRuns: z.number(),
      perfusion: z.strictObject({ median: z.number(), belowWeakShare: z.number(), belowDesirableShare: z.number() }).nullable(),
    }),
  ),
});

/** Sites over cases as plain data. */
export const siteCohortSchema: z.ZodType<SiteCohort> = z.strictObject({
  parameters: analysisParametersSchema,
  cases: z.number(),
  leftOut: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), reason: z.string() })),
  draws: z.strictObject({ replicates: z.number(), seed: z.number(), conf: z.number() }),
  pairs: z.array(pairSchema),
  sensors: z.array(sensorSchema),
});
