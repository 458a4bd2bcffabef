import { createHash, randomBytes } from 'node:crypto';
import { setImmediate } from 'node:timers/promises';
import { z } from 'zod';
import type { AnalysisSeen, EntryBody, SealedEntry, TrailCheck, TrailEntry, TrailHead, TrailProblem } from '../../core/model/review.ts';
import { trailHeadSchema } from '../../core/model/review-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { canonicalJson, checkTrail, nextPlace, openEntry, sealEntry, type KeptEntry } from '../../core/review/trail.ts';
import type { JournalEntry, LibraryDocument, LibraryJournal } from './library-shelf.ts';
import { inTurns } from './in-turns.ts';
import type { EntryStamp, ReviewTrail } from './review-trail.ts';

/*
 * The trail in a journal: a group for each case, and one for what was done to the library. An entry's text is
 *   {"schema":"lacuna-trail/1","hash":"…","entry":{…}}
 * where the hash is made over the very characters of the entry. Which entry is the last is noted in a document of its own: without it
 * nobody could tell that the end was taken away.
 */

const KEPT = /^\{"schema":"lacuna-trail\/1","hash":"([0-9a-f]{64})","entry":(\{.*\})\}$/su;
const HEAD_SCHEMA = 'lacuna-trail-head/1';
const headSchema = z.strictObject({ schema: z.literal(HEAD_SCHEMA), head: trailHeadSchema });
/** The group of what was done to the library; no case has this key. */
const ACTS_GROUP = '0'.repeat(32);
const GROUPS_AT_ONCE = 8;

/** Returns sha-256 of a text as hexadecimal digits. */
export const sha256 = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');

interface KeptGroup {
  readonly entries: readonly SealedEntry[];
  /** Why what was said of this case cannot be told; null: it can. */
  readonly damage: string | null;
}

interface KnownTrail {
  readonly groups: Map<string, KeptGroup>;
  /** Acts by the key of the case that they are about. */
  readonly actsOf: Map<string, SealedEntry[]>;
  /** All readable entries by place. */
  readonly inOrder: SealedEntry[];
  /** What the next entry comes after. */
  last: TrailHead | null;
}

