import { z } from 'zod';
import { COHORT_CAUTIONS } from './cohort-caution.ts';
import type { BetweenCurve, CurvePoint, MeanFigure, RestorationCurve, RestorationDifference, RestorationGroup, RestorationTest, RestorationTimes } from './cohort-restoration.ts';
import { LENGTH_BOUNDS, MEAN_REASONS } from './cohort-restoration.ts';

const maybe = z.number().nullable();
const timeShape = { estimateMs: maybe, lowerMs: maybe, upperMs: maybe };
const meanShape = { ...timeShape, reason: z.enum(MEAN_REASONS).nullable() };
const meanSchema: z.ZodType<MeanFigure> = z.strictObject(meanShape);
const cautionsSchema = z.array(z.enum(COHORT_CAUTIONS));
const pointSchema: z.ZodType<CurvePoint> = z.strictObject({ atMs: z.number(), share: z.number(), lower: maybe, upper: maybe, atRisk: z.number() });

const curveSchema: z.ZodType<RestorationCurve> = z.strictObject({
  bound: z.enum(LENGTH_BOUNDS),
  median: z.strictObject(timeShape),
  lowerQuartileMs: maybe,
  upperQuartileMs: maybe,
  mean: meanSchema,
  atTimes: z.array(pointSchema),
  steps: z.array(pointSchema),
  lastMs: maybe,
});

const betweenSchema: z.ZodType<BetweenCurve> = z.strictObject({
  boxes: z.array(z.strictObject({ fromMs: z.number(), toMs: maybe, share: z.number() })),
  median: z.strictObject({ fromMs: z.number(), toMs: z.number() }).nullable(),
  reason: z.enum(['no times', 'not converged']).nullable(),
});

const groupSchema: z.ZodType<RestorationGroup> = z.strictObject({
  kind: z.enum(['all', 'site', 'after what was done', 'nothing on record']),
  of: z.string(),
  losses: z.number(),
  restored: z.number(),
  cases: z.number(),
  caseKeys: z.array(z.string()),
  units: z.number(),
  curves: z.array(curveSchema),
  between: betweenSchema.nullable(),
  resolutionMs: maybe,
  cautions: cautionsSchema,
});

const testSchema: z.ZodType<RestorationTest> = z.strictObject({
  chiSquare: maybe,
  df: maybe,
  p: maybe,
  informativeCases: z.number(),
  reason: z.enum(['no event', 'groups never at risk together']).nullable(),
});

const differenceSchema: z.ZodType<RestorationDifference> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  casesWithBoth: z.number(),
  firstUnits: z.number(),
  secondUnits: z.number(),
  logRank: testSchema,
  pHolm: maybe,
  mean: z.strictObject({ ...meanShape, p: maybe }),
  cautions: cautionsSchema,
});

/** Time to restored information over cases, as plain data. */
export const restorationTimesSchema: z.ZodType<RestorationTimes> = z.strictObject({
  conf: z.number(),
  limitMs: z.number(),
  groups: z.array(groupSchema),
  sites: testSchema.nullable(),
  differences: z.array(differenceSchema),
  cautions: cautionsSchema,
});
