import type { CaseEntry, CaseFlag, EarlierVerdict, SealedEntry, VerdictGiven } from '../model/review.ts';

/** Who said something: a local name, and the key of the library it was said in; null: this one. */
export interface Reader {
  readonly name: string;
  readonly signedBy: string | null;
}

/** A verdict that is in force, before it is placed among today's dropouts. */
export interface VerdictInForce {
  readonly reader: Reader;
  readonly given: VerdictGiven;
  readonly entryId: string;
  readonly at: string;
  /** Place in the trail of the library in which it was given: of two of one library the later is the one with the higher place. */
  readonly place: number;
}

/** A verdict that was in force. */
export interface VerdictBefore {
  readonly verdict: VerdictInForce;
  readonly ended: EarlierVerdict['ended'];
  readonly endedAt: string;
}

/** What is in force about one case, whatever its analysis. */
export interface CaseStanding {
  /** In the order in which they were given, this library's first. */
  readonly verdicts: readonly VerdictInForce[];
  /** Those that are not in force any more, in the same order. */
  readonly earlier: readonly VerdictBefore[];
  readonly flags: readonly { readonly reader: Reader; readonly at: string; readonly flags: readonly CaseFlag[]; readonly note: string }[];
  /** Those whose readings, flags or end of reading stand. */
  readonly readers: readonly Reader[];
  readonly revealedTo: readonly Reader[];
  readonly readBy: readonly Reader[];
}

/** Returns what names a reader without doubt: the same local name in two libraries is two readers until a person says otherwise. */
export function readerKey({ name, signedBy }: Reader): string {
  return `${signedBy ?? ''}\n${name}`;
}

/** What a person called other libraries, by the fingerprint of their key; each name once. */
export type SenderNames = ReadonlyMap<string, string>;
const NO_NAMES: SenderNames = new Map();

/**
 * Returns a reader's name as it is shown: one of another library with what that library is called here, or else with the first eight digits
 * of its key. No local name holds "(received".
 */
export function readerShown({ name, signedBy }: Reader, senders: SenderNames = NO_NAMES): string {
  if (signedBy === null) return name;
  const sender = senders.get(signedBy);
  return sender === undefined ? `${name} (received, key ${signedBy.slice(0, 8)})` : `${name} (received from ${sender})`;
}

/**
 * Returns what other libraries are called where readers are told apart by it: two that were given the same name bear the first digits of their keys
 * as well, and one without a name is left out.
 */
export function senderNames(senders: readonly { readonly fingerprint: string; readonly label: string }[]): SenderNames {
  const named = senders.filter(({ label }) => label !== '');
  return new Map(named.map(({ fingerprint, label }) => [fingerprint, named.filter((other) => other.label === label).length > 1 ? `${label}, key ${fingerprint.slice(0, 8)}` : label]));
}

interface Said {
  readonly entry: CaseEntry;
  readonly reader: Reader;
}

/**
 * Returns what is in force about a case.
 * Shape   `entries`: those of one case, in the order of the trail. Received ones count as what their authors said; an entry that is there
 *         more than once counts once, this library's own before a received one. Acts say nothing about a dropout.
 *         A verdict is in force where it was not taken back and none that stands above it in its chain is in force.
 *         Who may supersede or take back: a reading its own reader only; a consensus any reader of the same library, and of this library any.
 *         Anything else is left as it is, so that a file from elsewhere never takes a verdict out of force.
 * Source  docs/methods/review.md.
 */
