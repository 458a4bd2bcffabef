import { z } from 'zod';
import type { CoveredLoss, LagFigure, PairDifferences, PairFigures, SignalStrength, SitePair } from './site-comparison.ts';
import { PAIR_CAUTIONS } from './site-comparison.ts';

/** The strength of a signal as plain data. */
export const signalStrengthSchema: z.ZodType<SignalStrength> = z.strictObject({
  perfusion: z
    .strictObject({
      seenMs: z.number(),
      median: z.number(),
      low: z.number(),
      high: z.number(),
      belowWeakShare: z.number(),
      belowDesirableShare: z.number(),
      binMs: z.number(),
      courseStartMs: z.number(),
      course: z.array(z.number().nullable()),
    })
    .nullable(),
  shortLosses: z.number(),
  doubtfulRuns: z.number(),
});

const differencesSchema: z.ZodType<PairDifferences> = z.strictObject({ n: z.number(), bias: z.number(), sd: z.number().nullable(), rms: z.number(), maxAbs: z.number() });
/** A lag as plain data. */
export const lagSchema: z.ZodType<LagFigure> = z.strictObject({ lagMs: z.number(), lowMs: z.number(), highMs: z.number(), peak: z.number(), swings: z.number() });

const coveredSchema: z.ZodType<CoveredLoss> = z.strictObject({ leastCoveredMs: z.number(), leastLostMs: z.number(), mostCoveredMs: z.number(), mostLostMs: z.number() });

const figuresShape = {
  bothMs: z.number(),
  onlyFirstMs: z.number(),
  onlySecondMs: z.number(),
  neitherMs: z.number(),
  firstCoveredShare: z.number().nullable(),
  secondCoveredShare: z.number().nullable(),
  firstCovered: coveredSchema,
  secondCovered: coveredSchema,
  allPairs: differencesSchema.nullable(),
  stablePairs: differencesSchema.nullable(),
  lag: lagSchema.nullable(),
  lagAtFalls: lagSchema.nullable(),
  lagAtRises: lagSchema.nullable(),
  noLagReason: z.string().nullable(),
};
const figuresSchema: z.ZodType<PairFigures> = z.strictObject(figuresShape);

/** Two sensors against each other as plain data. */
export const sitePairSchema: z.ZodType<SitePair> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  sharedMs: z.number(),
  bypassMs: z.number(),
  ...figuresShape,
  perfusionRatio: z.number().nullable(),
  perfusionMinutes: z.number(),
  cautions: z.array(z.enum(PAIR_CAUTIONS)),
  doubtfulLost: figuresSchema,
});
