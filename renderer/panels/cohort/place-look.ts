import { ALL_SENSORS, WHOLE_CASE } from '../../../core/model/cohort-burden.ts';
import { SITES } from '../../../core/model/site.ts';
import type { SeriesLook } from '../../charts/chart-types.ts';
import { cssVariable } from '../../timeline/palette.ts';
import { assignSiteStyles } from '../../timeline/site-style.ts';

/** All sensors together, and the time in which no site informed: unlike every site. */
const ALL_LOOK: SeriesLook = { color: 'var(--ink)', dashPx: [7, 3], shape: 'hexagon' };
const CASE_LOOK: SeriesLook = { color: 'var(--accent)', dashPx: [], shape: 'square' };

/** Returns how each sensor's place is drawn: as the timeline draws it; what is no place has a look of its own. */
export function placeLooks(siteKeys: readonly string[]): ReadonlyMap<string, SeriesLook> {
  const sensors = siteKeys.flatMap((siteKey) => {
    const site = SITES.find((name) => siteKey === name || siteKey.startsWith(`${name} `));
    return site === undefined ? [] : [{ siteKey, site }];
  });
  const looks = new Map<string, SeriesLook>([[ALL_SENSORS, ALL_LOOK], [WHOLE_CASE, CASE_LOOK]]);
  for (const [siteKey, style] of assignSiteStyles(sensors)) {
    looks.set(siteKey, { color: cssVariable(style.color), dashPx: style.dashPx, shape: style.marker === 'none' ? 'circle' : style.marker });
  }
  return looks;
}

/** Series of something other than sites, so many that none is told apart by its colour alone. */
const OTHER_LOOKS: readonly SeriesLook[] = [
  { color: 'var(--accent)', dashPx: [], shape: 'circle' },
  { color: 'var(--site-nasal-ala)', dashPx: [7, 3], shape: 'square' },
  { color: 'var(--site-finger)', dashPx: [2, 3], shape: 'triangle' },
  { color: 'var(--site-forehead)', dashPx: [10, 3, 2, 3], shape: 'diamond' },
  { color: 'var(--pressure-ink)', dashPx: [4, 2], shape: 'hexagon' },
];
const FIRST_LOOK: SeriesLook = { color: 'var(--ink)', dashPx: [], shape: 'circle' };

/** Returns the look of the series of this number, from 0. */
export function otherLook(index: number): SeriesLook {
  return OTHER_LOOKS[index % OTHER_LOOKS.length] ?? FIRST_LOOK;
}
