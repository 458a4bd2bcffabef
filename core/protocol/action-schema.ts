import { z } from 'zod';
import { actionDraftSchema, actionEditSchema, actionOriginSchema, actionViewSchema, daySchema } from '../model/action-schema.ts';
import type { ActionApi } from './action-api.ts';

type MethodSchemas = { readonly [M in keyof ActionApi]: { readonly args: z.ZodType<Parameters<ActionApi[M]>[0]>; readonly reply: z.ZodType<Awaited<ReturnType<ActionApi[M]>>> } };

const asker = { today: daySchema, by: z.string().max(1000).optional() };
const place = { ...asker, actionId: z.string().regex(/^[0-9a-f]{16}$/), edition: z.number().int().min(1) };
const jobId = z.string().regex(/^[0-9a-f]{16,64}$/);
const actionsSchema = z.array(actionViewSchema);
const leftOutSchema = z.array(z.strictObject({ caseKey: z.string(), caseId: z.string(), reason: z.string() }));

/** The schemas of the calls about actions. */
export const ACTION_METHODS: MethodSchemas = {
  listActions: { args: z.strictObject(asker), reply: actionsSchema },
  addAction: { args: z.strictObject({ ...asker, draft: actionDraftSchema, origin: actionOriginSchema, saidNoPerson: z.boolean() }), reply: z.strictObject({ actionId: z.string(), actions: actionsSchema }) },
  editAction: { args: z.strictObject({ ...place, edit: actionEditSchema, saidNoPerson: z.boolean() }), reply: actionsSchema },
  measureAgain: { args: z.strictObject({ ...place, jobId }), reply: z.strictObject({ actions: actionsSchema, isNew: z.boolean(), leftOut: leftOutSchema }) },
  cancelActionWork: { args: z.strictObject({ jobId }), reply: z.strictObject({ cancelled: z.boolean() }) },
  actionsText: { args: z.strictObject({ ...asker, form: z.enum(['csv', 'json']) }), reply: z.strictObject({ text: z.string() }) },
};
