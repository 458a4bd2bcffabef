import { z } from 'zod';
import { NOT_USABLE_REASONS } from './cohort-case.ts';
import { analysisParametersSchema } from './parameters-schema.ts';
import type { QualityCase, QualityLosses } from './quality-case.ts';
import { CHART_KINDS, CHART_MEASURES, CHOICE_REASONS } from './quality-chart.ts';
import type {
  ChangeEffect, ChangeSide, ChartBaseline, ChartChange, ChartChoice, ChartEdit, ChartLeftOut, ChartPhase, ChartPoint, ChartRequest, ChartRule, ChartRuns, FrozenLimits, KeptPoint, PhaseRequest, PointFigures, PointSignal,
  QualityChart, QualityChartView, QualityDefinition, QualityProposal, RestatedPoint,
} from './quality-chart.ts';
import { SITES } from './site.ts';

const number = z.number().nullable();
const count = z.number().int().min(0);
const text = z.string().max(2000);
const date = z.string().refine(isCalendarDay, 'no day of the calendar (YYYY-MM-DD)');
const nelsonRule = z.union([z.literal(1), z.literal(2), z.literal(3), z.literal(4), z.literal(5), z.literal(6), z.literal(7), z.literal(8)]);
const fixedRule = z.enum(['shift of 6', 'trend of 5']);
const rule = z.union([nelsonRule, fixedRule]);

/** Patterns that a chart looks for. */
export const chartRulesSchema: z.ZodType<readonly ChartRule[]> = z.array(rule);

/** Returns whether a text is a day of the calendar, written `YYYY-MM-DD`. */
export function isCalendarDay(value: string): boolean {
  const [, year, month, day] = /^(\d{4})-(\d{2})-(\d{2})$/.exec(value) ?? [];
  if (year === undefined) return false;
  const utc = new Date(Date.UTC(Number(year), Number(month) - 1, Number(day)));
  return utc.getUTCMonth() === Number(month) - 1 && utc.getUTCDate() === Number(day);
}

/** What a chart shows, as it stands in a file or a message. */
export const qualityDefinitionSchema: z.ZodType<QualityDefinition> = z.strictObject({
  measure: z.enum(CHART_MEASURES),
  lossOf: z.enum(['dropouts', 'blind intervals']),
  longerThanS: z.number().min(0).max(86_400),
  doubtfulLost: z.boolean(),
  sites: z.array(z.enum(SITES)).min(1).nullable(),
  choice: z.array(z.strictObject({ column: z.string(), values: z.array(z.string()).min(1) })),
  grouping: z.discriminatedUnion('by', [z.strictObject({ by: z.literal('month') }), z.strictObject({ by: z.literal('cases'), size: z.number().int().min(5).max(100_000) })]),
  parameters: analysisParametersSchema,
  patientColumn: z.string().min(1).max(1000).nullable().optional(),
  dropouts: z.enum(['computed', 'confirmed']).optional(),
});

const figuresShape = { cases: count, numerator: z.number(), denominator: number, value: number, digest: z.string() };
const figuresSchema: z.ZodType<PointFigures> = z.strictObject(figuresShape);
const pointShape = { label: z.string(), firstDate: z.string(), lastDate: z.string(), firstMs: number, lastMs: number, ...figuresShape };
const keptPointSchema: z.ZodType<KeptPoint> = z.strictObject(pointShape);
const limitsSchema: z.ZodType<FrozenLimits> = z.strictObject({ centre: number, sigmaZ: number, meanMovingRange: number, mean: number });
const choiceSchema: z.ZodType<ChartChoice> = z.strictObject({
  kind: z.enum(CHART_KINDS),
  reason: z.enum(CHOICE_REASONS),
  points: count,
  sigmaZ: number,
  meanDenominator: number,
  expectedPerPoint: number,
  isRare: z.boolean(),
});
const baselineSchema: z.ZodType<ChartBaseline> = z.strictObject({ firstPoint: count, lastPoint: count, excluded: z.array(count), isProvisional: z.boolean() });
const phaseSchema: z.ZodType<ChartPhase> = z.strictObject({
  fromPoint: count,
  kind: z.enum(CHART_KINDS),
  choice: choiceSchema,
  limits: limitsSchema,
  baseline: baselineSchema,
  sigmas: z.number(),
  rules: z.array(rule),
  reason: text,
  madeAt: z.string(),
});
const changeSchema: z.ZodType<ChartChange> = z.strictObject({ changeId: z.string(), date, text, madeAt: z.string() });
const restatedSchema: z.ZodType<RestatedPoint> = z.strictObject({ point: count, before: keptPointSchema, reason: text, madeAt: z.string() });

/** A chart as the library keeps it. */
export const qualityChartSchema: z.ZodType<QualityChart> = z.strictObject({
  chartId: z.string().min(1),
  name: text,
  madeAt: z.string(),
  definition: qualityDefinitionSchema,
  points: z.array(keptPointSchema),
  phases: z.array(phaseSchema).min(1),
  changes: z.array(changeSchema),
  restated: z.array(restatedSchema),
});

