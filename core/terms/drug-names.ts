import dictionary from './dictionary.json' with { type: 'json' };
import { foldText, spellingsOf, wordsOf } from './fold-text.ts';
import { buildPhraseIndex, type PhraseIndex } from './phrase-index.ts';
import { editDistance, letterBits, lettersApart } from './spelling.ts';
import type { DrugTerm } from './terms.ts';

/** A drug as the dictionary lists it: its term when given by vein, and what differs by another route. */
export interface DrugEntry {
  readonly term: DrugTerm;
  readonly drugClass: string;
  readonly atcByRoute: Readonly<Record<string, string | null>>;
}

/** What one phrase means as a drug's name. */
export interface DrugName {
  /** One drug, or several where the name is ambiguous. */
  readonly entries: readonly DrugEntry[];
  /** Further meanings of an ambiguous name that are no drug (`NA`: not available). */
  readonly otherMeanings: readonly string[];
  readonly kind: 'name' | 'abbreviation' | 'ambiguous';
  /** In a sentence this abbreviation counts only beside a dose with its unit or an infusion word. */
  readonly needsUnit: boolean;
  /** An abbreviation that also means other things outside theatre: what it was read as is shown. */
  readonly isShown: boolean;
  /** ATC code of the very form named, where the name was a code (`R01AB01`). */
  readonly code: string | null;
}

interface ListedDrug {
  readonly inn: string;
  readonly atc: string;
  readonly class: string;
  readonly names: readonly string[];
  readonly abbreviations: readonly string[];
  readonly isVasopressor?: boolean;
  readonly bolus?: { readonly low: number; readonly high: number; readonly unit: string } | null;
  readonly infusionOnly?: boolean;
  readonly atcByRoute?: Readonly<Record<string, string | null | undefined>>;
  readonly otherCodes?: readonly string[];
}

const LISTED: readonly ListedDrug[] = dictionary.drugs;

const ENTRIES: ReadonlyMap<string, DrugEntry> = new Map(
  LISTED.map((drug) => [
    drug.inn,
    {
      term: { inn: drug.inn, atc: drug.atc, isVasopressor: drug.isVasopressor ?? false, bolus: drug.bolus ?? null, infusionOnly: drug.infusionOnly ?? false },
      drugClass: drug.class,
      atcByRoute: Object.fromEntries(Object.entries(drug.atcByRoute ?? {}).map(([route, atc]) => [route, atc ?? null])),
    },
  ]),
);

/** Returns the dictionary's entry for an INN. Errors: throws when the dictionary does not list it (our bug). */
export function drugEntry(inn: string): DrugEntry {
  const entry = ENTRIES.get(inn);
  if (entry === undefined) throw new Error(`drug not in the dictionary: ${inn}`);
  return entry;
}

const NEEDS_UNIT: ReadonlySet<string> = new Set(dictionary.abbreviationsNeedingUnit);
const SHOWN: ReadonlySet<string> = new Set(dictionary.abbreviationsToFlag);

function* names(): Generator<readonly [string, DrugName]> {
  const ambiguous: Readonly<Record<string, readonly string[]>> = dictionary.ambiguousNames;
  for (const drug of LISTED) {
    const entries = [drugEntry(drug.inn)];
    const plain: DrugName = { entries, otherMeanings: [], kind: 'name', needsUnit: false, isShown: false, code: null };
    const spellings = new Set([drug.inn, ...drug.names].map((name) => wordsOf(foldText(name)).join(' ')));
    for (const name of [drug.inn, ...drug.names]) {
      // The same name may be listed in two languages with one folded spelling.
      const key = wordsOf(foldText(name)).join(' ');
      if (spellings.delete(key)) yield [name, plain];
    }
    yield [drug.atc, { ...plain, code: drug.atc }];
    for (const code of drug.otherCodes ?? []) yield [code, { ...plain, code }];
    for (const short of drug.abbreviations) {
      if (ambiguous[short] === undefined) yield [short, { ...plain, kind: 'abbreviation', needsUnit: NEEDS_UNIT.has(short), isShown: NEEDS_UNIT.has(short) || SHOWN.has(short) }];
    }
  }
  for (const [name, inns] of Object.entries(ambiguous)) {
    yield [name, { entries: inns.map(drugEntry), otherMeanings: [], kind: 'ambiguous', needsUnit: NEEDS_UNIT.has(name), isShown: false, code: null }];
  }
}

