import { z } from 'zod';
import type { Failure } from '../base/result.ts';
import { caseAnalysisSchema } from '../model/analysis-schema.ts';
import { filePreviewSchema } from '../model/file-preview-schema.ts';
import { cohortOptionsSchema } from '../model/cohort-options-schema.ts';
import { cohortResultsSchema } from '../model/cohort-results-schema.ts';
import { caseComparisonSchema } from '../model/case-comparison-schema.ts';
import { caseListRequestSchema, caseListResultSchema, listDecisionsSchema } from '../model/case-list-schema.ts';
import { confirmedFiguresSchema } from '../model/confirmed-schema.ts';
import { clockComparisonSchema } from '../model/clock-comparison-schema.ts';
import { fileReportSchema, rejectedRowSchema } from '../model/import-report-schema.ts';
import { knownTermsSchema } from '../model/known-terms-schema.ts';
import { earlierReadingSchema, ledgerImportSchema, ledgerLineSchema, ledgerPlaceSchema, ledgerRowsSchema } from '../model/ledger-schema.ts';
import { mappingSchema, readingRulesSchema } from '../model/mapping-schema.ts';
import { MAX_CLOCK_OFFSET_S } from '../model/mapping.ts';
import { nextStudyOptionsSchema, nextStudySchema, plannedStudySchema } from '../model/next-study-schema.ts';
import { analysisParametersSchema } from '../model/parameters-schema.ts';
import { preparedCaseSchema } from '../model/prepared-case-schema.ts';
import { reportWishesSchema } from '../model/report-document-schema.ts';
import { caseMarkSchema } from '../model/case-mark-schema.ts';
import { storySchema } from '../model/story-schema.ts';
import { laneChoiceSchema } from '../model/lane-choice-schema.ts';
import { chartEditSchema, chartRequestSchema, qualityChartSchema, qualityChartViewSchema, qualityDefinitionSchema, qualityProposalSchema } from '../model/quality-chart-schema.ts';
import { CASE_FLAGS, CERTAINTIES } from '../model/review.ts';
import { caseReviewSchema, fourInstantsSchema, listedEntrySchema, queuedDropoutSchema, queueOrderSchema, reviewNoteSchema, reviewStateSchema, trailCheckSchema, VERDICT_NAMES } from '../model/review-schema.ts';
import { siteCohortSchema } from '../model/site-cohort-schema.ts';
import { siteDetailSchema } from '../model/site-detail-schema.ts';
import { funnelRequestSchema, groupingColumnsSchema, unitFunnelSchema } from '../model/unit-funnel-schema.ts';
import { keptProtocolsSchema, protocolContentSchema } from '../model/study-protocol-schema.ts';
import { ACTION_METHODS } from './action-schema.ts';
import { LIBRARY_METHODS } from './library-calls-schema.ts';
import { RELEASE_METHODS } from './release-api-schema.ts';
import { madeReportSchema, REPORT_METHODS } from './report-api-schema.ts';
import { REVIEW_EXCHANGE_METHODS } from './review-exchange-schema.ts';
import type { CaseSummary, ChangedCase, ComparedChange, HostApi, HostEvent, ImportResult, InterruptedImport, QualityAnswer, VerdictsUnder } from './host-api.ts';

export type HostMethod = keyof HostApi;

/** What a call is given; one that need not be given anything is asked with null. */
type ArgsOf<M extends HostMethod> = Parameters<HostApi[M]> extends [infer A] ? A : Parameters<HostApi[M]> extends [] ? null : NonNullable<Parameters<HostApi[M]>[0]> | null;
type ReplyOf<M extends HostMethod> = Awaited<ReturnType<HostApi[M]>>;

/** A call's argument (null where it takes none) and its reply. */
interface MethodSchema<M extends HostMethod> {
  readonly args: z.ZodType<ArgsOf<M>>;
  readonly reply: z.ZodType<ReplyOf<M>>;
}

