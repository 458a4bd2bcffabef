import dictionary from './dictionary.json' with { type: 'json' };
import { EVENT_KINDS } from '../model/event.ts';
import type { KnownTerms } from '../model/known-terms.ts';

/** Returns every drug and event of the dictionary by its name, in the order of the alphabet (code units); events by kind first. */
export function listKnownTerms(): KnownTerms {
  const drugs = dictionary.drugs.map(({ inn, isVasopressor }) => ({ inn, isVasopressor: isVasopressor ?? false }));
  const terms = new Map(dictionary.eventPatterns.map(({ kind, term }) => [`${kind} ${term}`, { kind, term }]));
  const events = EVENT_KINDS.flatMap((kind) => [...terms.values()].filter((event) => event.kind === kind).map(({ term }) => ({ kind, term })).sort((a, b) => order(a.term, b.term)));
  return { drugs: drugs.sort((a, b) => order(a.inn, b.inn)), events };
}

function order(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
