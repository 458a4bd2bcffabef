import type { CaseEntry, EntryReceived, SealedEntry } from '../model/review.ts';
import type { ReviewConflict, SettledConflict } from '../model/reviews-file.ts';
import type { CaseMatch, LocalCase, MergedEntry, MergedSender } from './merge-received.ts';
import { matchCases } from './merge-received.ts';
import type { Sha256 } from './trail.ts';
import { canonicalJson } from './trail.ts';

/** What received reviews are joined to. */
export interface JoinTo {
  /** This library's whole trail. */
  readonly trail: readonly SealedEntry[];
  /** Its cases, with fingerprints of their content as far as they were worked out. */
  readonly library: readonly LocalCase[];
  /** What a person decided about conflicts so far, by their id. */
  readonly settled: ReadonlyMap<string, SettledConflict>;
}

/** A conflict without what only the host knows of its sender. */
export type FoundConflict = OwnFields<ReviewConflict>;
type OwnFields<C> = C extends ReviewConflict ? Omit<C, 'sender'> & { readonly signedBy: string } : never;

/** What is to become of received entries. */
export interface JoinPlan {
  /** To be added to the trail, sender by sender in the order of places. Empty when all that can be joined is there. */
  readonly join: readonly Omit<EntryReceived, 'kind'>[];
  /** Everything that a person has to look at, settled or not. */
  readonly conflicts: readonly FoundConflict[];
  /** By sender and its key of the case: entries whose case is not in this library. */
  readonly waiting: readonly { readonly signedBy: string; readonly caseKey: string; readonly caseId: string; readonly entries: readonly CaseEntry[] }[];
  /** Cases of this library that entries belong to. */
  readonly matched: readonly { readonly signedBy: string; readonly caseKey: string; readonly to: LocalCase }[];
}

/**
 * Returns what joining all that was ever received comes to: a plan that depends on what was received and decided, not on the order of it.
 * Shape   an entry is joined once, under its sender; one that this trail holds as its own, or from another sender, is not joined again.
 *         An entry that came in two contents, and one whose case a person has to name, is not joined before that is settled.
 *         One that was joined without its note is joined again with it. Joining what is planned and asking again plans nothing.
 * Source  docs/methods/reviews-between-libraries.md.
 */
