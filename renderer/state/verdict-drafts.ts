import { z } from 'zod';
import { CERTAINTIES, VERDICTS, type Certainty, type Judgement, type Verdict } from '../../core/model/review.ts';
import type { FourInstants } from '../../core/model/analysis.ts';
import { createStore, type ReadableStore } from './store.ts';

const DRAFTS_KEY = 'lacuna-verdict-drafts/1';

/** A verdict that is not saved. */
export interface VerdictDraft {
  readonly verdict: Verdict | null;
  readonly certainty: Certainty | null;
  readonly note: string;
  /** null: the computed bounds stand. */
  readonly correctedBounds: FourInstants | null;
}

export const EMPTY_DRAFT: VerdictDraft = { verdict: null, certainty: null, note: '', correctedBounds: null };

/** Names what a draft is about: whose, and of which dropout. */
export interface DraftPlace {
  readonly reader: string;
  readonly caseKey: string;
  readonly dropoutId: string;
}

const isVerdict = (text: string): text is Verdict => text in VERDICTS;

const instantsSchema = z.object({ lastGoodMs: z.number(), firstLostMs: z.number(), lastLostMs: z.number().nullable(), firstGoodMs: z.number().nullable() });
const draftSchema = z.object({
  verdict: z.string().refine(isVerdict).nullable(),
  certainty: z.enum(CERTAINTIES).nullable(),
  note: z.string(),
  correctedBounds: instantsSchema.nullable(),
});
const draftsSchema = z.record(z.string(), draftSchema);

/** Drafts by the place that they are about; each change tells the readers. */
export interface VerdictDrafts extends ReadableStore<ReadonlyMap<string, VerdictDraft>> {
  find(place: DraftPlace): VerdictDraft | null;
  /** Keeps a draft, also over a reload of the page. */
  keep(place: DraftPlace, draft: VerdictDraft): void;
  drop(place: DraftPlace): void;
}

/** Returns the key of a draft in the store's map. */
export function draftKey({ reader, caseKey, dropoutId }: DraftPlace): string {
  return JSON.stringify([reader, caseKey, dropoutId]);
}

/** Returns how many drafts a reader has in one case. */
export function draftCount(drafts: ReadonlyMap<string, VerdictDraft>, reader: string, caseKey: string): number {
  const start = JSON.stringify([reader, caseKey]).replace(/\]$/, ',');
  return [...drafts.keys()].filter((key) => key.startsWith(start)).length;
}

/**
 * Returns the drafts of this window, with those that the page before it left in `storage` (null: kept only while the page is open).
 * `keepsNotes`: whether free text may be written into `storage`, which is not encrypted; where it may not, a note lasts as long as the page.
 */
export function createVerdictDrafts(storage: Pick<Storage, 'getItem' | 'setItem'> | null, keepsNotes: () => boolean): VerdictDrafts {
  const store = createStore<ReadonlyMap<string, VerdictDraft>>(readDrafts(storage?.getItem(DRAFTS_KEY) ?? null));
  const change = (apply: (drafts: Map<string, VerdictDraft>) => void): void => {
    const next = new Map(store.get());
    apply(next);
    store.set(next);
    const kept = [...next].map(([key, draft]) => [key, keepsNotes() ? draft : { ...draft, note: '' }] as const);
    try {
      storage?.setItem(DRAFTS_KEY, JSON.stringify(Object.fromEntries(kept)));
    } catch {
      // the storage is full or denied: the draft is still in this window
    }
  };
  return {
    get: store.get,
    subscribe: store.subscribe,
    find: (place) => store.get().get(draftKey(place)) ?? null,
    keep: (place, draft) => change((drafts) => drafts.set(draftKey(place), draft)),
    drop: (place) => {
      if (store.get().has(draftKey(place))) change((drafts) => drafts.delete(draftKey(place)));
    },
  };
}

function readDrafts(text: string | null): ReadonlyMap<string, VerdictDraft> {
  if (text === null) return new Map();
  try {
    const parsed = draftsSchema.safeParse(JSON.parse(text));
    return new Map(parsed.success ? Object.entries(parsed.data) : []);
  } catch {
    return new Map(); // not JSON: nothing that this program wrote
  }
}

/** Returns a verdict in force as the draft that an edit of it begins with. */
export function draftOf(judgement: Judgement | null): VerdictDraft {
  return judgement ?? EMPTY_DRAFT;
}

/** Returns whether two drafts say the same. */
export function sameDraft(a: VerdictDraft, b: VerdictDraft): boolean {
  const bounds = (draft: VerdictDraft): readonly (number | null)[] | null =>
    draft.correctedBounds === null ? null : [draft.correctedBounds.lastGoodMs, draft.correctedBounds.firstLostMs, draft.correctedBounds.lastLostMs, draft.correctedBounds.firstGoodMs];
  return a.verdict === b.verdict && a.certainty === b.certainty && a.note === b.note && JSON.stringify(bounds(a)) === JSON.stringify(bounds(b));
}

/** Returns what the draft lacks before it can be saved, as a sentence, or null where nothing is missing. */
export function draftFault(draft: VerdictDraft): string | null {
  if (draft.verdict === null) return 'Choose a verdict.';
  if (draft.verdict !== 'cannot tell' && draft.certainty === null) return 'Say how sure you are.';
  return draft.correctedBounds === null ? null : boundsFault(draft.correctedBounds);
}

/** Returns what is wrong with the order of four instants, as a sentence, or null. Whether they fit the case and its other dropouts the host says. */
export function boundsFault({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }: FourInstants): string | null {
  if ((lastLostMs === null) !== (firstGoodMs === null)) return 'Last lost and first good are either both stated or both never in this record.';
  if (lastGoodMs >= firstLostMs) return 'The last good sample must come before the first lost one.';
  if (lastLostMs !== null && firstLostMs > lastLostMs) return 'The first lost sample must not come after the last lost one.';
  if (lastLostMs !== null && firstGoodMs !== null && lastLostMs >= firstGoodMs) return 'The last lost sample must come before the first good one.';
  return null;
}

/** Returns the judgement of a complete draft, or null where something is missing. `cannot tell` has no certainty. */
export function judgementOf(draft: VerdictDraft): Judgement | null {
  if (draft.verdict === null || draftFault(draft) !== null) return null;
  return { verdict: draft.verdict, certainty: draft.verdict === 'cannot tell' ? null : draft.certainty, note: draft.note.trim(), correctedBounds: draft.correctedBounds };
}