/** Names a case or an import; made by the host, opaque to the page. */
export const keySchema = z.string().regex(/^[0-9a-f]{16,64}$/, 'not a key of this library');

/** One line of the library. */
export const caseSummarySchema: z.ZodType<CaseSummary> = z.strictObject({
  caseKey: keySchema,
  caseId: z.string(),
  sites: z.array(z.string()),
  date: z.string().nullable(),
  dropouts: z.number(),
  lostMidMs: z.number(),
  lostLowMs: z.number(),
  lostHighMs: z.number(),
  longestMidMs: z.number(),
  blindMidMs: z.number(),
  monitoredMs: z.number(),
  shareMid: z.number().nullable(),
  doubtfulLost: z.strictObject({ dropouts: z.number(), lostMidMs: z.number(), shareMid: z.number().nullable() }),
  intervalMs: z.number().nullable(),
  channels: z.number(),
  findings: z.number(),
  sourceNames: z.array(z.string()),
  problem: z.string().nullable(),
});
const caseListSchema = z.array(caseSummarySchema);

const decisionSchema = z.enum(['replace', 'keep old', 'keep both']);
const changedCaseSchema: z.ZodType<ChangedCase> = z.strictObject({
  caseKey: keySchema,
  caseId: z.string(),
  rows: z.strictObject({ added: z.number(), removed: z.number(), changed: z.number() }),
  events: z.number(),
  drugs: z.number(),
  dropouts: z.number().nullable(),
  decision: decisionSchema.nullable(),
  storedAs: z.string().nullable(),
});

const verdictsUnderSchema: z.ZodType<VerdictsUnder> = z.strictObject({ verdicts: z.number(), same: z.number(), moved: z.number(), split: z.number(), joined: z.number(), withoutDropout: z.number() });
const comparedChangeSchema: z.ZodType<ComparedChange> = caseComparisonSchema.extend({ reviews: z.union([verdictsUnderSchema, z.literal('not told')]).nullable() });

const earlierSchema = z.array(z.strictObject({ file: z.string(), reading: earlierReadingSchema }));

const importResultSchema: z.ZodType<ImportResult> = z.strictObject({
  importId: keySchema,
  files: z.array(fileReportSchema),
  rejectedRows: z.array(rejectedRowSchema),
  rejectedRowsCut: z.boolean(),
  cases: caseListSchema,
  replaced: z.array(z.string()),
  unchanged: z.array(z.strictObject({ caseId: z.string(), heldBy: z.strictObject({ caseKey: keySchema, caseId: z.string() }) })),
  changed: z.array(changedCaseSchema),
  earlier: earlierSchema,
});

const doneBy = { by: z.string().max(1000).optional() };
const parametersArgsSchema = z.strictObject({ parameters: analysisParametersSchema });
const parameterSetsSchema = z.array(analysisParametersSchema);
const mappingsSchema = z.array(mappingSchema);
const fileOverrulesSchema = z.array(z.strictObject({ file: z.string(), rules: readingRulesSchema, mapping: z.string().max(2000).optional() }));
const interruptedImportSchema: z.ZodType<InterruptedImport> = z.strictObject({
  importId: keySchema,
  files: z.array(z.strictObject({ file: z.string(), byteLength: z.number() })),
  filesRead: z.number().int(),
  cases: z.number().int().nullable(),
  casesDone: z.number().int(),
  casesStored: z.number().int(),
  zone: z.string().nullable(),
  mapping: mappingSchema.nullable(),
  overrules: fileOverrulesSchema,
});

const askedOfListSchema = z.strictObject({ request: caseListRequestSchema, decisions: listDecisionsSchema });
const caseListArgsSchema = z.strictObject({ importId: keySchema, file: z.string().max(4000), asked: askedOfListSchema.nullable() });
const textSchema = z.strictObject({ text: z.string() });
const importArgsSchema = z.strictObject({ importId: keySchema });
const jobArgsSchema = z.strictObject({ jobId: keySchema });
const storiesSchema = z.array(storySchema);
const marksSchema = z.array(caseMarkSchema);
const chartsSchema = z.array(qualityChartSchema);
const qualityAnswerSchema = <T>(answer: z.ZodType<T>): z.ZodType<QualityAnswer<T>> =>
  z.strictObject({ answer, leftOut: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), reason: z.string() })) });