export function joinReceived(senders: readonly MergedSender[], { trail, library, settled }: JoinTo, sha256: Sha256): JoinPlan {
  const own = new Map<string, SealedEntry>();
  const inTrail = new Map<string, EntryReceived>();
  const localNames = new Set<string>();
  for (const sealed of trail) {
    const { entry } = sealed;
    if (entry.kind === 'received') inTrail.set(entry.entry.entryId, entry);
    else if (entry.kind !== 'act') {
      own.set(entry.entryId, sealed);
      localNames.add(entry.by);
    }
  }
  const join: Omit<EntryReceived, 'kind'>[] = [];
  const conflicts: FoundConflict[] = [];
  const waiting: JoinPlan['waiting'][number][] = [];
  const matched: JoinPlan['matched'][number][] = [];
  const namesOf = new Map(senders.map(({ signedBy, entries }) => [signedBy, entries.map(({ versions }) => versions[0]?.entry.by ?? '')]));

  for (const { signedBy, cases, entries, partedAt } of senders) {
    const idOf = (...parts: readonly string[]): string => sha256(canonicalJson([signedBy, ...parts])).slice(0, 32);
    const decided = (conflictId: string): SettledConflict | null => settled.get(conflictId) ?? null;
    if (partedAt !== null) {
      const conflictId = idOf('trails part', String(partedAt));
      conflicts.push({ kind: 'trails part', conflictId, signedBy, place: partedAt, settled: decided(conflictId) });
    }
    const others = new Set([...localNames, ...senders.filter((one) => one.signedBy !== signedBy).flatMap((one) => namesOf.get(one.signedBy) ?? [])]);
    const isForeign = entries.some(({ entryId }) => !own.has(entryId));
    for (const name of [...new Set(namesOf.get(signedBy))].sort()) {
      if (!isForeign || !others.has(name)) continue;
      const conflictId = idOf('same name', name);
      conflicts.push({ kind: 'same name', conflictId, signedBy, name, entries: entries.filter(({ versions }) => versions[0]?.entry.by === name).length, settled: decided(conflictId) });
    }

    const matches = matchCases([...cases.values()], library);
    for (const [caseKey, line] of cases) {
      const theirs = entries.filter((one) => one.caseKey === caseKey && !own.has(one.entryId));
      if (theirs.length === 0) continue;
      const match = matches.get(caseKey) ?? { kind: 'none' };
      const conflictId = idOf('which case', caseKey, line.contentFingerprint ?? '');
      const decision = decided(conflictId);
      if (match.kind === 'unsure') {
        const candidates = match.candidates.map((one) => ({ caseKey: one.caseKey, caseId: one.caseId }));
        conflicts.push({ kind: 'which case', why: match.why, conflictId, signedBy, caseKey, caseId: line.caseId, entries: theirs.length, candidates, settled: decision });
      }
      const to = chosenCase(match, decision, library);
      if (to === null) waiting.push({ signedBy, caseKey, caseId: line.caseId, entries: theirs.flatMap(({ versions }) => versions.slice(0, 1).map(({ entry }) => entry)) });
      else matched.push({ signedBy, caseKey, to });
      for (const one of theirs) {
        const version = versionToJoin(one);
        const known = inTrail.get(one.entryId);
        if (to === null || version === null) continue;
        const isFuller = known !== undefined && known.signedBy === signedBy && known.hash !== version.hash;
        if (known === undefined || isFuller) join.push({ caseKey: to.caseKey, caseId: to.caseId, entry: version.entry, hash: version.hash, signedBy });
      }
    }
    for (const one of entries) {
      const conflict = otherContent(one, own.get(one.entryId) ?? null);
      if (conflict !== null) conflicts.push(conflict);
    }

    function otherContent({ entryId, versions, caseKey }: MergedEntry, here: SealedEntry | null): FoundConflict | null {
      const foreign = here === null ? versions : versions.filter(({ sealedAs }) => sealedAs !== here.hash);
      if (here === null ? versions.length < 2 : foreign.length === 0) return null;
      const conflictId = idOf('other content', entryId, ...foreign.map(({ sealedAs }) => sealedAs));
      const inForce = here === null ? inTrail.get(entryId)?.hash : here.hash;
      const ours = here === null ? [] : [{ sealedAs: here.hash, entry: here.entry as CaseEntry, from: 'here' as const, isInForce: true }]; // `own` holds entries about cases only
      return {
        kind: 'other content', conflictId, signedBy, entryId, caseId: cases.get(caseKey)?.caseId ?? '', settled: decided(conflictId),
        versions: [...ours, ...foreign.map(({ sealedAs, hash, entry }) => ({ sealedAs, entry, from: 'file' as const, isInForce: hash === inForce }))],
      };
    }

    function versionToJoin({ entryId, versions }: MergedEntry): MergedEntry['versions'][number] | null {
      const [only, ...more] = versions;
      if (more.length === 0) return only ?? null;
      const choice = decided(idOf('other content', entryId, ...versions.map(({ sealedAs }) => sealedAs)))?.choice;
      return versions.find(({ sealedAs }) => sealedAs === choice) ?? null;
    }
  }
  return { join, conflicts, waiting, matched };
}

/** The case that entries go to: the one that is certain, or the one that a person named; null: they wait. */
function chosenCase(match: CaseMatch, decision: SettledConflict | null, library: readonly LocalCase[]): LocalCase | null {
  if (match.kind === 'match') return match.to;
  if (match.kind === 'none' || decision === null) return null;
  return library.find(({ caseKey }) => caseKey === decision.choice) ?? null;
}