/** Returns the trail that is kept in a journal, with the note of its end in `head`. */
export function buildKeptReviews(journal: LibraryJournal, head: LibraryDocument): ReviewTrail {
  let known: KnownTrail | null = null;
  /** A group to which an entry was being added when the disk refused: it may be there all the same. */
  let unsure: string | null = null;
  let lastTurn: Promise<unknown> = Promise.resolve();

  function inLane<T>(act: () => Promise<T>): Promise<T> {
    const next = lastTurn.then(act, act);
    lastTurn = next.catch(() => undefined);
    return next;
  }

  async function readHead(): Promise<TrailHead | null | 'damaged'> {
    const text = await head.read();
    if (text === null) return null;
    const parsed = headSchema.safeParse(parsedJson(text));
    return parsed.success ? parsed.data.head : 'damaged';
  }

  async function current(): Promise<KnownTrail> {
    known ??= await readAll();
    if (unsure !== null) {
      const group = unsure;
      const before = known;
      known = null; // where it cannot be read now, all is read anew
      const own = await readGroup(group);
      const ids = new Set(before.groups.get(group)?.entries.map(({ entry }) => entry.entryId));
      before.groups.set(group, own);
      for (const sealed of own.entries) if (!ids.has(sealed.entry.entryId)) takeIn(before, sealed);
      unsure = null;
      known = before;
    }
    return known;
  }

  async function readAll(): Promise<KnownTrail> {
    const noted = await readHead();
    const found: KnownTrail = { groups: new Map(), actsOf: new Map(), inOrder: [], last: null };
    const seen = new Map<string, AnalysisSeen>();
    await inTurns(await journal.groups(), GROUPS_AT_ONCE, async (group) => {
      const own = await readGroup(group, seen);
      found.groups.set(group, own);
      await setImmediate(); // the window goes on meanwhile
    });
    const all = [...found.groups.values()].flatMap(({ entries }) => entries).sort((a, b) => a.entry.place - b.entry.place);
    for (const sealed of all) takeIn(found, sealed);
    // Where the end was cut off the next entry leaves the gap as it is: a check finds it for ever.
    if (noted !== null && noted !== 'damaged' && noted.place > (found.last?.place ?? 0)) found.last = noted;
    return found;
  }

  async function readGroup(group: string, seen = new Map<string, AnalysisSeen>()): Promise<KeptGroup> {
    const { found, disorder } = openGroup(group, await journal.read(group));
    const entries: SealedEntry[] = [];
    let damage: string | null = null;
    for (const { opened, number } of found) {
      if (opened === 'unreadable') damage ??= `Entry ${number} of what was said of this case cannot be read.`;
      else if (opened === 'altered') damage ??= `Entry ${number} of what was said of this case is not as it was written.`;
      else entries.push(sharing(opened, seen));
    }
    return { entries, damage: damage ?? disorder[0]?.message ?? null };
  }

  function soFar(trail: KnownTrail, caseKey: string): readonly SealedEntry[] {
    const own = trail.groups.get(groupOfCase(caseKey));
    if (own !== undefined && own.damage !== null) throw damaged(own.damage);
    const acts = trail.actsOf.get(caseKey) ?? [];
    return [...(own?.entries ?? []), ...acts].sort((a, b) => a.entry.place - b.entry.place);
  }

  async function write(trail: KnownTrail, stamp: EntryStamp, body: EntryBody): Promise<SealedEntry> {
    const sealed = sealEntry({ ...nextPlace(trail.last), entryId: randomBytes(16).toString('hex'), at: stamp.at.toISOString(), by: stamp.by, productVersion: stamp.productVersion }, body, sha256);
    const group = groupOf(sealed.entry);
    unsure = group;
    await journal.append(group, { lines: [], text: () => keptText(sealed) });
    unsure = null;
    const own = trail.groups.get(group);
    trail.groups.set(group, { entries: [...(own?.entries ?? []), sealed], damage: own?.damage ?? null });
    takeIn(trail, sealed);
    return sealed;
  }

  /** The entries themselves are on the disk: a note that the disk refuses is made with the next one. */
  async function noteHead({ last }: KnownTrail): Promise<void> {
    if (last !== null) await head.replace(`${JSON.stringify({ schema: HEAD_SCHEMA, head: last })}\n`).catch(() => undefined);
  }

  return {
    ofCase: (caseKey) => inLane(async () => soFar(await current(), caseKey)),
    reviewedCases: () =>
      inLane(async () => {
        const keys = new Set<string>();
        for (const { entries } of (await current()).groups.values()) for (const { entry } of entries) if (entry.kind !== 'act') keys.add(entry.caseKey);
        return keys;
      }),
    add: (caseKey, stamp, compose) =>
      inLane(async () => {
        const trail = await current();
        const bodies = compose(caseKey === null ? [] : soFar(trail, caseKey));
        if (bodies.length > 0 && (await readHead()) === 'damaged') throw headDamaged(head);
        const added: SealedEntry[] = [];
        try {
          for (const body of bodies) added.push(await write(trail, stamp, body));
        } finally {
          if (added.length > 0) await noteHead(trail);
        }
        return added;
      }),
    list: (before, limit) =>
      inLane(async () => {
        const { inOrder } = await current();
        const entries: SealedEntry[] = [];
        for (let i = inOrder.length - 1; i >= 0 && entries.length < limit; i -= 1) {
          const sealed = inOrder[i];
          if (sealed !== undefined && (before === null || sealed.entry.place < before)) entries.push(sealed);
        }
        return { entries, total: inOrder.length };
      }),
    async check(noted) {
      // What is added while the rest is being read belongs to the next check; before anything was read nobody knows where that begins, and adding waits.
      const begun = await inLane(async () => {
        const note = await readHead();
        return known === null ? { check: await checkKept(journal, Infinity, note, noted) } : { note, upTo: known.last?.place ?? 0 };
      });
      return 'check' in begun ? begun.check : await checkKept(journal, begun.upTo, begun.note, noted);
    },
    settled: () => inLane(async () => undefined),
  };
}

function takeIn(trail: KnownTrail, sealed: SealedEntry): void {
  const { entry, hash } = sealed;
  trail.inOrder.push(sealed);
  if (entry.place > (trail.last?.place ?? 0)) trail.last = { place: entry.place, hash };
  if (entry.kind === 'act' && entry.caseKey !== null) trail.actsOf.set(entry.caseKey, [...(trail.actsOf.get(entry.caseKey) ?? []), sealed]);
}

function keptText({ entry, hash }: SealedEntry): string {
  return `{"schema":"lacuna-trail/1","hash":"${hash}","entry":${canonicalJson(entry)}}`;
}

function keptEntry({ text }: JournalEntry): KeptEntry {
  const [, hash, own] = KEPT.exec(text ?? '') ?? [];
  return { text: own ?? null, hash: hash ?? '' };
}

function groupOf(entry: TrailEntry): string {
  return entry.kind === 'act' ? ACTS_GROUP : groupOfCase(entry.caseKey);
}

function groupOfCase(caseKey: string): string {
  return /^[0-9a-f]{32}$/.test(caseKey) ? caseKey : sha256(caseKey).slice(0, 32);
}

/** Hundreds of entries have seen the same analysis: it is held in memory once. */
function sharing(sealed: SealedEntry, known: Map<string, AnalysisSeen>): SealedEntry {
  const { entry } = sealed;
  if (entry.kind !== 'verdict' && entry.kind !== 'flags') return sealed;
  const text = JSON.stringify(entry.seen);
  const seen = known.get(text) ?? entry.seen;
  known.set(text, seen);
  return { ...sealed, entry: { ...entry, seen } };
}