/** Every name, abbreviation and ATC code of the dictionary's drugs. A shared ATC code (both calcium salts' group) means its first drug. */
export const DRUG_PHRASES: PhraseIndex<DrugName> = buildPhraseIndex(names(), (first, second) => {
  if (first.entries[0] === second.entries[0] || first.code !== null) return first;
  throw new Error(`drug name with two meanings in the dictionary: ${first.entries[0]?.term.inn ?? ''}, ${second.entries[0]?.term.inn ?? ''}`);
});

/** A lone cell that holds only this may mean something else altogether (`NA`). */
export const LONE_NAME_MEANS: Readonly<Record<string, readonly string[] | undefined>> = dictionary.loneNameMeans;

interface Spelled {
  readonly word: string;
  readonly bits: number;
  readonly entry: DrugEntry;
}

const MIN_LETTERS = 6;

const BY_FIRST_LETTER: ReadonlyMap<string, readonly Spelled[]> = bucketed();
const ALL_SPELLED: readonly Spelled[] = [...BY_FIRST_LETTER.values()].flat();
const NEVER_A_DRUG: ReadonlySet<string> = new Set(dictionary.notDrugs.map((word) => foldText(word)));

function bucketed(): Map<string, Spelled[]> {
  const buckets = new Map<string, Spelled[]>();
  for (const drug of LISTED) {
    for (const word of new Set([drug.inn, ...drug.names].flatMap(spellingsOf))) {
      if (word.length < MIN_LETTERS || !/^[a-z]+$/.test(word)) continue;
      const letter = word.slice(0, 1);
      const bucket = buckets.get(letter) ?? [];
      bucket.push({ word, bits: letterBits(word), entry: drugEntry(drug.inn) });
      buckets.set(letter, bucket);
    }
  }
  return buckets;
}

/**
 * Returns the drug that a misspelt word means, or the drugs it could mean, or null.
 * One edit is forgiven from 6 letters and two from 9; the first letter must be right. A word within two edits of names of
 * different drugs, or that holds another drug's whole name (`phenylephedrine`), means none of them: it is ambiguous.
 */
export function findMisspelt(word: string): { readonly entry: DrugEntry | null; readonly ambiguous: readonly string[] } | null {
  if (word.length < MIN_LETTERS || NEVER_A_DRUG.has(word) || !/^[a-z]+$/.test(word)) return null;
  const bits = letterBits(word);
  const forgiven = word.length >= 9 ? 2 : 1;
  const near: { readonly spelled: Spelled; readonly distance: number }[] = [];
  for (const spelled of BY_FIRST_LETTER.get(word.slice(0, 1)) ?? []) {
    if (Math.abs(spelled.word.length - word.length) > 2 || lettersApart(bits, spelled.bits) > 4) continue;
    const distance = editDistance(word, spelled.word, 2);
    if (distance <= 2) near.push({ spelled, distance });
  }
  near.sort((a, b) => a.distance - b.distance);
  const [nearest] = near;
  if (nearest === undefined || nearest.distance > forgiven) return null;
  // "phenylephedrine" holds "ephedrine"; that "norepinephrinne" holds "epinephrin" says nothing, as norepinephrine does too.
  const held = ALL_SPELLED.filter((other) => word.includes(other.word) && !near.some(({ spelled }) => spelled.word.includes(other.word)));
  const others = [...near.map(({ spelled }) => spelled.entry), ...held.map((other) => other.entry)];
  const inns = [...new Set(others.map((entry) => entry.term.inn))].sort();
  return inns.length === 1 ? { entry: nearest.spelled.entry, ambiguous: [] } : { entry: null, ambiguous: inns };
}