const phaseRequestSchema: z.ZodType<PhaseRequest> = z.strictObject({
  fromPoint: count,
  kind: z.enum(CHART_KINDS).nullable(),
  firstPoint: count,
  lastPoint: count,
  excluded: z.array(count),
  rules: z.array(rule),
  reason: text,
});

/** A chart to be made. */
export const chartRequestSchema: z.ZodType<ChartRequest> = z.strictObject({ name: text, definition: qualityDefinitionSchema, phase: phaseRequestSchema });

/** A change of a chart by a person. */
export const chartEditSchema: z.ZodType<ChartEdit> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('keep points') }),
  z.strictObject({ kind: z.literal('restate point'), point: count, reason: text }),
  z.strictObject({ kind: z.literal('new phase'), phase: phaseRequestSchema }),
  z.strictObject({ kind: z.literal('mark change'), date, text }),
  z.strictObject({ kind: z.literal('remove change'), changeId: z.string() }),
  z.strictObject({ kind: z.literal('rename'), name: text }),
]);

const leftOutSchema: z.ZodType<ChartLeftOut> = z.strictObject({ undated: count, notUsable: count, notChosen: count, notReviewed: count.optional(), beforeFirst: count });
const signalSchema: z.ZodType<PointSignal> = z.union([z.enum(['beyond the limits', 'in a long run']), fixedRule, z.templateLiteral(['pattern ', nelsonRule])]);
const chartPointSchema: z.ZodType<ChartPoint> = z.strictObject({
  ...pointShape,
  state: z.enum(['kept', 'new', 'open']),
  now: figuresSchema.nullable(),
  phase: z.number(),
  centre: number,
  lower: number,
  upper: number,
  chance: z.strictObject({ lower: z.number(), upper: z.number() }).nullable(),
  signals: z.array(signalSchema),
  caseKeys: z.array(z.string()),
});
const runsSchema: z.ZodType<ChartRuns> = z.strictObject({
  firstPoint: count,
  lastPoint: count,
  centre: number,
  useful: count,
  longestRun: count,
  longestRunLimit: number,
  crossings: count,
  crossingsLimit: number,
  isJudged: z.boolean(),
  isLongRun: z.boolean(),
  isFewCrossings: z.boolean(),
});
const sideSchema: z.ZodType<ChangeSide> = z.strictObject({ first: z.string().nullable(), last: z.string().nullable(), cases: count, estimate: number, lower: number, upper: number, reason: z.string().nullable() });
const effectSchema: z.ZodType<ChangeEffect> = z.strictObject({
  changeId: z.string(),
  compared: z.enum(['share of cases', 'per hour', 'share of time', 'median seconds']),
  before: sideSchema,
  after: sideSchema,
  effect: z.strictObject({ kind: z.enum(['ratio', 'difference']), estimate: number, lower: number, upper: number, reason: z.string().nullable() }),
});

/** A chart as it is to be drawn. */
export const qualityChartViewSchema: z.ZodType<QualityChartView> = z.strictObject({
  chart: qualityChartSchema,
  points: z.array(chartPointSchema),
  runs: z.array(runsSchema),
  effects: z.array(effectSchema),
  leftOut: leftOutSchema,
  choice: choiceSchema,
  draws: z.strictObject({ replicates: z.number(), seed: z.number(), conf: z.number() }),
});

/** What a chart would look like. */
export const qualityProposalSchema: z.ZodType<QualityProposal> = z.strictObject({
  points: z.array(z.strictObject({ ...pointShape, isOpen: z.boolean(), caseKeys: z.array(z.string()) })),
  choice: choiceSchema,
  baseline: baselineSchema.nullable(),
  leftOut: leftOutSchema,
});

const lossesSchema: z.ZodType<QualityLosses> = z.strictObject({ midsMs: z.array(z.number()), count, longestMidMs: z.number(), lostMidMs: z.number(), monitoredMs: z.number() });

/** What a case gives to quality charts, as it crosses from a worker to the host. */
export const qualityCaseSchema: z.ZodType<QualityCase> = z.strictObject({
  caseKey: z.string(),
  caseId: z.string(),
  patientKey: z.string().nullable(),
  attributes: z.record(z.string(), z.string()),
  startedAtMs: number,
  date: z.string().nullable(),
  notUsable: z.enum(NOT_USABLE_REASONS).nullable(),
  sites: z.array(z.strictObject({ site: z.enum(SITES), any: lossesSchema, doubtfulLost: lossesSchema })),
  blind: lossesSchema,
  blindDoubtfulLost: lossesSchema,
  confirmed: z.strictObject({ sites: z.array(lossesSchema), blind: lossesSchema }).nullable(),
  hasVasopressor: z.boolean(),
});
