import { z } from 'zod';
import { COHORT_CAUTIONS } from './cohort-caution.ts';
import type { BeforeLoss, CategoryRate, DoseResponse, ExposureRate, RatioFigure, VariantRate } from './cohort-before-loss.ts';
import { RATE_CATEGORIES, RATE_KINDS, RATE_VARIANTS, RATIO_REASONS } from './cohort-before-loss.ts';

const maybe = z.number().nullable();
const cautionsSchema = z.array(z.enum(COHORT_CAUTIONS));
const countsShape = { casesUsed: z.number(), casesInformative: z.number(), riskMs: z.number(), controlMs: z.number(), riskOnsets: z.number(), controlOnsets: z.number() };

const figureSchema: z.ZodType<RatioFigure> = z.strictObject({
  method: z.enum(['Mantel-Haenszel', 'conditional', 'exact conditional']),
  ratio: maybe,
  lower: maybe,
  upper: maybe,
  p: maybe,
  isUnbounded: z.boolean(),
  reason: z.enum(RATIO_REASONS).nullable(),
});

const variantSchema: z.ZodType<VariantRate> = z.strictObject({ ...countsShape, variant: z.enum(RATE_VARIANTS), figure: figureSchema, casesWithoutPhases: z.number() });

const doseSchema: z.ZodType<DoseResponse> = z.strictObject({
  unit: z.string(),
  boluses: z.number(),
  bolusesNotUsed: z.number(),
  onsets: z.number(),
  casesWithOnset: z.number(),
  bands: z.array(z.strictObject({ ...countsShape, from: z.number(), to: z.number(), boluses: z.number(), figure: figureSchema })),
  perDoubling: figureSchema.nullable(),
  reason: z.enum(['too few onsets', 'too few cases with an onset', 'one dose only']).nullable(),
});

const rateSchema: z.ZodType<ExposureRate> = z.strictObject({
  ...countsShape,
  kind: z.enum(RATE_KINDS),
  label: z.string().nullable(),
  siteKey: z.string().nullable(),
  exposures: z.number(),
  exposuresByHand: z.number(),
  casesWithoutExposure: z.number(),
  casesWithoutControl: z.number(),
  onsetCases: z.array(z.strictObject({ caseKey: z.string(), riskOnsets: z.number(), controlOnsets: z.number() })),
  preMs: z.number(),
  preOnsets: z.number(),
  onsetsNotPlaced: z.number(),
  riskPerH: maybe,
  controlPerH: maybe,
  figure: figureSchema,
  isSparse: z.boolean(),
  mantelHaenszel: figureSchema,
  conditional: figureSchema,
  exact: figureSchema,
  attributable: z.strictObject({ fraction: maybe, onsets: maybe, reason: z.enum(['ratio not above 1', 'no finite ratio', 'interval holds 1', 'no interval']).nullable() }),
  pressureBeforeRisk: maybe,
  pressureBeforeControl: maybe,
  shift: z.strictObject({ observed: z.number(), expected: z.number(), cases: z.number(), pGreater: z.number(), pLess: z.number(), p: z.number() }).nullable(),
  variants: z.array(variantSchema),
  dose: doseSchema.nullable(),
  cautions: cautionsSchema,
});

const categorySchema: z.ZodType<CategoryRate> = z.strictObject({ ...countsShape, category: z.enum(RATE_CATEGORIES), figure: figureSchema });

const windowSchema = z.tuple([z.number(), z.number()]);

/** What precedes loss, as plain data. */
export const beforeLossSchema: z.ZodType<BeforeLoss> = z.strictObject({
  conf: z.number(),
  windows: z.strictObject({ bolusS: windowSchema, positionS: windowSchema, preS: z.number(), washOutS: z.number() }),
  rates: z.array(rateSchema),
  categories: z.array(categorySchema),
  cautions: cautionsSchema,
});
