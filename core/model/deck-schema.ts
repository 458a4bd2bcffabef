import { z } from 'zod';
import type { Deck, DeckWishes } from './deck.ts';
import { blockSchema } from './report-document-schema.ts';

/** Checks slides on their way between page and host. */
export const deckSchema: z.ZodType<Deck> = z.strictObject({
  title: z.string(), language: z.literal('en'), header: z.string(), footer: z.string(),
  slides: z.array(z.strictObject({ slideId: z.string(), part: z.string(), title: z.string(), blocks: z.array(blockSchema), notes: z.string() })),
});

export const deckWishesSchema: z.ZodType<DeckWishes> = z.strictObject({ withNotes: z.boolean(), withMarks: z.boolean(), keepsLaterBack: z.boolean() });
