import type { ReviewsFileContent, TravellingCase, TravellingEntry } from '../model/reviews-file.ts';
import { canonicalJson } from './trail.ts';

/** All that one library has sent, over every file of it. */
export interface MergedSender {
  /** Fingerprint of the key that signed. */
  readonly signedBy: string;
  /** The line of each case, by the sender's key; one that names the content before one that does not, of several the latest. */
  readonly cases: ReadonlyMap<string, TravellingCase>;
  /** In the order of places, then ids. */
  readonly entries: readonly MergedEntry[];
  /** The first place at which the trails of two of its files differ; null: one continues the other. */
  readonly partedAt: number | null;
}

/** One entry in every content under which it came: more than one is for a person to settle. */
export interface MergedEntry {
  readonly entryId: string;
  readonly place: number;
  readonly caseKey: string;
  /** One for each hash of the sender's trail, in the order of these; with its note where any file had it. */
  readonly versions: readonly TravellingEntry[];
}

/**
 * Returns everything that files hold, joined.
 * Shape   senders in the order of their fingerprints. The same for any order of the files, and for any of them given twice; nothing that
 *         is in a file is left out. An entry with its note takes the place of the same entry without.
 */
export function mergeReceived(files: readonly ReviewsFileContent[]): MergedSender[] {
  const bySender = new Map<string, ReviewsFileContent[]>();
  for (const file of files) bySender.set(file.sender.fingerprint, [...(bySender.get(file.sender.fingerprint) ?? []), file]);
  return [...bySender].sort(([a], [b]) => (a < b ? -1 : 1)).map(([signedBy, own]) => ({ signedBy, cases: casesOf(own), entries: entriesOf(own), partedAt: partingOf(own.map(({ chain }) => chain)) }));
}

function casesOf(files: readonly ReviewsFileContent[]): Map<string, TravellingCase> {
  const rank = ({ writtenAt }: ReviewsFileContent, line: TravellingCase): string => `${line.contentFingerprint === null ? 0 : 1} ${writtenAt} ${canonicalJson(line)}`;
  const best = new Map<string, { readonly line: TravellingCase; readonly rank: string }>();
  for (const file of files) {
    for (const line of file.cases) {
      const own = rank(file, line);
      if ((best.get(line.caseKey)?.rank ?? '') < own) best.set(line.caseKey, { line, rank: own });
    }
  }
  return new Map([...best].sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, { line }]) => [key, line]));
}

function entriesOf(files: readonly ReviewsFileContent[]): MergedEntry[] {
  const byId = new Map<string, Map<string, TravellingEntry>>();
  for (const { entries } of files) {
    for (const one of entries) {
      const versions = byId.get(one.entry.entryId) ?? new Map<string, TravellingEntry>();
      byId.set(one.entry.entryId, versions);
      const known = versions.get(one.sealedAs);
      if (known === undefined || (known.hash !== known.sealedAs && one.hash === one.sealedAs)) versions.set(one.sealedAs, one);
    }
  }
  const merged = [...byId].map(([entryId, found]): MergedEntry => {
    const versions = [...found.values()].sort((a, b) => (a.sealedAs < b.sealedAs ? -1 : 1));
    const [first] = versions;
    if (first === undefined) throw new Error('an entry without a version');
    return { entryId, place: first.entry.place, caseKey: first.entry.caseKey, versions };
  });
  return merged.sort((a, b) => a.place - b.place || (a.entryId < b.entryId ? -1 : 1));
}

function partingOf(chains: readonly (readonly string[])[]): number | null {
  const longest = chains.reduce((most, chain) => (chain.length > most.length ? chain : most), []);
  const places = chains.flatMap((chain) => {
    const at = chain.findIndex((hash, i) => longest[i] !== hash);
    return at < 0 ? [] : [at + 1];
  });
  // Two chains may part from each other before either parts from the longest: the least over all pairs is the least against any one of them.
  return places.length === 0 ? null : Math.min(...places);
}

/** A case of this library, as received reviews know it again. */
export interface LocalCase {
  readonly caseKey: string;
  readonly caseId: string;
  readonly inputDigests: readonly string[];
  /** null: not worked out, or without SpO2. */
  readonly contentFingerprint: string | null;
}

/** Where the reviews of a case from elsewhere belong. */
export type CaseMatch =
  | { readonly kind: 'match'; readonly to: LocalCase }
  /** This library has no such case. */
  | { readonly kind: 'none' }
  /** A person has to say. */
  | { readonly kind: 'unsure'; readonly why: 'content differs' | 'content unknown' | 'several alike'; readonly candidates: readonly LocalCase[] };

/**
 * Returns to which case of this library each case of a sender belongs; keys and names of cases take no part, for they differ between
 * libraries. The content decides; of several cases with the same content the one from the same files. Without the same content, cases
 * that share a file and belong to none of the sender's other cases are for a person to choose from.
 */
export function matchCases(cases: readonly TravellingCase[], library: readonly LocalCase[]): Map<string, CaseMatch> {
  const matches = new Map<string, CaseMatch>();
  const taken = new Set<string>();
  for (const one of cases) {
    const alike = one.contentFingerprint === null ? [] : library.filter(({ contentFingerprint }) => contentFingerprint === one.contentFingerprint);
    const narrowed = alike.length > 1 ? alike.filter(({ inputDigests }) => sameSet(inputDigests, one.inputDigests)) : alike;
    const [only, ...others] = narrowed;
    if (only !== undefined && others.length === 0) matches.set(one.caseKey, { kind: 'match', to: only });
    else if (alike.length > 0) matches.set(one.caseKey, { kind: 'unsure', why: 'several alike', candidates: narrowed.length > 0 ? narrowed : alike });
    for (const { caseKey } of alike) taken.add(caseKey);
  }
  for (const one of cases) {
    if (matches.has(one.caseKey)) continue;
    const sharing = library.filter(({ caseKey, inputDigests }) => !taken.has(caseKey) && inputDigests.some((digest) => one.inputDigests.includes(digest)));
    if (sharing.length === 0) matches.set(one.caseKey, { kind: 'none' });
    else matches.set(one.caseKey, { kind: 'unsure', why: one.contentFingerprint === null || sharing.every(({ contentFingerprint }) => contentFingerprint === null) ? 'content unknown' : 'content differs', candidates: sharing });
  }
  return matches;
}

function sameSet(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((one) => b.includes(one));
}