/** An entry as it lies in the journal. */
interface FoundEntry extends KeptEntry {
  readonly number: number;
  readonly opened: SealedEntry | 'unreadable' | 'altered';
  /** What it says of its place, also where it was altered; null where it says nothing. */
  readonly place: number | null;
}

/** Something wrong with the order of a group. */
interface Disorder extends TrailProblem {
  /** Whether it is what a missing entry would look like too. */
  readonly isGap: boolean;
}

/** Returns the entries of a group in the order of their numbers, and what is wrong with that order. */
function openGroup(group: string, kept: readonly JournalEntry[]): { readonly found: readonly FoundEntry[]; readonly disorder: readonly Disorder[] } {
  const found: FoundEntry[] = [];
  const disorder: Disorder[] = [];
  const report = (place: number, message: string, isGap = false): void => void disorder.push({ place, kind: 'out of order', message, isGap });
  let highest = 0;
  for (const [i, one] of kept.entries()) {
    const own = keptEntry(one);
    const opened = openEntry(own, sha256);
    const number = Number(one.number);
    const place = typeof opened === 'string' ? placeIn(own.text) : opened.entry.place;
    found.push({ ...own, number, opened, place });
    const shown = place ?? highest + 1;
    const expected = Number(kept[i - 1]?.number ?? 0) + 1;
    if (number !== expected) report(shown, `Entry ${shown} has the number ${number} of its case, and ${expected} would be its number: it was renamed, or one before it is missing.`, true);
    if (place !== null && place <= highest) report(place, `Entry ${place} stands behind entry ${highest} of the same case.`);
    highest = Math.max(highest, place ?? 0);
    if (typeof opened !== 'string' && groupOf(opened.entry) !== group) report(opened.entry.place, `Entry ${opened.entry.place} does not lie with the case that it is about.`);
  }
  return { found, disorder };
}

/** Reads the trail from the disk and checks it, up to a place. */
async function checkKept(journal: LibraryJournal, upTo: number, note: TrailHead | null | 'damaged', noted: string | null): Promise<TrailCheck> {
  const groups = await inTurns(await journal.groups(), GROUPS_AT_ONCE, async (group) => {
    const opened = openGroup(group, await journal.read(group));
    await setImmediate();
    return opened;
  });
  const placed = withPlaces(groups.map(({ found }) => found)).filter(({ place }) => place <= upTo);
  const check = checkTrail(placed, { head: note === 'damaged' ? null : note, noted, sha256 });
  const isShorter = check.problems.some(({ kind }) => kind === 'missing' || kind === 'cut off');
  const disorder = groups.flatMap((group) => group.disorder).filter(({ place, isGap }) => place <= upTo && !(isGap && isShorter));
  const problems = [...check.problems, ...disorder.map(({ place, kind, message }) => ({ place, kind, message }))];
  const atEnd = (message: string): TrailProblem => ({ place: (placed.at(-1)?.place ?? 0) + 1, kind: 'cut off', message });
  if (note === 'damaged') problems.push(atEnd('The note of the last entry cannot be read: whether entries are missing at the end cannot be told.'));
  // The first entry may have come in just before a crash, and its note not.
  if (note === null && placed.length > 1) problems.push(atEnd('The note of the last entry is missing: whether entries are missing at the end cannot be told.'));
  return { ...check, problems: problems.sort((a, b) => a.place - b.place) };
}

/** Returns the entries of all groups by place; one that says nothing of its place has the first missing one behind the entry before it in its group. */
function withPlaces(groups: readonly (readonly FoundEntry[])[]): (FoundEntry & { readonly place: number })[] {
  const taken = new Set(groups.flatMap((group) => group.flatMap(({ place }) => place ?? [])));
  const placed = groups.flatMap((group) => {
    let before = 0;
    return group.map((one) => {
      let place = one.place ?? before + 1;
      while (one.place === null && taken.has(place)) place += 1;
      taken.add(place);
      before = place;
      return { ...one, place };
    });
  });
  return placed.sort((a, b) => a.place - b.place);
}

function placeIn(text: string | null): number | null {
  const parsed = z.object({ place: z.int().min(1) }).safeParse(parsedJson(text ?? ''));
  return parsed.success ? parsed.data.place : null;
}

function parsedJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function damaged(what: string): FailureError {
  return new FailureError({
    code: 'reviews-damaged',
    message: `${what} Nothing is written over it.`,
    remedy: 'Put the library’s reviews back from a backup. What is wrong is told by: npm run --silent lacuna -- verify LIBRARY',
  });
}

function headDamaged({ wayBack }: LibraryDocument): FailureError {
  return new FailureError({ code: 'reviews-damaged', message: 'The note of the last entry of the reviews cannot be read. Nothing is written over it.', remedy: `${wayBack}, or move the damaged one away and keep it.` });
}
