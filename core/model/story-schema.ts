import { z } from 'zod';
import { laneChoiceSchema } from './lane-choice-schema.ts';
import { STORY_FACTORS, STORY_LIMITS, STORY_PARTS } from './story.ts';
import type { Story, StoryMoment, StoryView } from './story.ts';

const idSchema = z.string().regex(/^[0-9a-f]{32}$/);
const instant = z.number();

const storyViewSchema: z.ZodType<StoryView> = z
  .strictObject({
    caseKey: z.string().regex(/^[0-9a-f]{16,64}$/),
    clock: z.enum(['absolute', 'time of day', 'elapsed']),
    startMs: instant,
    endMs: instant,
    instantMs: instant.nullable(),
    dropout: z
      .strictObject({ siteKey: z.string().max(1000), lastGoodMs: instant, firstLostMs: instant, lastLostMs: instant.nullable(), firstGoodMs: instant.nullable(), censoredAtMs: instant.nullable() })
      .nullable(),
    lanes: laneChoiceSchema,
    isBoundShown: z.boolean(),
    inputs: z.array(z.strictObject({ sha256: z.string().max(64), clockOffsetMs: z.number() })).max(10_000),
  })
  .refine(({ startMs, endMs }) => endMs >= startMs, { message: 'a view has to end after it begins' });

/** The schema of one screen of a story. */
const storyMomentSchema: z.ZodType<StoryMoment> = z.strictObject({
  momentId: idSchema,
  part: z.enum(STORY_PARTS),
  factor: z.enum(STORY_FACTORS).nullable(),
  title: z.string().max(STORY_LIMITS.titleCharacters),
  text: z.string().max(STORY_LIMITS.textCharacters),
  notes: z.string().max(STORY_LIMITS.notesCharacters),
  view: storyViewSchema.nullable(),
  showsMarks: z.boolean().optional(),
});

/** The schema of a story. No two moments have one id. */
export const storySchema: z.ZodType<Story> = z.strictObject({
  storyId: idSchema,
  revision: z.number().int().min(0),
  title: z.string().max(STORY_LIMITS.titleCharacters),
  question: z.string().max(STORY_LIMITS.questionCharacters),
  minutesPerCase: z.number().min(STORY_LIMITS.minutesLeast).max(STORY_LIMITS.minutesMost),
  hidesLater: z.boolean(),
  moments: z
    .array(storyMomentSchema)
    .max(STORY_LIMITS.moments)
    .refine((moments) => new Set(moments.map(({ momentId }) => momentId)).size === moments.length, { message: 'two moments have one id' }),
});
