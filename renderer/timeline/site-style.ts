import type { Site } from '../../core/model/site.ts';
import type { PaletteKey } from './palette.ts';

export type MarkerShape = 'circle' | 'square' | 'triangle' | 'diamond' | 'triangle-down' | 'cross' | 'hexagon' | 'none';

/** How a line is drawn. Colour never stands alone: dash and marker tell the same lines apart. */
export interface LineStyle {
  readonly color: PaletteKey;
  /** CSS pixels on, off, …; empty for a whole line. */
  readonly dashPx: readonly number[];
  readonly marker: MarkerShape;
  readonly widthPx: number;
}

const STYLE_OF_SITE: Readonly<Record<Site, LineStyle>> = {
  'finger': { color: 'siteFinger', dashPx: [], marker: 'circle', widthPx: 1.6 },
  'toe': { color: 'siteToe', dashPx: [9, 3], marker: 'square', widthPx: 1.6 },
  'ear lobe': { color: 'siteEarLobe', dashPx: [3, 2], marker: 'triangle', widthPx: 1.6 },
  'nasal ala': { color: 'siteNasalAla', dashPx: [10, 3, 2, 3], marker: 'diamond', widthPx: 1.6 },
  'forehead': { color: 'siteForehead', dashPx: [6, 3], marker: 'triangle-down', widthPx: 1.6 },
  'other': { color: 'siteOther', dashPx: [2, 3], marker: 'cross', widthPx: 1.6 },
  'unstated': { color: 'siteUnstated', dashPx: [], marker: 'hexagon', widthPx: 1.6 },
};

const SITES_IN_ORDER: readonly Site[] = ['finger', 'toe', 'ear lobe', 'nasal ala', 'forehead', 'unstated', 'other'];

/**
 * Returns the line style of each sensor of a case, keyed by site key.
 * The first sensor at a site wears that site's style. Another sensor at the same site borrows the first style that no
 * sensor of the case wears, so two sensors never look alike while there are seven or fewer.
 */
export function assignSiteStyles(sensors: readonly { readonly siteKey: string; readonly site: Site }[]): ReadonlyMap<string, LineStyle> {
  const styles = new Map<string, LineStyle>();
  const taken = new Set<Site>();
  const waiting: { readonly siteKey: string; readonly site: Site }[] = [];
  for (const sensor of sensors) {
    if (styles.has(sensor.siteKey)) continue;
    if (taken.has(sensor.site)) waiting.push(sensor);
    else {
      taken.add(sensor.site);
      styles.set(sensor.siteKey, STYLE_OF_SITE[sensor.site]);
    }
  }
  for (const sensor of waiting) {
    const free = SITES_IN_ORDER.find((site) => !taken.has(site)) ?? sensor.site;
    taken.add(free);
    if (!styles.has(sensor.siteKey)) styles.set(sensor.siteKey, STYLE_OF_SITE[free]);
  }
  return styles;
}
