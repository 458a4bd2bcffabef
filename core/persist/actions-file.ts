import { z } from 'zod';
import { type Result, fail, ok } from '../base/result.ts';
import type { ActionView } from '../model/action.ts';
import { actionViewSchema } from '../model/action-schema.ts';

const fileSchema = z.object({ schema: z.literal('lacuna-actions-list/1'), today: z.string(), actions: z.array(actionViewSchema) });

/** Returns the actions that an actions.json holds, as they stood on its day, or why it is none. */
export function parseActions(json: unknown): Result<readonly ActionView[]> {
  const parsed = fileSchema.safeParse(json);
  if (parsed.success) return ok(parsed.data.actions);
  const [issue] = parsed.error.issues;
  return fail({ code: 'actions-unreadable', message: `it is no list of actions (${issue === undefined ? 'unknown' : `${issue.path.join('.')}: ${issue.message}`}).`, remedy: 'Write one with: lacuna library actions LIBRARY --out actions.json' });
}
