import { z } from 'zod';
import type { NextStudy, NextStudyOptions, PlannedStudy } from './next-study.ts';
import { NO_STUDY_REASONS, SECOND_PATTERNS, STUDY_CAUTIONS, STUDY_DESIGNS, STUDY_EFFECTS, STUDY_OUTCOMES } from './next-study.ts';
import { analysisParametersSchema } from './parameters-schema.ts';

const patients = z.number().int().min(2, 'a study has two patients at least').max(5000, 'no more than 5000 patients are looked at');

/** The schema of a study that is asked about, with limits that keep its drawing within minutes. */
export const nextStudyOptionsSchema: z.ZodType<NextStudyOptions> = z.strictObject({
  design: z.enum(STUDY_DESIGNS),
  outcome: z.enum(STUDY_OUTCOMES),
  firstKey: z.string().min(1).max(200),
  secondKey: z.string().min(1).max(200),
  secondAs: z.enum(SECOND_PATTERNS),
  effect: z.enum(STUDY_EFFECTS),
  effectSize: z.number().min(-1000).max(1000),
  conf: z.number().min(0.5).max(0.999),
  patientColumn: z.string().min(1).max(1000).nullable(),
  sizes: z.array(patients).max(40),
  wantedPower: z.number().min(0.05).max(0.999).nullable(),
  wantedHalfWidth: z.number().positive().max(1000).nullable(),
  draws: z.number().int().min(100).max(20_000),
  seed: z.number().int().min(0).max(4_294_967_295),
  dropouts: z.enum(['computed', 'confirmed']).optional(),
});

const count = z.number().int().min(0);
const simulatedSchema = z.strictObject({ value: z.number(), error: z.number() });
const siteSchema = z.strictObject({ patients: count, withoutLoss: count, monitoredMs: z.number(), mean: z.number(), sd: z.number().nullable(), pooled: z.number(), dispersion: z.number().nullable() });
const wantedSchema = z.strictObject({ n: count.nullable(), low: count.nullable(), high: count.nullable() });

/** The schema of a planned study. */
export const nextStudySchema: z.ZodType<NextStudy> = z.strictObject({
  options: nextStudyOptionsSchema,
  first: siteSchema.nullable(),
  second: siteSchema.nullable(),
  correlation: z.number().nullable(),
  observed: z.number().nullable(),
  reason: z.enum(NO_STUDY_REASONS).nullable(),
  sizes: z.array(z.strictObject({ n: count, power: simulatedSchema, rankPower: simulatedSchema, halfWidth: simulatedSchema.nullable(), coverage: simulatedSchema.nullable(), without: count })),
  forPower: wantedSchema.nullable(),
  forHalfWidth: wantedSchema.nullable(),
  most: count,
  formula: z.strictObject({ method: z.enum(['paired t', 'two-sample t', 'delta method', 'Hayes and Bennett']), n: count.nullable(), nIfSpreadUpper: count.nullable(), nForHalfWidth: count.nullable() }).nullable(),
  cautions: z.array(z.enum(STUDY_CAUTIONS)),
  capped: count,
});

/** The schema of a planned study with what it was worked out from. */
export const plannedStudySchema: z.ZodType<PlannedStudy> = z.strictObject({
  study: nextStudySchema,
  parameters: analysisParametersSchema,
  cases: count,
  notReviewed: count,
  leftOut: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), reason: z.string() })),
});