const chartViewSchema = qualityAnswerSchema(qualityChartViewSchema);
const clockChangeFields = { caseKey: keySchema, sourceIndex: z.number().int().min(0), offsetMs: z.number().int().min(-MAX_CLOCK_OFFSET_S * 1000).max(MAX_CLOCK_OFFSET_S * 1000) };
const caseArgsSchema = z.strictObject({ caseKey: keySchema });
// Whether a name can be that of a reader, and a judgement stand, the host says in its own words.
const readerSchema = z.string().max(1000);
const readerArgs = { caseKey: keySchema, by: readerSchema, blinded: z.boolean() };
const viewArgsShape = { caseKey: keySchema, by: readerSchema.nullable(), blinded: z.boolean() };
const viewArgsSchema = z.strictObject(viewArgsShape);
const dropoutIdSchema = z.string().max(1000);
const askedJudgementSchema = z.strictObject({ verdict: z.enum(VERDICT_NAMES), certainty: z.enum(CERTAINTIES).nullable(), note: reviewNoteSchema, correctedBounds: fourInstantsSchema.nullable() });
const libraryCaseSchema = z.strictObject({ caseKey: keySchema, caseId: z.string(), reason: z.string() });

/** The schema of every call, checked by the door before the host sees it and by the page before it is used. */
export const HOST_METHODS: { readonly [M in HostMethod]: MethodSchema<M> } = {
  ...LIBRARY_METHODS,
  listLedger: { args: z.null(), reply: z.array(ledgerLineSchema) },
  openLedger: { args: z.strictObject({ importId: keySchema, run: z.number().int().min(1).nullable() }), reply: ledgerImportSchema },
  ledgerRows: {
    args: z.strictObject({ importId: keySchema, run: z.number().int().min(1), file: z.string(), reason: z.string(), from: z.number().int().min(0) }),
    reply: ledgerRowsSchema,
  },
  matchStaged: {
    args: z.strictObject({ importId: keySchema, place: ledgerPlaceSchema }),
    reply: z.strictObject({
      matched: z.array(z.string()),
      foreign: z.array(z.string()),
      missing: z.array(z.strictObject({ file: z.string(), byteLength: z.number() })),
      overrules: fileOverrulesSchema,
      zone: z.string().nullable(),
      mapping: mappingSchema.nullable(),
    }),
  },
  describe: { args: z.null(), reply: z.strictObject({ productVersion: z.string(), door: z.enum(['desktop', 'browser']), libraryName: z.string(), lock: z.strictObject({ isLocked: z.boolean(), afterMinutes: z.number() }).nullable() }) },
  unlockLibrary: { args: z.strictObject({ passphrase: z.string().max(1000) }), reply: z.strictObject({ unlocked: z.boolean() }) },
  lockLibrary: { args: z.null(), reply: z.strictObject({ locked: z.boolean() }) },
  listCases: { args: z.null(), reply: caseListSchema },
  beginImport: { args: z.null(), reply: importArgsSchema },
  readBefore: { args: importArgsSchema, reply: earlierSchema },
  runImport: {
    args: z.strictObject({
      importId: keySchema,
      overrules: fileOverrulesSchema,
      zone: z.string().nullable(),
      mapping: mappingSchema.nullable(),
    }),
    reply: importResultSchema,
  },
  previewFile: { args: z.strictObject({ importId: keySchema, file: z.string(), zone: z.string().nullable(), rules: readingRulesSchema, atLine: z.int().min(1).nullable() }), reply: filePreviewSchema },
  listKnownTerms: { args: z.null(), reply: knownTermsSchema },
  listMappings: { args: z.null(), reply: mappingsSchema },
  saveMapping: { args: z.strictObject({ mapping: mappingSchema, replace: z.boolean() }), reply: mappingsSchema },
  renameMapping: { args: z.strictObject({ name: z.string(), to: z.string().max(1000) }), reply: mappingsSchema },
  removeMapping: { args: z.strictObject({ name: z.string() }), reply: mappingsSchema },
  readMapping: { args: z.strictObject({ text: z.string().max(2_000_000) }), reply: mappingSchema },
  compareChange: { args: z.strictObject({ importId: keySchema, caseKey: keySchema }), reply: comparedChangeSchema },
  decideChanges: {
    args: z.strictObject({ importId: keySchema, decisions: z.array(z.strictObject({ caseKey: keySchema, decision: decisionSchema, storeAs: z.string().min(1).max(200).nullable() })).max(100_000), ...doneBy }),
    reply: z.strictObject({ changed: z.array(changedCaseSchema), cases: caseListSchema }),
  },
  endImport: { args: importArgsSchema, reply: z.strictObject({ ended: z.literal(true) }) },
  cancelImport: { args: importArgsSchema, reply: z.strictObject({ cancelled: z.boolean() }) },
  interruptedImports: { args: z.null(), reply: z.array(interruptedImportSchema) },
  resumeImport: { args: importArgsSchema, reply: importResultSchema },
  importSamples: { args: z.null(), reply: importResultSchema },
  analyze: { args: z.strictObject({ caseKey: keySchema, parameters: analysisParametersSchema, untilMs: z.number().optional() }), reply: caseAnalysisSchema },
  caseSheet: {
    args: z.strictObject({ caseKey: keySchema, parameters: analysisParametersSchema, wishes: reportWishesSchema, view: z.strictObject({ by: z.string().nullable(), blinded: z.boolean() }).nullable().optional() }),
    reply: madeReportSchema,
  },
  prepareRobustness: { args: z.strictObject({ caseKey: keySchema, parameters: analysisParametersSchema }), reply: preparedCaseSchema },
  siteDetail: { args: z.strictObject({ caseKey: keySchema, parameters: analysisParametersSchema }), reply: siteDetailSchema },
  compareSites: { args: z.strictObject({ jobId: keySchema, caseKeys: z.array(keySchema) }), reply: siteCohortSchema },
  cancelComparison: { args: z.strictObject({ jobId: keySchema }), reply: z.strictObject({ cancelled: z.boolean() }) },
  cohort: { args: z.strictObject({ jobId: keySchema, caseKeys: z.array(keySchema).nullable(), options: cohortOptionsSchema }), reply: cohortResultsSchema },
  cancelCohort: { args: z.strictObject({ jobId: keySchema }), reply: z.strictObject({ cancelled: z.boolean() }) },
  reconcileCaseList: { args: caseListArgsSchema, reply: z.strictObject({ result: caseListResultSchema, asked: askedOfListSchema }) },
  caseListText: { args: caseListArgsSchema, reply: textSchema },
  planStudy: { args: z.strictObject({ jobId: keySchema, caseKeys: z.array(keySchema), options: nextStudyOptionsSchema }), reply: plannedStudySchema },
  cancelStudy: { args: z.strictObject({ jobId: keySchema }), reply: z.strictObject({ cancelled: z.boolean() }) },
  nextStudyText: { args: z.strictObject({ study: nextStudySchema }), reply: textSchema },
  listProtocols: { args: z.null(), reply: keptProtocolsSchema },
  fixProtocol: { args: z.strictObject({ content: protocolContentSchema, before: z.strictObject({ protocolId: z.string().max(64), reason: z.string().max(20_000) }).nullable() }), reply: keptProtocolsSchema },
  protocolText: { args: z.strictObject({ protocolId: z.string().max(64), version: z.number().int().min(1), form: z.enum(['markdown', 'json']) }), reply: textSchema },
  listQualityCharts: { args: z.null(), reply: chartsSchema },
  proposeQualityChart: { args: z.strictObject({ jobId: keySchema, definition: qualityDefinitionSchema }), reply: qualityAnswerSchema(qualityProposalSchema) },
  makeQualityChart: { args: z.strictObject({ jobId: keySchema, request: chartRequestSchema }), reply: chartViewSchema },
  drawQualityChart: { args: z.strictObject({ jobId: keySchema, chartId: keySchema }), reply: chartViewSchema },
  editQualityChart: { args: z.strictObject({ jobId: keySchema, chartId: keySchema, edit: chartEditSchema }), reply: chartViewSchema },
  removeQualityChart: { args: z.strictObject({ chartId: keySchema }), reply: chartsSchema },
  unitFunnel: { args: z.strictObject({ jobId: keySchema, request: funnelRequestSchema }), reply: qualityAnswerSchema(unitFunnelSchema) },
  groupingColumns: { args: jobArgsSchema, reply: qualityAnswerSchema(groupingColumnsSchema) },
  cancelQualityWork: { args: jobArgsSchema, reply: z.strictObject({ cancelled: z.boolean() }) },
  ...REVIEW_EXCHANGE_METHODS,
  ...ACTION_METHODS,
  ...RELEASE_METHODS,
  ...REPORT_METHODS,
  listReviewStates: { args: z.strictObject({ by: z.string().nullable(), blinded: z.boolean() }).nullable(), reply: z.array(reviewStateSchema) },
  readReview: { args: viewArgsSchema, reply: caseReviewSchema },
  confirmedFigures: { args: z.strictObject({ ...viewArgsShape, parameters: analysisParametersSchema }), reply: confirmedFiguresSchema.nullable() },
  giveVerdict: { args: z.strictObject({ ...readerArgs, dropoutId: dropoutIdSchema, judgement: askedJudgementSchema }), reply: caseReviewSchema },
  takeVerdictBack: { args: z.strictObject({ ...readerArgs, dropoutId: dropoutIdSchema }), reply: caseReviewSchema },
  placeVerdict: { args: z.strictObject({ ...readerArgs, entryId: keySchema, dropoutId: dropoutIdSchema }), reply: caseReviewSchema },
  flagCase: { args: z.strictObject({ ...readerArgs, flags: z.array(z.enum(CASE_FLAGS)).max(100), note: reviewNoteSchema }), reply: caseReviewSchema },
  markCaseRead: { args: z.strictObject(readerArgs), reply: caseReviewSchema },
  revealCase: { args: z.strictObject({ caseKey: keySchema, by: readerSchema }), reply: caseReviewSchema },
  giveConsensus: { args: z.strictObject({ caseKey: keySchema, by: readerSchema, dropoutId: dropoutIdSchema, judgement: askedJudgementSchema }), reply: caseReviewSchema },
  reviewQueue: {
    args: z.strictObject({ jobId: keySchema, caseKeys: z.array(keySchema).nullable(), order: queueOrderSchema, by: readerSchema }),
    reply: z.strictObject({ queue: z.array(queuedDropoutSchema), leftOut: z.array(libraryCaseSchema) }),
  },
  cancelReviewWork: { args: jobArgsSchema, reply: z.strictObject({ cancelled: z.boolean() }) },
  checkTrail: { args: z.strictObject({ head: z.string().max(1000).nullable() }), reply: trailCheckSchema },
  listTrail: { args: z.strictObject({ before: z.int().min(1).nullable(), limit: z.int().min(1).max(1000), by: readerSchema.nullable(), blinded: z.boolean() }), reply: z.strictObject({ entries: z.array(listedEntrySchema), total: z.number() }) },
  proposeClockOffsets: { args: caseArgsSchema, reply: z.array(clockComparisonSchema) },
  tryClockOffset: { args: z.strictObject(clockChangeFields), reply: caseAnalysisSchema },
  setClockOffset: { args: z.strictObject({ ...clockChangeFields, ...doneBy, isProposal: z.boolean() }), reply: caseSummarySchema },
  getLanes: { args: z.null(), reply: laneChoiceSchema },
  saveLanes: { args: z.strictObject({ choice: laneChoiceSchema }), reply: laneChoiceSchema },
  listMarks: { args: caseArgsSchema, reply: marksSchema },
  listShownMarks: { args: caseArgsSchema, reply: marksSchema },
  keepMark: { args: z.strictObject({ caseKey: keySchema, mark: caseMarkSchema }), reply: marksSchema },
  removeMark: { args: z.strictObject({ caseKey: keySchema, markId: keySchema }), reply: marksSchema },
  listStories: { args: z.null(), reply: storiesSchema },
  keepStory: { args: z.strictObject({ story: storySchema }), reply: storiesSchema },
  removeStory: { args: z.strictObject({ storyId: keySchema }), reply: storiesSchema },
  removeCase: { args: caseArgsSchema.extend(doneBy), reply: z.strictObject({ removed: z.boolean() }) },
  getParameters: { args: z.null(), reply: analysisParametersSchema },
  saveParameters: { args: parametersArgsSchema.extend(doneBy), reply: caseListSchema },
  listParameterSets: { args: z.null(), reply: parameterSetsSchema },
  saveParameterSet: { args: parametersArgsSchema, reply: parameterSetsSchema },
  removeParameterSet: { args: z.strictObject({ name: z.string() }), reply: parameterSetsSchema },
  readParameterSet: { args: z.strictObject({ text: z.string().max(1_000_000) }), reply: analysisParametersSchema },
};

