/** How a person wants one lane of the timeline. */
export interface LaneWish {
  /** `LaneKey` of a lane that the program knows; `channel ` and the channel's label for one that is drawn as recorded. */
  readonly laneName: string;
  readonly isShown: boolean;
  /** px; null: the program's own share of the height. */
  readonly heightPx: number | null;
}

/** The lanes of every case of a library, from top to bottom. A lane that is not named stands where it stands by default. */
export interface LaneChoice {
  readonly lanes: readonly LaneWish[];
}

/** Nothing chosen: every lane that the program knows, in its own order and height. */
export const DEFAULT_LANES: LaneChoice = { lanes: [] };

/** Lanes that can be drawn at a time. */
export const MOST_LANES = 24;
/** Limits of a chosen height, px: a lane lower than this cannot be read. */
export const LANE_HEIGHT_PX = { least: 40, most: 600 } as const;
