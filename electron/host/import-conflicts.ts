import { ok } from '../../core/base/result.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseComparison } from '../../core/model/case-comparison.ts';
import { sourceDigests } from '../../core/model/source-digests.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { summarizeCase } from '../../core/protocol/case-summary.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseSummary, ChangeChoice, ChangedCase, UnchangedCase } from '../../core/protocol/host-api.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore, StagingArea } from './case-store.ts';
import type { PreparedEntry } from './import-ledger.ts';
import type { ReadyCase } from './import-work.ts';

/** More cases of one and the same file than this are not looked through for one that holds a case of another name. */
const MAX_TWINS = 8;

/** Where one case of an import belongs. `line` is what the library shows for it. */
export type Verdict =
  /** It is to be stored; one of its name that cannot be read any more gives way. */
  | { readonly kind: 'new' }
  | { readonly kind: 'unchanged'; readonly line: CaseSummary; readonly unchanged: UnchangedCase }
  | { readonly kind: 'held'; readonly line: CaseSummary; readonly changed: ChangedCase };

/** What became of one case of an import. `line` is what the library now shows for it. */
export type Placed = { readonly kind: 'stored'; readonly line: CaseSummary; readonly replacedUnreadable: boolean } | Exclude<Verdict, { readonly kind: 'new' }>;

export interface ConflictOptions {
  readonly store: CaseStore;
  readonly pool: Pick<AnalysisPool, 'compare' | 'keepClocks'>;
  readonly staging: StagingArea;
}

/**
 * Where the cases of one import go. A new case is stored; one that the library holds already is left alone; one whose name is
 * known and whose content differs is held back, and takes the place of the earlier one only when a person says so.
 */
export interface ImportConflicts {
  /** Forgets what an earlier run of the import held back. */
  begin(): void;
  /** Returns what is to become of a case that is ready, against the library as it was before the import. Changes nothing. */
  judge(ready: ReadyCase): Promise<Verdict>;
  /** Holds cases back that were judged to be changed. */
  hold(changed: readonly ChangedCase[]): Promise<void>;
  readonly changed: readonly ChangedCase[];
  compare(caseKey: string): Promise<CaseComparison>;
  /**
   * Carries decisions out, each in place of an earlier one on the same case. `analyze` makes an analysis anew where the
   * parameters were changed meanwhile; `prepareEntry` what the ledger is to say, once nothing but the disk can go wrong.
   * Errors  rejects with a FailureError and changes nothing when a name is taken or a case does not wait; when the disk fails,
   *         everything that the import has stored is taken back.
   */
  decide(choices: readonly ChangeChoice[], analyze: (record: CaseRecord, held: CaseAnalysis | null) => Promise<CaseAnalysis | null>, prepareEntry?: () => Promise<PreparedEntry>): Promise<readonly ChangedCase[]>;
}

