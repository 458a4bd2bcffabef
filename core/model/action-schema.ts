import { z } from 'zod';
import { ACTION_STATES, ACTION_TEXT_MOST, OWNER_ROLE_MOST, STANDINGS } from './action.ts';
import type { ActionChange, ActionDraft, ActionEdit, ActionMeasure, ActionOrigin, ActionSettled, ActionView, MeasuredSide, MeetingAction, Remeasurement } from './action.ts';
import { isCalendarDay, qualityDefinitionSchema } from './quality-chart-schema.ts';

const number = z.number().nullable();
const count = z.number().int().min(0);
const day = z.string().refine(isCalendarDay, 'no day of the calendar (YYYY-MM-DD)');
const text = z.string().max(ACTION_TEXT_MOST);
const title = z.string().max(2000);
const id = z.string().min(1).max(200);

/** Where an action came from. */
export const actionOriginSchema: z.ZodType<ActionOrigin> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('story'), storyId: id, title, momentId: id.nullable() }),
  z.strictObject({ kind: z.literal('report'), title }),
  z.strictObject({ kind: z.literal('by hand') }),
]);

const measureSchema: z.ZodType<ActionMeasure> = z.strictObject({ chartId: id, chartName: title, definition: qualityDefinitionSchema });
const changeShape = { date: day, text, mark: z.strictObject({ chartId: id, changeId: id }).nullable(), saidAt: z.string() };
const changeSchema: z.ZodType<ActionChange> = z.strictObject(changeShape);
const sideSchema: z.ZodType<MeasuredSide> = z.strictObject({
  first: z.string().nullable(), last: z.string().nullable(), cases: count, estimate: number, lower: number, upper: number, reason: z.string().nullable(),
  units: count, numerator: z.number(), denominator: number, method: z.enum(['over units', 'units drawn anew', 'exact']).nullable(), digest: z.string(),
});

/** The measure before and after a change. */
export const remeasurementSchema: z.ZodType<Remeasurement> = z.strictObject({
  measuredAt: z.string(),
  productVersion: z.string(),
  chartId: id,
  changeDate: day,
  standing: z.enum(STANDINGS),
  compared: z.enum(['share of cases', 'per hour', 'share of time', 'median seconds']),
  before: sideSchema,
  after: sideSchema,
  effect: z.strictObject({ kind: z.enum(['ratio', 'difference']), estimate: number, lower: number, upper: number, reason: z.string().nullable() }),
  since: day.nullable(),
  until: day.nullable(),
  draws: z.strictObject({ replicates: z.number(), seed: z.number(), conf: z.number() }),
  leftOut: z.strictObject({ undated: count, notUsable: count, notChosen: count, notReviewed: count.optional() }),
  unread: count,
});

const settledAs = z.enum(['closed', 'not carried out', 'taken up again']);
const settledSchema: z.ZodType<ActionSettled> = z.strictObject({ as: settledAs, reason: text, at: z.string() });

/** An action as the library keeps it. */
export const meetingActionSchema: z.ZodType<MeetingAction> = z.strictObject({
  actionId: z.string().regex(/^[0-9a-f]{16}$/),
  edition: z.number().int().min(1),
  what: text.min(1),
  ownerRole: z.string().min(1).max(OWNER_ROLE_MOST),
  due: day.nullable(),
  measure: measureSchema.nullable(),
  origin: actionOriginSchema,
  saidNoPerson: z.boolean(),
  writtenAt: z.string(),
  change: changeSchema.nullable(),
  takenBack: z.array(z.strictObject({ ...changeShape, reason: text, takenBackAt: z.string() })),
  remeasurements: z.array(remeasurementSchema),
  settled: z.array(settledSchema),
});

/** An action with what follows from it on a day. */
export const actionViewSchema: z.ZodType<ActionView> = z.strictObject({
  action: meetingActionSchema,
  state: z.enum(ACTION_STATES),
  overdueDays: count.nullable(),
  chartName: z.string().nullable(),
  isMarked: z.boolean(),
  measurableFrom: z.string().nullable(),
  last: remeasurementSchema.nullable(),
});

/** A day as the page names it. */
export const daySchema = day;

/** What a person writes of an action. */
export const actionDraftSchema: z.ZodType<ActionDraft> = z.strictObject({ what: text, ownerRole: z.string().max(OWNER_ROLE_MOST), due: day.nullable(), chartId: id.nullable() });

/** What a person does with an action. */
export const actionEditSchema: z.ZodType<ActionEdit> = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('write'), draft: actionDraftSchema }),
  z.strictObject({ kind: z.literal('say change'), date: day, text }),
  z.strictObject({ kind: z.literal('mark change') }),
  z.strictObject({ kind: z.literal('take change back'), reason: text }),
  z.strictObject({ kind: z.literal('settle'), as: settledAs, reason: text }),
]);
