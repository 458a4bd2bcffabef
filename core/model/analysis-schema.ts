import { z } from 'zod';
import type { Finding } from '../base/finding.ts';
import type { Range3 } from '../base/interval.ts';
import type { BlindInterval, CaseAnalysis, Dropout, Exposure, Link, RecordGap, SiteAnalysis, StatusName, StatusRuns } from './analysis.ts';
import { hypoxaemiaSchema, lowestPossibleSchema, returnComparisonSchema } from './hypoxaemia-schema.ts';
import { onsetEvidenceSchema } from './onset-evidence-schema.ts';
import { analysisParametersSchema } from './parameters-schema.ts';
import { restorationSchema } from './restoration-schema.ts';
import { SITES } from './site.ts';
import { signalStrengthSchema, sitePairSchema } from './site-comparison-schema.ts';

/** A low, middle and high figure. */
export const range3Schema: z.ZodType<Range3> = z.strictObject({ low: z.number(), mid: z.number(), high: z.number() });
const intervalShape = { startMs: z.number(), endMs: z.number() };
const restoredBySchema = z.enum(['same site', 'other site', 'not restored']);
/** The bounds of a dropout. */
export const fourInstantsShape = { lastGoodMs: z.number(), firstLostMs: z.number(), lastLostMs: z.number().nullable(), firstGoodMs: z.number().nullable() };

const STATUS_KEYS = ['absent', 'implausible', 'flagged', 'held', 'weak', 'disputed', 'good'] as const satisfies readonly StatusName[];

/** A finding as plain data. */
export const findingSchema: z.ZodType<Finding> = z.strictObject({
  code: z.string(),
  severity: z.enum(['error', 'warning', 'note']),
  message: z.string(),
  count: z.number(),
  firstLine: z.number().optional(),
  sourceIndex: z.number().optional(),
});

const linkSchema: z.ZodType<Link> = z.strictObject({
  exposureId: z.string(),
  leadMs: z.number(),
  certainty: z.enum(['certain', 'possible', 'during']),
});

const dropoutSchema: z.ZodType<Dropout> = z.strictObject({
  ...fourInstantsShape,
  dropoutId: z.string(),
  number: z.number(),
  siteKey: z.string(),
  lostMs: range3Schema,
  restoredBy: restoredBySchema,
  restoredSiteKey: z.string().nullable(),
  restoredAfterMs: z.number().nullable(),
  censoredAtMs: z.number().nullable(),
  spo2Before: z.number(),
  spo2After: z.number().nullable(),
  dropOnReturn: z.number().nullable(),
  isMarked: z.boolean(),
  returnComparison: returnComparisonSchema.nullable(),
  cannotExclude: lowestPossibleSchema,
  perfusionBefore: z.number().nullable(),
  lostSamples: z.partialRecord(z.enum(STATUS_KEYS), z.number()),
  bridgedMs: z.number(),
  recordGapMs: range3Schema,
  patterns: z.array(z.string()),
  evidence: onsetEvidenceSchema,
  pressureBefore: z
    .strictObject({ quantity: z.enum(['art-mean', 'nibp-mean', 'art-sys', 'nibp-sys']), mean: z.number(), lowest: z.number(), n: z.number() })
    .nullable(),
  links: z.array(linkSchema),
  responses: z.array(linkSchema),
});

const blindIntervalSchema: z.ZodType<BlindInterval> = z.strictObject({
  ...fourInstantsShape,
  number: z.number(),
  lostMs: range3Schema,
  restoredBy: restoredBySchema,
  restoredSiteKey: z.string().nullable(),
});

export const recordGapSchema: z.ZodType<RecordGap> = z.strictObject({
  lastRowMs: z.number(),
  firstMissingMs: z.number(),
  lastMissingMs: z.number(),
  firstRowMs: z.number(),
  gapMs: range3Schema,
});

/** Totals of dropouts as plain data. */
export const dropoutTotalsSchema = z.strictObject({ count: z.number(), lostMs: range3Schema, longestMidMs: z.number(), shareMid: z.number().nullable() });

const belowSchema = z.array(
  z.strictObject({
    thresholdPct: z.number(),
    observedMs: z.number(),
    lowMs: z.number(),
    highMs: z.number(),
    areaPctS: z.number(),
    areaLowPctS: z.number(),
    areaHighPctS: z.number(),
  }),
);

const statusRunsSchema: z.ZodType<StatusRuns> = z.strictObject({
  implausible: z.array(z.number()),
  flagged: z.array(z.number()),
  held: z.array(z.number()),
  weak: z.array(z.number()),
  disputed: z.array(z.number()),
});

const siteAnalysisSchema: z.ZodType<SiteAnalysis> = z.strictObject({
  siteKey: z.string(),
  site: z.enum(SITES),
  sensor: z.string(),
  channelId: z.string(),
  segments: z.array(z.strictObject({ ...intervalShape, intervalMs: z.number().nullable() })),
  intervalMs: z.number().nullable(),
  monitored: z.strictObject(intervalShape).nullable(),
  notMonitoredReason: z.string().nullable(),
  monitoredMs: z.number(),
  statusCounts: z.record(z.enum(STATUS_KEYS), z.number()),
  doubtfulMs: z.number(),
  statusRuns: statusRunsSchema,
  recordGapMs: z.number(),
  dropouts: z.array(dropoutSchema),
  totals: dropoutTotalsSchema,
  dropoutsDoubtfulLost: z.array(dropoutSchema),
  totalsDoubtfulLost: dropoutTotalsSchema,
  below: belowSchema,
  hypoxaemia: hypoxaemiaSchema,
  belowDoubtfulLost: belowSchema,
  hypoxaemiaDoubtfulLost: hypoxaemiaSchema,
  signal: signalStrengthSchema,
  restoration: restorationSchema,
  restorationDoubtfulLost: restorationSchema,
});

/** An exposure without the count of what followed it. */
export const bareExposureShape = {
  exposureId: z.string(),
  kind: z.enum(['vasopressor bolus', 'infusion change', 'position', 'bypass', 'cross-clamp', 'tourniquet', 'sensor', 'cuff moved', 'warming']),
  label: z.string(),
  atc: z.string().nullable(),
  dose: z.number().nullable(),
  unit: z.string(),
  atMs: z.number(),
  endMs: z.number().nullable(),
  windowMs: z.number().nullable(),
  manual: z.boolean(),
  flags: z.array(z.string()),
  sourceText: z.string(),
};
const exposureSchema: z.ZodType<Exposure> = z.strictObject({ ...bareExposureShape, dropoutsAfter: z.number() });

/** An analysis as it is stored and as it crosses from host to page. */
export const caseAnalysisSchema: z.ZodType<CaseAnalysis> = z.strictObject({
  caseId: z.string(),
  parameters: analysisParametersSchema,
  productVersion: z.string(),
  inputDigests: z.array(z.string()),
  bounds: z.strictObject({ ...intervalShape, startFrom: z.enum(['anaesthesia start', 'first row']), endFrom: z.enum(['anaesthesia end', 'last row']) }),
  sites: z.array(siteAnalysisSchema),
  pairs: z.array(sitePairSchema),
  blind: z.array(blindIntervalSchema),
  blindTotals: dropoutTotalsSchema,
  blindDoubtfulLost: z.array(blindIntervalSchema),
  blindTotalsDoubtfulLost: dropoutTotalsSchema,
  recordGaps: z.array(recordGapSchema),
  recordGapsCanBeTold: z.boolean(),
  exposures: z.array(exposureSchema),
  findings: z.array(findingSchema),
});
