import { z } from 'zod';
import { EVENT_KINDS } from './event.ts';
import type { KnownTerms } from './known-terms.ts';

/** What the dictionary knows, as it travels to the page. */
export const knownTermsSchema: z.ZodType<KnownTerms> = z.strictObject({
  drugs: z.array(z.strictObject({ inn: z.string(), isVasopressor: z.boolean() })),
  events: z.array(z.strictObject({ kind: z.enum(EVENT_KINDS), term: z.string() })),
});
