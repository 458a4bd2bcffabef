import type { CaseBody, EntryReceived, ListedEntry, SealedEntry, TrailEntry } from '../model/review.ts';

type SaidOfCase = Extract<TrailEntry, CaseBody | EntryReceived>;

/** Returns whether an entry holds what somebody else than `reader` said of a case; null: whoever said it. That, when and of which case something was said is no secret. */
export function tellsOfOthers(entry: TrailEntry, reader: string | null): entry is SaidOfCase {
  if (entry.kind === 'received') return true;
  return (entry.kind === 'verdict' || entry.kind === 'flags' || entry.kind === 'taken back') && entry.by !== reader;
}

/**
 * Returns an entry as it is listed for a reader who reads blinded and has not seen what others said of its case.
 * Shape    what is kept back is put together anew from what may be told, so that nothing else of the entry can come along. The hash stays: an
 *          entry has a random name in it, so that nobody finds its content from its hash.
 */
export function listedBlinded(sealed: SealedEntry, reader: string | null): ListedEntry {
  const { entry, hash } = sealed;
  if (!tellsOfOthers(entry, reader)) return sealed;
  const { place, at, by, caseKey, caseId } = entry;
  return { entry: { kind: 'kept back', place, at, by, caseKey, caseId }, hash };
}
