import { describe, expect, it } from 'vitest';
import { SITES } from '../../../../core/model/site.ts';
import { assignSiteStyles } from '../../../../renderer/timeline/site-style.ts';

describe('assignSiteStyles', () => {
  it('tells all sites apart without colour: no two share dash and marker', () => {
    const styles = [...assignSiteStyles(SITES.map((site) => ({ siteKey: site, site }))).values()];
    expect(new Set(styles.map((style) => `${style.dashPx.join(' ')}|${style.marker}`)).size).toBe(SITES.length);
    expect(new Set(styles.map((style) => style.marker)).size).toBe(SITES.length);
  });
  it('lends a second sensor at the same site a style of its own', () => {
    const styles = assignSiteStyles([{ siteKey: 'unstated 1', site: 'unstated' }, { siteKey: 'unstated 2', site: 'unstated' }, { siteKey: 'finger', site: 'finger' }]);
    expect(styles.get('finger')?.color).toBe('siteFinger');
    expect(new Set([...styles.values()].map((style) => style.marker)).size).toBe(3);
  });
});
