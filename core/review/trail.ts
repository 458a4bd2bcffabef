import type { EntryBody, EntryHead, SealedEntry, TrailCheck, TrailEntry, TrailHead, TrailProblem } from '../model/review.ts';
import { trailEntrySchema } from '../model/review-schema.ts';

/** Returns sha-256 of a text's UTF-8 bytes as 64 lower-case hexadecimal digits. The core has none of its own: the host and the workers give theirs. */
export type Sha256 = (text: string) => string;

/** An entry as the library holds it: the very text whose hash stands beside it; null where it cannot even be had. */
export interface KeptEntry {
  readonly text: string | null;
  readonly hash: string;
}

/**
 * Returns JSON with the keys of every object in the order of their UTF-16 code units, no blanks, numbers and strings as ECMAScript writes them.
 * Errors  throws for what JSON has no form for (our bug: entries are plain).
 * Source  RFC 8785 (JSON Canonicalization Scheme), sections 3.2.1 to 3.2.3.
 */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value === 'object' && value !== null) {
    const fields = Object.entries(value)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, inner]) => `${JSON.stringify(key)}:${canonicalJson(inner)}`);
    return `{${fields.join(',')}}`;
  }
  if (value === null || typeof value === 'boolean' || typeof value === 'string' || (typeof value === 'number' && Number.isFinite(value))) return JSON.stringify(value);
  throw new Error(`no canonical JSON for ${typeof value === 'number' ? String(value) : typeof value}`);
}

/** Returns an entry with its hash. Its text, to be kept with the hash, is `canonicalJson(entry)`. */
export function sealEntry(head: EntryHead, body: EntryBody, sha256: Sha256): SealedEntry {
  const entry: TrailEntry = { ...head, ...body };
  return { entry, hash: sha256(canonicalJson(entry)) };
}

/** Returns place and previous hash of the entry that comes after `last`; null: the first of a library. */
export function nextPlace(last: TrailHead | null): Pick<EntryHead, 'place' | 'previous'> {
  return last === null ? { place: 1, previous: '' } : { place: last.place + 1, previous: last.hash };
}

/**
 * Returns what a kept entry says, or why it cannot be had: `unreadable` where the text is no entry, `altered` where it is not what its
 * hash was made over.
 */
export function openEntry({ text, hash }: KeptEntry, sha256: Sha256): SealedEntry | 'unreadable' | 'altered' {
  if (text === null) return 'unreadable';
  const isSealed = sha256(text) === hash;
  const entry = readEntry(text);
  if (entry === null) return isSealed ? 'unreadable' : 'altered';
  const isWhole = isSealed && canonicalJson(entry) === text && (entry.kind !== 'received' || sha256(canonicalJson(entry.entry)) === entry.hash);
  return isWhole ? { entry, hash } : 'altered';
}

function readEntry(text: string): TrailEntry | null {
  try {
    const parsed = trailEntrySchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}

interface Found extends KeptEntry {
  readonly place: number;
  readonly entry: TrailEntry | null;
}

/**
 * Returns what checking the whole trail found.
 * Shape   `kept` in the order in which the library holds it. `head`: what was noted of the end apart from the trail; the trail may be
 *         longer (the note is written last), never shorter. `noted`: a hash that a person wrote down earlier and that must be in it.
 *         Problems in the order of their places.
 * Source  docs/methods/audit-trail.md.
 */
export function checkTrail(kept: readonly KeptEntry[], { head, noted, sha256 }: { readonly head: TrailHead | null; readonly noted: string | null; readonly sha256: Sha256 }): TrailCheck {
  const problems: TrailProblem[] = [];
  const report = (place: number, kind: TrailProblem['kind'], message: string): void => void problems.push({ place, kind, message });
  const inOrder = placed(kept, sha256, report);
  const tainted = new Set(problems.filter(({ kind }) => kind === 'altered' || kind === 'unreadable').map(({ place }) => place));

  let before: Found | null = null;
  for (const found of inOrder) {
    const expected: number = before === null ? 1 : before.place + 1;
    if (found.place > expected) report(expected, 'missing', found.place - 1 === expected ? `Entry ${expected} is missing.` : `Entries ${expected} to ${found.place - 1} are missing.`);
    // Where the entry before is already reported, what hangs on it says nothing new.
    else if (found.entry !== null && found.place === expected && !tainted.has(found.place) && (before === null || !tainted.has(before.place)) && found.entry.previous !== (before?.hash ?? '')) {
      if (before === null) report(found.place, 'altered', 'Entry 1 names an entry before it, and there is none: what came before was taken away.');
      else report(before.place, 'altered', `Entry ${before.place} is not the one that entry ${found.place} was written after.`);
    }
    before = found;
  }

  const last = inOrder.at(-1);
  if (head !== null) {
    const atHead = inOrder.find(({ place }) => place === head.place);
    if (head.place > (last?.place ?? 0)) report((last?.place ?? 0) + 1, 'cut off', `The trail ends at entry ${last?.place ?? 0}, and ${head.place} had been written: the end was cut off.`);
    else if (atHead !== undefined && atHead.hash !== head.hash && !tainted.has(head.place)) report(head.place, 'altered', `Entry ${head.place} is not the one that was noted apart from the trail: it, or all from some entry on, was written anew.`);
  }
  if (noted !== null && !kept.some(({ hash }) => hash === noted)) report(last?.place ?? 0, 'head not found', `No entry has the noted hash ${noted.slice(0, 12)}…: the trail is not a continuation of the one it was noted from.`);
  return { entries: kept.length, head: last?.hash ?? '', problems: problems.sort((a, b) => a.place - b.place) };
}

/** Returns the entries by place, each place once, and reports what is unreadable, altered or not where it should stand. */
function placed(kept: readonly KeptEntry[], sha256: Sha256, report: (place: number, kind: TrailProblem['kind'], message: string) => void): Found[] {
  const byPlace = new Map<number, Found>();
  const nameless: { readonly one: KeptEntry; readonly why: 'unreadable' | 'altered' }[] = [];
  let highest = 0;
  for (const one of kept) {
    const opened = openEntry(one, sha256);
    // An altered entry that can still be read is taken at its word about its place, so that the rest is not called out of order.
    const entry = typeof opened !== 'string' ? opened.entry : one.text === null ? null : readEntry(one.text);
    if (entry === null) {
      nameless.push({ one, why: opened === 'altered' ? 'altered' : 'unreadable' });
      continue;
    }
    const { place } = entry;
    if (opened === 'altered') report(place, 'altered', `Entry ${place} is not what its hash was made over.`);
    if (byPlace.has(place)) report(place, 'out of order', `Entry ${place} is there more than once.`);
    else {
      byPlace.set(place, { ...one, place, entry });
      if (place < highest) report(place, 'out of order', `Entry ${place} stands behind entry ${highest}.`);
    }
    highest = Math.max(highest, place);
  }
  // One that does not tell its place is taken for the first that is missing: it is not reported twice.
  let free = 1;
  for (const { one, why } of nameless) {
    while (byPlace.has(free)) free += 1;
    byPlace.set(free, { ...one, place: free, entry: null });
    report(free, why, why === 'altered' ? `Entry ${free} is not what its hash was made over, and cannot be read.` : `Entry ${free} cannot be read: it is damaged, or a later version of the program wrote it.`);
  }
  return [...byPlace.values()].sort((a, b) => a.place - b.place);
}
