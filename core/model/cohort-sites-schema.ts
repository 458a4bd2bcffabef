import { z } from 'zod';
import { namedIntervalSchema } from './cohort-burden-schema.ts';
import type { CoverageFigure, SitesWithinPatients, WithinPatients, WithinPatientsAll } from './cohort-sites.ts';

const number = z.number();
const outcome = z.enum(['share lost', 'dropouts per hour']);

const pairSchema: z.ZodType<WithinPatients> = z.strictObject({
  firstKey: z.string(),
  secondKey: z.string(),
  outcome,
  units: number,
  unitsTooShort: number,
  cases: number,
  sharedMs: number,
  firstMedian: number.nullable(),
  secondMedian: number.nullable(),
  difference: number.nullable(),
  differenceLower: number.nullable(),
  differenceUpper: number.nullable(),
  achievedConf: number.nullable(),
  reason: z.string().nullable(),
  zeros: number,
  p: number.nullable(),
  pMethod: z.enum(['exact', 'normal']).nullable(),
  pHolm: number.nullable(),
  pWithoutZeros: number.nullable(),
  pSign: number.nullable(),
  pSignFlip: number.nullable(),
  meanDifference: number.nullable(),
  ratio: number.nullable(),
  ratioInterval: namedIntervalSchema,
  rows: z.array(z.strictObject({ unit: z.string(), caseKeys: z.array(z.string()), caseIds: z.array(z.string()), sharedMs: number, first: number, second: number })),
});

const allSchema: z.ZodType<WithinPatientsAll> = z.strictObject({ outcome, siteKeys: z.array(z.string()), units: number, chiSquare: number.nullable(), df: number.nullable(), p: number.nullable(), reason: z.string().nullable() });

const coverageSchema: z.ZodType<CoverageFigure> = z.strictObject({ lostKey: z.string(), otherKey: z.string(), cases: number, sharedMs: number, lostMs: number, coveredMs: number, share: number.nullable(), interval: namedIntervalSchema });

/** Sites within the same patients as plain data. */
export const sitesWithinPatientsSchema: z.ZodType<SitesWithinPatients> = z.strictObject({ leastSharedMs: number, pairs: z.array(pairSchema), all: z.array(allSchema), coverage: z.array(coverageSchema) });
