import { z } from 'zod';
import { SITES } from './site.ts';
import type { CaseMix, FunnelCurvePoint, FunnelRequest, FunnelUnit, GroupingColumn, UnitFunnel } from './unit-funnel.ts';

const number = z.number().nullable();
const day = z.string().regex(/^\d{4}-\d{2}-\d{2}$/).nullable();

/** What units are to be compared by. */
export const funnelRequestSchema: z.ZodType<FunnelRequest> = z.strictObject({
  by: z.discriminatedUnion('kind', [z.strictObject({ kind: z.literal('site') }), z.strictObject({ kind: z.literal('column'), column: z.string() })]),
  lossOf: z.enum(['dropouts', 'blind intervals']),
  longerThanS: z.number().min(0).max(86_400),
  doubtfulLost: z.boolean(),
  dropouts: z.enum(['computed', 'confirmed']).optional(),
  firstDate: day,
  lastDate: day,
  choice: z.array(z.strictObject({ column: z.string(), values: z.array(z.string()).min(1) })),
});

const limitsShape = { lower95: z.number(), upper95: z.number(), lower998: z.number(), upper998: z.number() };
const mixSchema: z.ZodType<CaseMix> = z.strictObject({ medianAge: number, casesWithAge: z.number(), withVasopressor: z.number(), sites: z.array(z.strictObject({ site: z.enum(SITES), share: z.number() })) });
const unitSchema: z.ZodType<FunnelUnit> = z.strictObject({
  name: z.string().nullable(),
  cases: z.number(),
  withLongLoss: z.number(),
  share: z.number(),
  pUpper: number,
  pLower: number,
  ...limitsShape,
  status: z.enum(['inside', 'above 95 %', 'above 99.8 %', 'below 95 %', 'below 99.8 %']),
  mix: mixSchema,
  caseKeys: z.array(z.string()),
});
const curveSchema: z.ZodType<FunnelCurvePoint> = z.strictObject({ cases: z.number(), ...limitsShape });

/** Units of one period as plain data. */
export const unitFunnelSchema: z.ZodType<UnitFunnel> = z.strictObject({
  target: number,
  units: z.array(unitSchema),
  curve: z.array(curveSchema),
  phi: number,
  phiThreshold: number,
  isWidened: z.boolean(),
  leftOut: z.strictObject({ notUsable: z.number(), notChosen: z.number(), outsidePeriod: z.number(), withoutUnit: z.number(), notReviewed: z.number().optional() }),
});

/** Columns to group by. */
export const groupingColumnsSchema: z.ZodType<readonly GroupingColumn[]> = z.array(
  z.strictObject({
    column: z.string(),
    values: z.number(),
    commonest: z.array(z.strictObject({ value: z.string(), cases: z.number() })),
    refusedBecause: z.enum(['names persons', 'one value', 'a value for almost every case']).nullable(),
  }),
);
