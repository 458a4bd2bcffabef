import type { CaseEntry, SealedEntry, TrailEntry } from '../model/review.ts';

/**
 * Returns entries of the trail with a code in the place of every reader's name.
 * Shape   `codeOf` gives the same code for the same name. Hashes stay those of the trail: they name its entries, and are not those of what is returned.
 */
export function withReaderCodes(entries: readonly SealedEntry[], codeOf: (name: string) => string): readonly SealedEntry[] {
  return entries.map(({ entry, hash }) => ({ entry: coded(entry, codeOf), hash }));
}

function coded(entry: TrailEntry, codeOf: (name: string) => string): TrailEntry {
  return entry.kind === 'received' ? { ...entry, by: codeOf(entry.by), entry: codedSaid(entry.entry, codeOf) } : { ...entry, by: codeOf(entry.by) };
}

function codedSaid(entry: CaseEntry, codeOf: (name: string) => string): CaseEntry {
  return { ...entry, by: codeOf(entry.by) };
}

/** Returns what gives readers their codes: made of the function that gives codes to persons of records, and never one that such a person has. */
export function readerCodes(pseudonymOf: (identity: string) => string): (name: string) => string {
  return (name) => `reader-${pseudonymOf(`reader ${name}`)}`;
}
