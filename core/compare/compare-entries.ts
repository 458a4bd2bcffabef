import type { DrugRecord } from '../model/drug.ts';
import type { CaseEvent } from '../model/event.ts';
import { MAX_LISTED_CHANGES, type EntryChange, type EntryState, type ListedChanges } from '../model/case-comparison.ts';

/** One event or drug with what it is matched by. Times are in the earlier case's time. */
export interface ComparedEntry extends EntryState {
  /** Everything that counts, as one text: two entries with the same are the same. */
  readonly whole: string;
  /** What kind of thing it is: a changed entry keeps it. */
  readonly kind: string;
}

/** Returns an event as it is compared. */
export function comparedEvent(event: CaseEvent, shiftMs: number): ComparedEntry {
  const { eventId: _id, source: _source, atMs, endMs, ...rest } = event;
  const state = movedState(atMs, endMs, event.text, [event.kind, event.term, event.phase === 'moment' ? '' : event.phase, event.site ?? ''].filter(Boolean).join(', '), shiftMs);
  return { ...state, whole: JSON.stringify([state.atMs, state.endMs, rest]), kind: event.kind };
}

/** Returns a drug as it is compared. */
export function comparedDrug(drug: DrugRecord, shiftMs: number): ComparedEntry {
  const { drugId: _id, source: _source, atMs, endMs, ...rest } = drug;
  const dose = drug.amount === null ? 'dose not stated' : `${drug.amount} ${drug.unit}`.trim();
  const state = movedState(atMs, endMs, drug.text, `${drug.inn ?? 'drug not known'}, ${drug.form}, ${dose}`, shiftMs);
  return { ...state, whole: JSON.stringify([state.atMs, state.endMs, rest]), kind: `${drug.inn ?? drug.text} ${drug.form}` };
}

function movedState(atMs: number, endMs: number | null, text: string, reading: string, shiftMs: number): EntryState {
  return { atMs: atMs + shiftMs, endMs: endMs === null ? null : endMs + shiftMs, text, reading };
}

/**
 * Returns what became of entries. Equal ones are the same; of the rest, one of the same instant and kind, then one of the same
 * text nearest in time, counts as changed; what stays over was removed or added.
 * Shape   `after` = `before` − `removed` + `added`. Swapping the arguments swaps added with removed.
 */
export function compareEntries(before: readonly ComparedEntry[], after: readonly ComparedEntry[]): ListedChanges<EntryChange> {
  const equal = new Map<string, ComparedEntry[]>();
  for (const entry of before) equal.set(entry.whole, [...(equal.get(entry.whole) ?? []), entry]);
  const matched = new Set<ComparedEntry>();
  const open: ComparedEntry[] = [];
  for (const entry of after) {
    const twin = equal.get(entry.whole)?.shift();
    if (twin === undefined) open.push(entry);
    else matched.add(twin);
  }
  let was = before.filter((entry) => !matched.has(entry));
  let is = open;
  const changes: EntryChange[] = [];
  for (const rule of PARTNER_RULES) {
    const pairs = pairsBy(was, is, rule);
    for (const [old, now] of pairs) changes.push({ state: 'changed', before: stateOf(old), after: stateOf(now) });
    const taken = new Set(pairs.flat());
    was = was.filter((entry) => !taken.has(entry));
    is = is.filter((entry) => !taken.has(entry));
  }
  for (const entry of was) changes.push({ state: 'removed', before: stateOf(entry), after: null });
  for (const entry of is) changes.push({ state: 'added', before: null, after: stateOf(entry) });
  const at = (change: EntryChange): number => change.before?.atMs ?? change.after?.atMs ?? 0;
  changes.sort((a, b) => at(a) - at(b));
  return {
    before: before.length, after: after.length, added: is.length, removed: was.length, changed: changes.length - is.length - was.length,
    list: changes.slice(0, MAX_LISTED_CHANGES),
  };
}

/** Returns under which heading an entry may be paired; only entries of one heading can be one thing that changed. */
type PartnerRule = (entry: ComparedEntry) => string;

const PARTNER_RULES: readonly PartnerRule[] = [(entry) => `${entry.atMs} ${entry.kind}`, (entry) => `${entry.kind} ${entry.text}`, (entry) => `${entry.atMs} ${entry.text}`];

/** More pairs than this under one heading are taken in the order of time instead of by nearness. */
const MAX_CANDIDATES = 100_000;

/** Returns pairs of one heading, nearest in time first. Nothing depends on which list is the earlier one. */
function pairsBy(before: readonly ComparedEntry[], after: readonly ComparedEntry[], rule: PartnerRule): [ComparedEntry, ComparedEntry][] {
  const headings = new Map<string, { readonly was: ComparedEntry[]; readonly is: ComparedEntry[] }>();
  const under = (entry: ComparedEntry): { readonly was: ComparedEntry[]; readonly is: ComparedEntry[] } => {
    const heading = rule(entry);
    const both = headings.get(heading) ?? { was: [], is: [] };
    headings.set(heading, both);
    return both;
  };
  for (const entry of before) under(entry).was.push(entry);
  for (const entry of after) under(entry).is.push(entry);
  return [...headings.values()].flatMap(({ was, is }) => {
    if (was.length * is.length > MAX_CANDIDATES) return was.slice(0, is.length).flatMap((entry, i): [ComparedEntry, ComparedEntry][] => (is[i] === undefined ? [] : [[entry, is[i]]]));
    const candidates = was.flatMap((old) => is.map((now): [ComparedEntry, ComparedEntry] => [old, now]));
    const gap = ([a, b]: [ComparedEntry, ComparedEntry]): number => Math.abs(a.atMs - b.atMs);
    const first = ([a, b]: [ComparedEntry, ComparedEntry]): number => Math.min(a.atMs, b.atMs);
    const words = ([a, b]: [ComparedEntry, ComparedEntry]): string => [a.whole, b.whole].sort().join(' ');
    candidates.sort((x, y) => gap(x) - gap(y) || first(x) - first(y) || (words(x) < words(y) ? -1 : 1));
    const taken = new Set<ComparedEntry>();
    return candidates.filter((pair) => {
      if (pair.some((entry) => taken.has(entry))) return false;
      pair.forEach((entry) => taken.add(entry));
      return true;
    });
  });
}

function stateOf({ atMs, endMs, text, reading }: ComparedEntry): EntryState {
  return { atMs, endMs, text, reading };
}
