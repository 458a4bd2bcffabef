import dictionary from './dictionary.json' with { type: 'json' };
import { SITES, type Site } from '../model/site.ts';
import { buildPhraseIndex, type PhraseIndex } from './phrase-index.ts';

/** What a word says about where a sensor sits. */
export interface SiteWord {
  /** null: a phrase that only looks like a site (`ear plug`). */
  readonly site: Site | null;
  /** Which of several sensors at the site: `index`, `thumb`, `septum`; '' for the site's plain name. */
  readonly sensor: string;
}

/** Phrases that name a site, in several languages. */
export const SITE_PHRASES: PhraseIndex<SiteWord> = buildPhraseIndex<SiteWord>(entries(), (first) => first);

function* entries(): Generator<readonly [string, SiteWord]> {
  for (const phrase of dictionary.notSites) yield [phrase, { site: null, sensor: '' }];
  for (const [finger, phrases] of Object.entries(dictionary.fingerNames)) for (const phrase of phrases) yield [phrase, { site: 'finger', sensor: finger }];
  for (const [name, { words, snomed }] of Object.entries(dictionary.sites)) {
    const site = SITES.find((known) => known === name);
    if (site === undefined) throw new Error(`unknown site in the dictionary: ${name}`);
    if (snomed !== null) yield [snomed, { site, sensor: '' }];
    for (const phrase of words) yield [phrase, { site, sensor: site === 'other' ? phrase : '' }];
  }
}

const SIDES: ReadonlyMap<string, 'left' | 'right'> = new Map([
  ...dictionary.eventWords.left.map((word) => [word, 'left'] as const),
  ...dictionary.eventWords.right.map((word) => [word, 'right'] as const),
]);

/** Returns the side that a folded word names, or null. `l`, `r`, `lt`, `rt` count too. */
export function sideOf(word: string): 'left' | 'right' | null {
  return SIDES.get(word) ?? null;
}