/** Returns whether `name` is a call of the host (and not something every object inherits). */
export function isHostMethod(name: string): name is HostMethod {
  return Object.hasOwn(HOST_METHODS, name);
}

export const hostEventSchema: z.ZodType<HostEvent> = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('import-progress'),
    importId: keySchema,
    stage: z.enum(['reading', 'analysing', 'writing']),
    file: z.string(),
    bytesDone: z.number(),
    bytesTotal: z.number(),
  }),
  z.strictObject({ kind: z.literal('comparison-progress'), jobId: keySchema, done: z.number(), total: z.number() }),
  z.strictObject({ kind: z.literal('cohort-progress'), jobId: keySchema, stage: z.enum(['reading', 'working out']), done: z.number(), total: z.number() }),
  z.strictObject({ kind: z.literal('study-progress'), jobId: keySchema, stage: z.enum(['reading', 'drawing']), done: z.number(), total: z.number() }),
  z.strictObject({ kind: z.literal('quality-progress'), jobId: z.string(), done: z.number(), total: z.number() }),
  z.strictObject({ kind: z.literal('review-progress'), jobId: keySchema, done: z.number(), total: z.number() }),
  z.strictObject({ kind: z.literal('reviews-changed'), caseKey: keySchema.nullable(), figuresStay: z.literal(true).optional() }),
  z.strictObject({ kind: z.literal('library-changed') }),
  z.strictObject({ kind: z.literal('actions-changed') }),
  z.strictObject({ kind: z.literal('library-locked') }),
  z.strictObject({ kind: z.literal('lock-changed') }),
  z.strictObject({ kind: z.literal('worker-lost'), message: z.string() }),
]);

export const failureSchema: z.ZodType<Failure> = z.strictObject({
  code: z.string(),
  message: z.string(),
  file: z.string().optional(),
  line: z.number().optional(),
  remedy: z.string().optional(),
});

/** What comes back for a call: the reply itself is checked against the method's own schema. */
export const envelopeSchema = z.union([z.strictObject({ ok: z.literal(true), value: z.unknown() }), z.strictObject({ ok: z.literal(false), failure: failureSchema })]);
export type Envelope = z.infer<typeof envelopeSchema>;
