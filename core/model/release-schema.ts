import { z } from 'zod';
import { deckSchema } from './deck-schema.ts';
import { RELEASE_DECISIONS, RELEASE_KINDS, RELEASE_LIMITS, type ReleaseAnswer, type ReleaseContent, type ReleaseList } from './release.ts';
import { reportDocumentSchema, reportSheetsSchema } from './report-document-schema.ts';

const answerFields = {
  kind: z.enum(RELEASE_KINDS),
  text: z.string().max(RELEASE_LIMITS.textCharacters),
  decision: z.enum(RELEASE_DECISIONS),
  with: z.string().max(RELEASE_LIMITS.withCharacters),
};

/** Checks what was said about words that would go out. */
export const releaseAnswersSchema: z.ZodType<readonly ReleaseAnswer[]> = z.array(z.strictObject(answerFields)).max(RELEASE_LIMITS.answers);

export const releaseContentSchema: z.ZodType<ReleaseContent> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('deck'), deck: deckSchema }),
  z.strictObject({ kind: z.literal('report'), document: reportDocumentSchema }),
  z.strictObject({ kind: z.literal('sheets'), sheets: reportSheetsSchema }),
]);

export const releaseListSchema: z.ZodType<ReleaseList> = z.strictObject({
  tokens: z.array(z.strictObject({ kind: z.enum(RELEASE_KINDS), text: z.string(), count: z.number(), place: z.string(), context: z.string(), otherPlaces: z.number(), isKept: z.boolean() })),
  columns: z.array(z.strictObject({ kind: z.enum(RELEASE_KINDS), file: z.string(), column: z.string(), cells: z.number(), smallest: z.string(), largest: z.string() })),
  removals: z.array(z.strictObject({ ...answerFields, count: z.number(), isCircular: z.boolean() })),
  open: z.number(),
  isKeepOnly: z.boolean(),
});
