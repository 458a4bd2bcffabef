import type { Channel } from '../model/channel.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import { siteKey, type Site } from '../model/site.ts';

/** Gives every channel its id and numbers sensors only where a site has more than one. */
export function nameChannels(channels: readonly Channel[]): Channel[] {
  const sensorsOfSite = new Map<Site, Set<string>>();
  for (const channel of channels) {
    if (channel.site === null || channel.quantity !== 'spo2') continue;
    const own = sensorsOfSite.get(channel.site) ?? new Set<string>();
    own.add(channel.sensor);
    sensorsOfSite.set(channel.site, own);
  }
  const used = new Map<string, number>();
  return channels.map((channel) => {
    let { sensor } = channel;
    if (channel.site !== null) {
      const own = sensorsOfSite.get(channel.site);
      // A site with one sensor needs no number to tell it apart.
      if (own !== undefined && own.size === 1 && own.has(sensor)) sensor = '';
    }
    const place = channel.site === null ? channel.quantity : `${channel.quantity}@${siteKey({ site: channel.site, sensor })}`;
    const base = channel.quantity === 'other' ? `other ${channel.label}` : place;
    const count = (used.get(base) ?? 0) + 1;
    used.set(base, count);
    return { ...channel, sensor: QUANTITY_FACTS[channel.quantity].ofSensor ? sensor : '', channelId: count === 1 ? base : `${base} (${count})` };
  });
}
