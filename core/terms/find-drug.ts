import dictionary from './dictionary.json' with { type: 'json' };
import { DRUG_PHRASES, findMisspelt, LONE_NAME_MEANS, type DrugEntry, type DrugName } from './drug-names.ts';
import { normalizeDoseUnit } from './dose-unit.ts';
import { foldText, wordsOf } from './fold-text.ts';
import { buildPhraseIndex, findPhrases, type PhraseHit } from './phrase-index.ts';
import { isLocalRoute, normalizeRoute, ROUTE_PHRASES } from './route.ts';
import type { DrugTerm } from './terms.ts';

/**
 * Returns what the dictionary makes of a drug cell: `Norepinephrine (mcg/min)`, `neo`, `C01CA06`, `ephidrine`.
 * Shape    `term` is null when nothing is recognised or when several drugs are meant, then listed in `ambiguous`.
 *          A term for a route by which it is no vasopressor (nasal, drops, nebulised, infiltrated) says isVasopressor
 *          false, carries that route's ATC code where one is known, and no bolus range.
 * Missing  abbreviations of a few letters count only where nothing unknown stands beside them.
 * Source   names: handbook section 5 and common practice without source; ATC: handbook section 5.
 */
export function findDrug(name: string, route?: string | null): { term: DrugTerm | null; ambiguous: string[] } {
  const words = wordsOf(foldText(name));
  const stated = (route === undefined || route === null ? null : normalizeRoute(route)) ?? normalizeRoute(name);
  const lone = words.length === 1 ? LONE_NAME_MEANS[words[0] ?? ''] : undefined;
  if (lone !== undefined) return { term: null, ambiguous: [...lone] };
  const hits = findPhrases(words, DRUG_PHRASES);
  const named = hits.filter((hit) => hit.meaning.kind === 'name');
  if (named.length > 0) return settle(named, stated);
  const ambiguous = hits.find((hit) => hit.meaning.kind === 'ambiguous');
  if (ambiguous !== undefined) return { term: null, ambiguous: ambiguous.meaning.entries.map((entry) => entry.term.inn) };
  const [short] = hits;
  if (short !== undefined && isAllKnown(words, short)) return settle(hits, stated);
  for (const word of words) {
    const misspelt = findMisspelt(word);
    if (misspelt?.entry) return { term: termByRoute(misspelt.entry, stated, null), ambiguous: [] };
    if (misspelt) return { term: null, ambiguous: [...misspelt.ambiguous] };
  }
  return { term: null, ambiguous: [] };
}

function settle(hits: readonly PhraseHit<DrugName>[], route: string | null): { term: DrugTerm | null; ambiguous: string[] } {
  const found = hits.flatMap((hit) => hit.meaning.entries.slice(0, 1).map((entry) => ({ entry, code: hit.meaning.code })));
  const anaesthetic = found.find((drug) => drug.entry.drugClass === 'local anaesthetic');
  const [first] = found;
  if (first === undefined) return { term: null, ambiguous: [] };
  // Epinephrine mixed into a local anaesthetic is part of that drug, not a vasopressor dose (handbook 5).
  if (anaesthetic !== undefined) return { term: anaesthetic.entry.term, ambiguous: [] };
  const pressors = [...new Set(found.filter((drug) => drug.entry.term.isVasopressor).map((drug) => drug.entry.term.inn))];
  if (pressors.length > 1) return { term: null, ambiguous: pressors };
  return { term: termByRoute(first.entry, route, first.code), ambiguous: [] };
}

/**
 * Returns the term of a drug given by `route`. `code` is the ATC code that named it, if one did.
 * An unstated route is taken as the usual one for a vasopressor in theatre (into a vein).
 */
export function termByRoute(entry: DrugEntry, route: string | null, code: string | null): DrugTerm {
  const { term } = entry;
  const byRoute = route === null ? undefined : entry.atcByRoute[route];
  const local = route !== null && isLocalRoute(route);
  if (code !== null && code !== term.atc) return { ...term, atc: code, isVasopressor: false, bolus: null };
  if (local) return { ...term, atc: byRoute === undefined ? (term.isVasopressor ? null : term.atc) : byRoute, isVasopressor: false, bolus: null };
  if (route === 'oral' && byRoute !== undefined) return { ...term, atc: byRoute, isVasopressor: false, bolus: null };
  // The usual bolus range is of doses into a vein.
  return route === null || route === 'iv' || route === 'io' ? term : { ...term, bolus: null };
}

const WORDS_BESIDE_A_NAME = buildPhraseIndex(
  [...Object.values(dictionary.doseWords).flat(), 'inj', 'injection', 'syringe', 'syr', 'k', 'hcl', 'in', 'ns', 'nacl', 'd5w', 'unknown', 'premix', 'mixture'].map((phrase) => [phrase, true] as const),
);

function isAllKnown(words: readonly string[], name: PhraseHit<DrugName>): boolean {
  const known = new Set<number>();
  for (const hit of [...findPhrases(words, ROUTE_PHRASES), ...findPhrases(words, WORDS_BESIDE_A_NAME), ...findPhrases(words, DRUG_PHRASES)]) {
    for (let i = hit.start; i < hit.end; i += 1) known.add(i);
  }
  return words.every((word, i) => (i >= name.start && i < name.end) || known.has(i) || /^[0-9]/.test(word) || normalizeDoseUnit(word) !== null || PER_WORD.test(word));
}

const PER_WORD = /^(kg|min|h|hr|per)$/;