/** Returns the conflicts of one import. */
export function createImportConflicts({ store, pool, staging }: ConflictOptions): ImportConflicts {
  const held = new Map<string, ChangedCase>();

  async function compareBytes(before: Uint8Array, after: Uint8Array): Promise<CaseComparison | null> {
    const compared = await pool.compare(before, after);
    return compared.ok ? compared.value : null;
  }

  /** Returns the library's case, of whatever name, that holds all of this one; null when there is none. */
  async function twinOf({ summary, digests }: ReadyCase): Promise<CaseSummary | null> {
    const candidates = store.casesFrom(digests).filter((caseKey) => !staging.stored.has(caseKey));
    if (candidates.length > MAX_TWINS) return null;
    for (const caseKey of candidates) {
      const comparison = await compareBytes(await store.readBytes(caseKey), await staging.readReady(summary.caseKey));
      if (comparison !== null && comparison.isContained) return store.lineOf(caseKey);
    }
    return null;
  }

  /** Returns the bytes of the case that was in the library before this import. */
  function before(caseKey: string): Promise<Uint8Array> {
    return staging.stored.get(caseKey) === true ? staging.readAside(caseKey) : store.readBytes(caseKey);
  }

  /** Returns the cases that a decision has put into the library. */
  function storedBy({ caseKey, decision, storedAs }: ChangedCase): string[] {
    if (decision === 'replace') return [caseKey];
    return decision === 'keep both' && storedAs !== null ? [store.keyOf(storedAs)] : [];
  }

  return {
    begin: () => held.clear(),
    get changed() {
      return [...held.values()];
    },
    async judge(ready) {
      const { caseKey, caseId } = ready.summary;
      if (staging.stored.get(caseKey) === false) return { kind: 'new' }; // an earlier run of this import stored it
      const known = store.lineOf(caseKey);
      if (known === null) {
        const twin = await twinOf(ready);
        return twin === null ? { kind: 'new' } : unchanged(caseId, twin);
      }
      if (known.caseId === '') return { kind: 'new' };
      const comparison = await compareBytes(await before(caseKey), await staging.readReady(caseKey));
      if (comparison === null) return { kind: 'new' };
      if (comparison.isSame || comparison.isContained) return unchanged(caseId, known);
      return { kind: 'held', line: known, changed: changeOf(caseKey, caseId, comparison) };
    },
    async hold(changes) {
      for (const change of changes) {
        await staging.hold(change.caseKey);
        held.set(change.caseKey, change);
      }
    },
    async compare(caseKey) {
      if (!held.has(caseKey)) throw notWaiting();
      const comparison = await compareBytes(await before(caseKey), await staging.readHeld(caseKey));
      if (comparison === null) throw new FailureError({ code: 'case-unreadable', message: 'One of the two cases can no longer be read, so that they cannot be compared.', remedy: 'Import the files again.' });
      return comparison;
    },
    async decide(choices, analyze, prepareEntry) {
      const own = new Set(choices.map(({ caseKey }) => caseKey));
      const freed = new Set([...held.values()].flatMap((change) => (own.has(change.caseKey) && change.storedAs !== null ? [change.storedAs] : [])));
      const names = new Set(store.list().map(({ caseId }) => caseId).filter((name) => !freed.has(name)));
      for (const { caseKey, decision, storeAs } of choices) {
        if (!held.has(caseKey)) throw notWaiting();
        if (decision !== 'keep both') continue;
        const name = storeAs?.trim() ?? '';
        if (name === '') throw new FailureError({ code: 'name-missing', message: 'To keep both cases the new one needs a name of its own.', remedy: 'Give it a name that no case of the library has.' });
        if (names.has(name)) throw new FailureError({ code: 'name-taken', message: `There is already a case of the name “${name}”.`, remedy: 'Give the new one a name that no case of the library has.' });
        names.add(name);
      }
      const takeBack = choices.flatMap(({ caseKey }) => storedBy(held.get(caseKey) ?? never()));
      const put: ReadyCase[] = [];
      const decided = new Map<string, ChangedCase>();
      for (const { caseKey, decision, storeAs } of choices) {
        const change = held.get(caseKey) ?? never();
        const storedAs = decision === 'keep both' ? (storeAs?.trim() ?? null) : null;
        decided.set(caseKey, { ...change, decision, storedAs });
        if (decision === 'keep old') continue;
        const decoded = decodeCase(await staging.readHeld(caseKey));
        if (!decoded.ok) throw new FailureError(decoded.failure);
        const { record: given, analysis: earlier } = decoded.value;
        // What takes the place of the library's case keeps the clocks that a person has set there.
        const clocked = decision === 'replace' ? await pool.keepClocks(await before(caseKey), await staging.readHeld(caseKey)) : ok(given);
        const record = clocked.ok ? clocked.value : given;
        const isMoved = record.sources.some((source, i) => source.clockOffsetMs !== given.sources[i]?.clockOffsetMs);
        const caseId = storedAs ?? record.caseId;
        const renamed = { ...record, caseId };
        const analysis = await analyze(renamed, earlier === null || isMoved ? null : { ...earlier, caseId });
        const summary = summarizeCase(store.keyOf(caseId), renamed, analysis);
        put.push(await staging.prepare({ bytes: encodeCase(renamed, analysis), summary, digests: sourceDigests(renamed), remarks: { notes: [], asTimeOfDay: [], agedBy: null } }));
      }
      const entry = await prepareEntry?.();
      try {
        await store.publish(staging, { put, takeBack, entry }, {});
      } catch (error) {
        for (const [caseKey, change] of held) held.set(caseKey, { ...change, decision: null, storedAs: null });
        throw error;
      }
      for (const [caseKey, change] of decided) held.set(caseKey, change);
      return [...held.values()];
    },
  };
}

function never(): never {
  throw notWaiting();
}

function unchanged(caseId: string, line: CaseSummary): Verdict {
  return { kind: 'unchanged', line, unchanged: { caseId, heldBy: { caseKey: line.caseKey, caseId: line.caseId } } };
}

/** Returns the figures of a comparison that fit into one line. */
function changeOf(caseKey: string, caseId: string, { channels, events, drugs, dropouts }: CaseComparison): ChangedCase {
  const sum = (pick: (channel: CaseComparison['channels'][number]) => number): number => channels.reduce((total, channel) => total + pick(channel), 0);
  const all = (changes: { readonly added: number; readonly removed: number; readonly changed: number }): number => changes.added + changes.removed + changes.changed;
  return {
    caseKey,
    caseId,
    rows: { added: sum((channel) => channel.rowsAdded), removed: sum((channel) => channel.rowsRemoved), changed: sum((channel) => channel.rowsChanged) },
    events: all(events),
    drugs: all(drugs),
    dropouts: dropouts === null ? null : all(dropouts),
    decision: null,
    storedAs: null,
  };
}

function notWaiting(): FailureError {
  return new FailureError({ code: 'no-such-change', message: 'This case does not wait for a decision.', remedy: 'Look at the report of the import again.' });
}
