import { intervalText } from '../base/duration-text.ts';
import { countText } from '../base/number-text.ts';
import type { SiteAnalysis } from './analysis.ts';

/** Returns how often a site was recorded, with every change during the case: "every 60 s, then every 15 s". */
export function recordedWords(site: Pick<SiteAnalysis, 'segments' | 'intervalMs'>): string {
  const texts = site.segments.map((segment) => intervalText(segment.intervalMs));
  const changes = texts.filter((text, index) => text !== texts[index - 1]);
  if (changes.length === 0) return intervalText(site.intervalMs);
  if (changes.length > 3) return `mostly ${intervalText(site.intervalMs)}, changing ${countText(changes.length - 1, 'time', 'times')}`;
  return changes.join(', then ');
}
