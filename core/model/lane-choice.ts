import type { Channel } from './channel.ts';

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

/** Returns the name under which the lane of a channel is kept: the same in every case whose files call it so. */
export function channelLaneName({ label }: Pick<Channel, 'label'>): string {
  return `channel ${label}`;
}

/** Returns lanes in the order that was chosen; those that the choice does not name follow the one that they follow in `lanes`. */
export function inChosenOrder<T extends Pick<LaneWish, 'laneName'>>(lanes: readonly T[], choice: LaneChoice): T[] {
  const rank = new Map(choice.lanes.map(({ laneName }, i) => [laneName, i]));
  const ordered = lanes.filter(({ laneName }) => rank.has(laneName)).sort((a, b) => (rank.get(a.laneName) ?? 0) - (rank.get(b.laneName) ?? 0));
  lanes.forEach((lane, i) => {
    if (rank.has(lane.laneName)) return;
    const before = lanes[i - 1];
    ordered.splice(before === undefined ? 0 : ordered.indexOf(before) + 1, 0, lane);
  });
  return ordered;
}
