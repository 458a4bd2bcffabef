import { z } from 'zod';
import { fileReportSchema } from './import-report-schema.ts';
import type { EarlierReading, LedgerEntry, LedgerImport, LedgerLine, LedgerPlace, LedgerRows, LedgerRun } from './ledger.ts';
import { LEDGER_SCHEMA } from './ledger.ts';
import { mappingSchema, readingRulesSchema } from './mapping-schema.ts';

const importId = z.string().regex(/^[0-9a-f]{32}$/);
const run = z.number().int().min(1);
const base = { schema: z.literal(LEDGER_SCHEMA), importId, at: z.string(), productVersion: z.string(), run };

/** Names one reading of one import. */
export const ledgerPlaceSchema: z.ZodType<LedgerPlace> = z.strictObject({ importId, run });

const decisions = z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), decision: z.enum(['replace', 'keep old', 'keep both']), storedAs: z.string().nullable() }));

const runShape = {
  ...base,
  kind: z.literal('run'),
  zone: z.string().nullable(),
  mapping: mappingSchema.nullable(),
  overrules: z.array(z.strictObject({ file: z.string(), rules: readingRulesSchema, mapping: z.string().optional() })),
  overruled: z.array(z.strictObject({ file: z.string(), field: z.string(), taken: z.string().nullable(), said: z.string(), mapping: z.string().nullable() })),
  files: z.array(fileReportSchema),
  cases: z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), outcome: z.enum(['stored', 'already there', 'differs']), heldBy: z.string().nullable() })),
  rowsKept: z.number().int(),
  looseName: z.string(),
};
const ledgerRunSchema: z.ZodType<LedgerRun> = z.strictObject(runShape);

/** One entry, as it stands in a file of its own. */
export const ledgerEntrySchema: z.ZodType<LedgerEntry> = z.discriminatedUnion('kind', [
  z.strictObject({ ...base, kind: z.literal('begun'), files: z.array(z.strictObject({ file: z.string(), byteLength: z.number() })), corrects: ledgerPlaceSchema.nullable() }),
  z.strictObject(runShape),
  z.strictObject({ ...base, kind: z.literal('stopped'), why: z.enum(['cancelled', 'failed']), message: z.string() }),
  z.strictObject({ ...base, kind: z.literal('decision'), decisions }),
]);

/** One import in the list. */
export const ledgerLineSchema: z.ZodType<LedgerLine> = z.strictObject({
  importId,
  state: z.enum(['complete', 'waiting', 'running', 'interrupted', 'cancelled', 'failed', 'damaged']),
  firstAt: z.string(),
  lastAt: z.string(),
  runs: z.number(),
  productVersion: z.string(),
  names: z.array(z.string()),
  files: z.number(),
  filesFailed: z.number(),
  rowsRead: z.number(),
  rowsAccepted: z.number(),
  rowsRejected: z.number(),
  casesStored: z.number(),
  casesThere: z.number(),
  casesWaiting: z.number(),
  overruled: z.number(),
});

/** One import, opened. */
export const ledgerImportSchema: z.ZodType<LedgerImport> = z.strictObject({
  line: ledgerLineSchema,
  history: z.array(z.strictObject({ at: z.string(), kind: z.enum(['begun', 'run', 'stopped', 'decision']), run, words: z.string() })),
  run: ledgerRunSchema.nullable(),
  decisions,
  damaged: z.number(),
});

/** A part of the rejected rows of one file and reason. */
export const ledgerRowsSchema: z.ZodType<LedgerRows> = z.strictObject({ rows: z.array(z.strictObject({ line: z.number(), row: z.string() })), kept: z.number() });

/** An earlier import that read the same file. */
export const earlierReadingSchema: z.ZodType<EarlierReading> = z.strictObject({ importId, run, at: z.string(), file: z.string(), caseIds: z.array(z.string()) });
