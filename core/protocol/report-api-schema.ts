import { z } from 'zod';
import { cohortOptionsSchema } from '../model/cohort-options-schema.ts';
import { reportDocumentSchema, reportWishesSchema } from '../model/report-document-schema.ts';
import type { MadeReport } from './host-api.ts';
import type { ReportApi } from './report-api.ts';

type MethodSchemas = { readonly [M in keyof ReportApi]: { readonly args: z.ZodType<Parameters<ReportApi[M]>[0]>; readonly reply: z.ZodType<Awaited<ReturnType<ReportApi[M]>>> } };

const keySchema = z.string().regex(/^[0-9a-f]{16,64}$/, 'not a key of this library');
const viewSchema = z.strictObject({ by: z.string().max(1000).nullable(), blinded: z.boolean() });
const overCases = { jobId: keySchema, caseKeys: z.array(keySchema).nullable(), options: cohortOptionsSchema };

export const madeReportSchema: z.ZodType<MadeReport> = z.strictObject({ document: reportDocumentSchema, html: z.string(), pdfBase64: z.string(), pages: z.number().int(), notInFont: z.string() });

/** The schemas of the calls about reports over cases. */
export const REPORT_METHODS: MethodSchemas = {
  departmentReport: { args: z.strictObject({ ...overCases, wishes: reportWishesSchema, view: viewSchema }), reply: madeReportSchema },
  researchBundle: {
    args: z.strictObject({ ...overCases, relativeTime: z.boolean(), robustness: z.boolean(), withReviews: z.boolean() }),
    reply: z.strictObject({ bundleId: keySchema, byteLength: z.number().int(), files: z.array(z.string()), cases: z.number().int(), leftOut: z.array(z.strictObject({ caseId: z.string(), reason: z.string() })) }),
  },
  caseSheets: {
    args: z.strictObject({ jobId: keySchema, caseKeys: z.array(keySchema), wishes: reportWishesSchema, view: viewSchema }),
    reply: z.strictObject({
      sheets: z.array(z.strictObject({ caseKey: keySchema, caseId: z.string(), document: reportDocumentSchema, pages: z.number().int(), notInFont: z.string() })),
      leftOut: z.array(z.strictObject({ caseId: z.string(), reason: z.string() })),
    }),
  },
  cancelReportWork: { args: z.strictObject({ jobId: keySchema }), reply: z.strictObject({ cancelled: z.boolean() }) },
};
