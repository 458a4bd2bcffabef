import { z } from 'zod';
import { DECK_FORMS, REPORT_FORMS } from '../model/deck.ts';
import { deckSchema, deckWishesSchema } from '../model/deck-schema.ts';
import { releaseAnswersSchema, releaseContentSchema, releaseListSchema } from '../model/release-schema.ts';
import { reportDocumentSchema, reportSheetsSchema } from '../model/report-document-schema.ts';
import { reportSettingSchema } from '../model/report-setting-schema.ts';
import type { ReleaseApi, WrittenRelease } from './release-api.ts';

type ArgsOf<M extends keyof ReleaseApi> = Parameters<ReleaseApi[M]> extends [infer A] ? A : null;
type MethodSchemas = { readonly [M in keyof ReleaseApi]: { readonly args: z.ZodType<ArgsOf<M>>; readonly reply: z.ZodType<Awaited<ReturnType<ReleaseApi[M]>>> } };

const writtenSchema: z.ZodType<WrittenRelease> = z.strictObject({ fileName: z.string(), mediaType: z.string(), base64: z.string(), notInFont: z.string() });
/** Nothing of a case may stand in the name of a file: it is made of a few plain words. */
const fileNameSchema = z.string().regex(/^[a-z]+(?:-[a-z]+){0,5}$/);

const keySchema = z.string().regex(/^[0-9a-f]{16,64}$/);
const bySchema = z.string().max(200).optional();

/** The schemas of the calls about what leaves the library. */
export const RELEASE_METHODS: MethodSchemas = {
  getReportSetting: { args: z.null(), reply: reportSettingSchema },
  saveReportSetting: { args: z.strictObject({ setting: reportSettingSchema }), reply: reportSettingSchema },
  listRelease: { args: z.strictObject({ content: releaseContentSchema, answers: releaseAnswersSchema }), reply: releaseListSchema },
  writeReport: { args: z.strictObject({ document: reportDocumentSchema, answers: releaseAnswersSchema, form: z.enum(REPORT_FORMS), fileName: fileNameSchema, caseKeys: z.array(keySchema).nullable().optional(), by: bySchema }), reply: writtenSchema },
  writeSheets: { args: z.strictObject({ sheets: reportSheetsSchema, answers: releaseAnswersSchema, form: z.enum(REPORT_FORMS), fileName: fileNameSchema, caseKeys: z.array(keySchema).nullable().optional(), by: bySchema }), reply: writtenSchema },
  storyDeck: { args: z.strictObject({ storyId: z.string().regex(/^[0-9a-f]{32}$/), wishes: deckWishesSchema }), reply: deckSchema },
  writeDeck: { args: z.strictObject({ deck: deckSchema, answers: releaseAnswersSchema, form: z.enum(DECK_FORMS), picture: z.number().int().min(0).max(10_000), storyId: keySchema.optional(), by: bySchema }), reply: writtenSchema },
  listBundle: { args: z.strictObject({ bundleId: keySchema, answers: releaseAnswersSchema }), reply: releaseListSchema },
  writeBundle: { args: z.strictObject({ bundleId: keySchema, answers: releaseAnswersSchema, by: bySchema }), reply: writtenSchema },
};
