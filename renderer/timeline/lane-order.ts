import { channelLaneName, inChosenOrder, MOST_LANES } from '../../core/model/lane-choice.ts';
import type { LaneChoice, LaneWish } from '../../core/model/lane-choice.ts';
import type { Channel } from '../../core/model/channel.ts';
import { recordedTitle } from './lanes.ts';
import type { Lane } from './lanes.ts';

/** A lane that a case can have, drawn or not. */
export interface LaneRow extends LaneWish {
  /** Tells it from every other of the case; several channels may bear one name. */
  readonly laneId: string;
  readonly title: string;
  readonly unit: string;
  /** Makes what is drawn: only called for lanes that are shown. */
  readonly lane: () => Lane;
}

/**
 * Returns every lane of a case, drawn or not, from top to bottom.
 * Shape    `own` are the lanes the program knows, shown unless the choice says otherwise; `further` are channels, hidden unless it says so.
 *          Lanes that the choice does not name follow the one that they follow by default.
 */
export function arrangeLanes(own: readonly Lane[], further: readonly Channel[], choice: LaneChoice, laneOf: (channel: Channel) => Lane): LaneRow[] {
  const wishes = new Map(choice.lanes.map((wish) => [wish.laneName, wish]));
  const rows: LaneRow[] = [
    ...own.map((lane): LaneRow => ({ laneName: lane.laneKey, isShown: true, heightPx: null, ...wishes.get(lane.laneKey), laneId: lane.laneId, title: lane.title, unit: lane.unit === 'log' ? '' : lane.unit, lane: () => lane })),
    ...further.map((channel): LaneRow => {
      const laneName = channelLaneName(channel);
      return { laneName, isShown: false, heightPx: null, ...wishes.get(laneName), laneId: `other ${channel.channelId}`, title: recordedTitle(channel), unit: channel.unit, lane: () => laneOf(channel) };
    }),
  ];
  return inChosenOrder(rows, choice);
}

/** Returns the lanes that are drawn: those that are chosen, at most as many as can be; the first where a case has none of them. */
export function shownLanes(rows: readonly LaneRow[]): readonly LaneRow[] {
  const shown = rows.filter((row) => row.isShown);
  return shown.length === 0 ? rows.slice(0, 1) : shown.slice(0, MOST_LANES);
}

/** Returns the rows with one of them `by` places further down (negative: up), as far as there are places. */
export function movedLane(rows: readonly LaneRow[], laneId: string, by: number): LaneRow[] {
  const from = rows.findIndex((row) => row.laneId === laneId);
  const row = rows[from];
  const rest = rows.filter((other) => other !== row);
  if (row !== undefined) rest.splice(Math.max(0, Math.min(rest.length, from + by)), 0, row);
  return rest;
}

/** Returns the rows with one of them before another (null: last). */
export function movedBefore(rows: readonly LaneRow[], laneId: string, beforeId: string | null): LaneRow[] {
  const row = rows.find((one) => one.laneId === laneId);
  if (row === undefined || laneId === beforeId) return [...rows];
  const rest = rows.filter((other) => other !== row);
  const at = rest.findIndex((other) => other.laneId === beforeId);
  rest.splice(at < 0 ? rest.length : at, 0, row);
  return rest;
}

/** Returns the choice that these rows make, with what `before` says of lanes that this case does not have. */
export function choiceOf(rows: readonly LaneRow[], before: LaneChoice): LaneChoice {
  const own = new Map<string, LaneWish>();
  // Channels of one name share one wish: any of them shown shows all.
  for (const { laneName, isShown, heightPx } of rows) {
    const known = own.get(laneName);
    own.set(laneName, { laneName, isShown: isShown || (known?.isShown ?? false), heightPx: known?.heightPx ?? heightPx });
  }
  // A lane of other cases stays behind the one that it stands behind.
  const following = new Map<string | null, LaneWish[]>();
  let last: string | null = null;
  for (const wish of before.lanes) {
    if (own.has(wish.laneName)) last = wish.laneName;
    else following.set(last, [...(following.get(last) ?? []), wish]);
  }
  return { lanes: [...(following.get(null) ?? []), ...[...own.values()].flatMap((wish) => [wish, ...(following.get(wish.laneName) ?? [])])] };
}
