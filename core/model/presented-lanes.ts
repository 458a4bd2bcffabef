import type { CaseRecord } from './case.ts';
import { channelLaneName } from './lane-choice.ts';
import type { LaneChoice, LaneWish } from './lane-choice.ts';
import { QUANTITY_FACTS } from './quantity.ts';

/**
 * Returns the lanes of a view as the presented case calls them: a channel's lane bears the name of its quantity instead of the one in the file.
 * Lanes of channels that are not presented fall away.
 */
export function presentedLanes(choice: LaneChoice, record: Pick<CaseRecord, 'channels'>): LaneChoice {
  const names = new Map(record.channels.filter(({ quantity }) => quantity !== 'other').map((channel) => [channelLaneName(channel), channelLaneName({ ...channel, label: QUANTITY_FACTS[channel.quantity].name })]));
  const wishes = new Map<string, LaneWish>();
  for (const wish of choice.lanes) {
    const laneName = names.get(wish.laneName) ?? (wish.laneName.startsWith('channel ') ? null : wish.laneName);
    if (laneName === null) continue;
    const known = wishes.get(laneName);
    wishes.set(laneName, { laneName, isShown: wish.isShown || (known?.isShown ?? false), heightPx: known?.heightPx ?? wish.heightPx });
  }
  return { lanes: [...wishes.values()] };
}