export function standingVerdicts(entries: readonly SealedEntry[]): CaseStanding {
  const said = inOrder(entries);
  const verdicts: VerdictInForce[] = [];
  /** When, by the verdict that was taken back. */
  const takenBack = new Map<string, string>();
  const above = new Map<string, string[]>();
  const byId = new Map<string, VerdictInForce>();
  const latestAt = new Map<string, string>();
  const flags = new Map<string, CaseStanding['flags'][number]>();
  const revealed = new Map<string, Reader>();
  const read = new Map<string, Reader>();

  for (const { entry, reader } of said) {
    const key = readerKey(reader);
    if (entry.kind === 'flags') {
      if (entry.flags.length === 0 && entry.note === '') flags.delete(key);
      else flags.set(key, { reader, at: entry.at, flags: entry.flags, note: entry.note });
    } else if (entry.kind === 'revealed') revealed.set(key, reader);
    else if (entry.kind === 'case read') read.set(key, reader);
    else if (entry.kind === 'taken back') {
      const target = byId.get(entry.supersedes);
      if (target !== undefined && mayReplace(reader, target)) takenBack.set(target.entryId, takenBack.get(target.entryId) ?? entry.at);
    } else {
      const verdict: VerdictInForce = { reader, given: entry, entryId: entry.entryId, at: entry.at, place: entry.place };
      // One given anew without naming the earlier still takes its place where it is about the very same loss.
      const spot = JSON.stringify([key, entry.role, entry.anchor.siteKey, entry.anchor.dropoutId, entry.anchor.clock]);
      const named = entry.supersedes === null ? undefined : byId.get(entry.supersedes);
      const below = [named !== undefined && named.given.role === entry.role && mayReplace(reader, named) ? named.entryId : null, latestAt.get(spot) ?? null];
      for (const id of new Set(below)) if (id !== null) above.set(id, [...(above.get(id) ?? []), entry.entryId]);
      latestAt.set(spot, entry.entryId);
      byId.set(entry.entryId, verdict);
      verdicts.push(verdict);
    }
  }

  // From the last down: whatever stands above a verdict comes behind it.
  const isCovered = new Map<string, boolean>();
  for (const { entryId } of verdicts.toReversed()) isCovered.set(entryId, (above.get(entryId) ?? []).some((id) => !takenBack.has(id) || isCovered.get(id) === true));
  const standing = verdicts.filter(({ entryId }) => !takenBack.has(entryId) && isCovered.get(entryId) !== true);
  const earlier = verdicts.flatMap((verdict): VerdictBefore[] => {
    const backAt = takenBack.get(verdict.entryId);
    if (backAt !== undefined) return [{ verdict, ended: 'taken back', endedAt: backAt }];
    const by = (above.get(verdict.entryId) ?? []).flatMap((id) => byId.get(id)?.at ?? []).sort()[0];
    return isCovered.get(verdict.entryId) === true && by !== undefined ? [{ verdict, ended: 'superseded', endedAt: by }] : [];
  });
  const readers = new Map<string, Reader>();
  for (const { reader, given } of standing) if (given.role === 'reading') readers.set(readerKey(reader), reader);
  for (const { reader } of flags.values()) readers.set(readerKey(reader), reader);
  for (const reader of read.values()) readers.set(readerKey(reader), reader);
  const isOwn = ({ reader }: VerdictInForce): boolean => reader.signedBy === null;
  return { verdicts: [...standing.filter(isOwn), ...standing.filter((one) => !isOwn(one))], earlier: [...earlier.filter((one) => isOwn(one.verdict)), ...earlier.filter((one) => !isOwn(one.verdict))], flags: [...flags.values()].sort((a, b) => byName(a.reader, b.reader)), readers: [...readers.values()].sort(byName), revealedTo: [...revealed.values()].sort(byName), readBy: [...read.values()].sort(byName) };
}

function mayReplace(reader: Reader, { reader: owner, given }: VerdictInForce): boolean {
  if (given.role === 'reading') return readerKey(reader) === readerKey(owner);
  return reader.signedBy === null || reader.signedBy === owner.signedBy;
}

/**
 * Library by library in the order of their own trails, in whichever order their files came, and this library's last: it may name what it
 * received, and nothing received replaces what was said here. So whatever stands above a verdict comes behind it.
 */
function inOrder(entries: readonly SealedEntry[]): Said[] {
  const own: Said[] = [];
  const received = new Map<string, Map<string, Said>>();
  for (const { entry } of entries) {
    if (entry.kind === 'act') continue;
    if (entry.kind !== 'received') own.push({ entry, reader: { name: entry.by, signedBy: null } });
    else {
      const ofKey = received.get(entry.signedBy) ?? new Map<string, Said>();
      ofKey.set(entry.entry.entryId, { entry: entry.entry, reader: { name: entry.entry.by, signedBy: entry.signedBy } });
      received.set(entry.signedBy, ofKey);
    }
  }
  const known = new Set(own.map(({ entry }) => entry.entryId));
  const others = [...received.keys()].sort().flatMap((key) => [...(received.get(key)?.values() ?? [])].filter(({ entry }) => !known.has(entry.entryId)).sort((a, b) => a.entry.place - b.entry.place));
  return [...others, ...own.sort((a, b) => a.entry.place - b.entry.place)];
}

function byName(a: Reader, b: Reader): number {
  const [x, y] = [readerShown(a), readerShown(b)];
  return x < y ? -1 : x > y ? 1 : 0;
}
