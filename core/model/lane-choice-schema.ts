import { z } from 'zod';
import { LANE_HEIGHT_PX } from './lane-choice.ts';
import type { LaneChoice } from './lane-choice.ts';

/** The schema of the lanes of a library. A lane is named once. */
export const laneChoiceSchema: z.ZodType<LaneChoice> = z.strictObject({
  lanes: z
    .array(
      z.strictObject({
        laneName: z.string().min(1).max(500),
        isShown: z.boolean(),
        heightPx: z.number().int().min(LANE_HEIGHT_PX.least).max(LANE_HEIGHT_PX.most).nullable(),
      }),
    )
    // Names of every channel of every case that was looked at with chosen lanes gather here.
    .max(2000)
    .refine((lanes) => new Set(lanes.map(({ laneName }) => laneName)).size === lanes.length, { message: 'a lane is named twice' }),
});
