import { z } from 'zod';
import type { Range3 } from '../base/interval.ts';
import type { BurdenFigures, BurdenRow, CaseBurdenRow, CohortBurdenResult, NamedInterval } from './cohort-burden.ts';
import { BURDEN_SCOPES, INTERVAL_METHODS } from './cohort-burden.ts';
import { reviewCountsSchema } from './confirmed-schema.ts';

const number = z.number();
const range: z.ZodType<Range3> = z.strictObject({ low: number, mid: number, high: number });

/** An interval with its method as plain data. */
export const namedIntervalSchema: z.ZodType<NamedInterval> = z.strictObject({ method: z.enum(INTERVAL_METHODS).nullable(), lower: number.nullable(), upper: number.nullable(), n: number, reason: z.string().nullable() });

const figuresSchema: z.ZodType<BurdenFigures> = z.strictObject({
  cases: number,
  units: number,
  monitoredMs: number,
  dropouts: number,
  lostMs: range,
  share: range.nullable(),
  shareInterval: namedIntervalSchema,
  perHour: number.nullable(),
  perHourInterval: namedIntervalSchema,
  dispersion: number.nullable(),
  casesWithDropout: number,
  withDropout: number.nullable(),
  withDropoutInterval: namedIntervalSchema,
  lowerQuartileMs: range.nullable(),
  medianMs: range.nullable(),
  upperQuartileMs: range.nullable(),
  longestMs: range.nullable(),
  medianShareOfCases: number.nullable(),
});

const rowSchema: z.ZodType<BurdenRow> = z.strictObject({
  scope: z.enum(BURDEN_SCOPES),
  value: z.string().nullable(),
  place: z.string(),
  primary: figuresSchema,
  doubtfulLost: figuresSchema,
  review: reviewCountsSchema.nullable(),
  intervals: z.array(z.strictObject({ intervalMs: number.nullable(), cases: number })),
  drawn: z.strictObject({ share: namedIntervalSchema, perHour: namedIntervalSchema }).nullable(),
});

const caseRowSchema: z.ZodType<CaseBurdenRow> = z.strictObject({
  caseKey: z.string(),
  caseId: z.string(),
  month: z.string(),
  values: z.array(z.string()),
  place: z.string(),
  intervalMs: number.nullable(),
  monitoredMs: number,
  dropouts: number,
  lostMs: range,
  share: range.nullable(),
  perHour: number.nullable(),
  longestMidMs: number.nullable(),
  review: reviewCountsSchema.nullable(),
  dropoutsDoubtfulLost: number,
  lostMidDoubtfulLostMs: number,
  shareMidDoubtfulLost: number.nullable(),
});

/** The burden of a cohort as plain data. */
export const cohortBurdenSchema: z.ZodType<CohortBurdenResult> = z.strictObject({ rows: z.array(rowSchema), cases: z.array(caseRowSchema), warnings: z.array(z.string()) });
