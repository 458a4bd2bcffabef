import { z } from 'zod';
import { MARK_TEXT_MOST } from './case-mark.ts';
import type { CaseMark } from './case-mark.ts';

/** The schema of a mark: a note may be empty, a span ends after it begins. */
export const caseMarkSchema: z.ZodType<CaseMark> = z
  .strictObject({
    markId: z.string().regex(/^[0-9a-f]{32}$/),
    clock: z.enum(['absolute', 'time of day', 'elapsed']),
    startMs: z.number(),
    endMs: z.number().nullable(),
    text: z.string().max(MARK_TEXT_MOST),
  })
  .refine(({ startMs, endMs }) => endMs === null || endMs > startMs, { message: 'a span has to end after it begins' });
