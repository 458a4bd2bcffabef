import { z } from 'zod';
import type { ReviewCounts } from './confirmed.ts';

const count = z.number().int().min(0);

/** What reviewers said of dropouts, as plain data. */
export const reviewCountsSchema: z.ZodType<ReviewCounts> = z.strictObject({ dropouts: count, confirmed: count, refuted: count, cannotTell: count, disputed: count, notReviewed: count, corrected: count, tooShort: count });
