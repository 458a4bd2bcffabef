import type { JSX } from 'react';
import type { SiteAnalysis } from '../../../core/model/analysis.ts';
import { cssVariable } from '../../timeline/palette.ts';
import { assignSiteStyles, type LineStyle, type MarkerShape } from '../../timeline/site-style.ts';
import { siteText } from './case-facts.ts';

/** Returns the style of every site, the same as in the timeline. */
export function stylesOf(sites: readonly SiteAnalysis[]): ReadonlyMap<string, LineStyle> {
  return assignSiteStyles(sites);
}

const SHAPES: Readonly<Record<Exclude<MarkerShape, 'none'>, string>> = {
  'circle': 'M9 6a3 3 0 1 0 6 0a3 3 0 1 0 -6 0',
  'square': 'M9 3h6v6h-6z',
  'triangle': 'M12 2.2l3.6 6.6h-7.2z',
  'triangle-down': 'M12 9.8l3.6 -6.6h-7.2z',
  'diamond': 'M12 2l4 4l-4 4l-4 -4z',
  'cross': 'M11 2h2v3h3v2h-3v3h-2v-3h-3v-2h3z',
  'hexagon': 'M10 3h4l2 3l-2 3h-4l-2 -3z',
};

/** Returns a site's name with its line and marker as the timeline draws them. */
export function SiteName({ siteKey, styles }: { readonly siteKey: string; readonly styles: ReadonlyMap<string, LineStyle> }): JSX.Element {
  const style = styles.get(siteKey);
  return (
    <span className="site-name">
      {style === undefined ? null : (
        <svg width="24" height="12" viewBox="0 0 24 12" aria-hidden="true" focusable="false">
          <path d="M0 6H24" fill="none" stroke={cssVariable(style.color)} strokeWidth="1.8" strokeDasharray={style.dashPx.join(' ')} />
          {style.marker === 'none' ? null : <path d={SHAPES[style.marker]} fill={cssVariable(style.color)} />}
        </svg>
      )}
      {siteText(siteKey)}
    </span>
  );
}
