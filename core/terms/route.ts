import dictionary from './dictionary.json' with { type: 'json' };
import { foldText, wordsOf } from './fold-text.ts';
import { buildPhraseIndex, findPhrases, type PhraseIndex } from './phrase-index.ts';

/** Phrases that name a route; '' where a phrase only looks like one (`nasal intubation`). */
export const ROUTE_PHRASES: PhraseIndex<string> = buildPhraseIndex([
  ...Object.entries(dictionary.routes).flatMap(([route, phrases]) => phrases.map((phrase) => [phrase, route] as const)),
  ...dictionary.notRoutes.map((phrase) => [phrase, ''] as const),
]);

const NOT_SYSTEMIC: ReadonlySet<string> = new Set(dictionary.notSystemicRoutes);

/**
 * Returns the route named in a route cell or column (`iv`, `io`, `im`, `sc`, `oral`, `nasal`, `ophthalmic`, `inhaled`,
 * `irrigation`, `local`, `topical`, `epidural`, `intrathecal`, `endotracheal`), or null when none is recognised.
 * Where several are named, `iv` wins, then the first.
 */
export function normalizeRoute(text: string): string | null {
  const routes = findPhrases(wordsOf(foldText(text)), ROUTE_PHRASES)
    .map((hit) => hit.meaning)
    .filter((route) => route !== '');
  return routes.includes('iv') ? 'iv' : (routes[0] ?? null);
}

/** Returns true when a vasopressor given by this route is no vasopressor dose (drops, spray, nebuliser, infiltration). */
export function isLocalRoute(route: string): boolean {
  return NOT_SYSTEMIC.has(route);
}
