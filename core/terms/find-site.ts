import type { Site } from '../model/site.ts';
import { foldText, wordsOf } from './fold-text.ts';
import { findPhrases } from './phrase-index.ts';
import { sideOf, SITE_PHRASES } from './site-words.ts';

/**
 * Returns the oximeter site that a cell, a heading or a note names, or null when it names none.
 * Shape    `sensor` tells two sensors at one site apart, in the order side, finger, number: 'left', 'index', 'left index', '2';
 *          '' when nothing more is said. Where several sites are named, the last: `moved from finger to ear`.
 * Source   SNOMED CT body sites as in handbook 8.3 are taken as names too (none is confirmed for the nasal ala); words:
 *          common practice without source.
 */
export function findSite(text: string): { site: Site; sensor: string } | null {
  const words = wordsOf(foldText(text));
  const all = findPhrases(words, SITE_PHRASES).filter((hit) => hit.meaning.site !== null);
  // "right hand index" names a finger; "hand" alone is another site.
  const precise = all.filter((hit) => hit.meaning.site !== 'other');
  const hits = precise.length > 0 ? precise : all;
  const hit = hits.at(-1);
  if (hit === undefined || hit.meaning.site === null) return null;
  const from = hits.at(-2)?.end ?? 0;
  const side = words.slice(from).map(sideOf).find((found) => found !== null);
  const number = words.slice(hit.end).find((word) => /^\d{1,2}$/.test(word));
  return { site: hit.meaning.site, sensor: [side, hit.meaning.sensor, number].filter((part) => part !== undefined && part !== '').join(' ') };
}
