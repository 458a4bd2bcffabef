import type { CaseAnalysis } from '../../core/model/analysis.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { CaseComparison } from '../../core/model/case-comparison.ts';
import { decodeCase, encodeCase } from '../../core/persist/case-bytes.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseSummary, ChangeChoice, ChangedCase, UnchangedCase } from '../../core/protocol/host-api.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { AsideCase, CaseStore, StagingArea } from './case-store.ts';

/** More cases of one and the same file than this are not looked through for one that holds a case of another name. */
const MAX_TWINS = 8;

/** What became of one case of an import. `line` is what the library now shows for it. */
export type Placed =
  | { readonly kind: 'stored'; readonly line: CaseSummary; readonly replacedUnreadable: boolean }
  | { readonly kind: 'unchanged'; readonly line: CaseSummary; readonly unchanged: UnchangedCase }
  | { readonly kind: 'held'; readonly line: CaseSummary; readonly changed: ChangedCase };

export interface ConflictOptions {
  readonly store: CaseStore;
  readonly pool: Pick<AnalysisPool, 'compare'>;
  readonly staging: StagingArea;
  /** Cases this import stored, each with the one it put aside; kept up to date here. */
  readonly stored: Map<string, AsideCase | null>;
}

/**
 * Where the cases of one import go. A new case is stored at once; one that the library holds already is left alone; one whose name is
 * known and whose content differs is held back, and takes the place of the earlier one only when a person says so.
 */
export interface ImportConflicts {
  /** Forgets what an earlier run of the import held back. */
  begin(): void;
  /** Errors  as `CaseStore.save`. */
  place(record: CaseRecord, analysis: CaseAnalysis | null): Promise<Placed>;
  readonly changed: readonly ChangedCase[];
  compare(caseKey: string): Promise<CaseComparison>;
  /**
   * Carries decisions out, each in place of an earlier one on the same case. `analyze` makes an analysis anew where the
   * parameters were changed meanwhile.
   * Errors  rejects with a FailureError and changes nothing when a name is taken or a case does not wait.
   */
  decide(choices: readonly ChangeChoice[], analyze: (record: CaseRecord, held: CaseAnalysis | null) => Promise<CaseAnalysis | null>): Promise<readonly ChangedCase[]>;
}

/** Returns the conflicts of one import. */
export function createImportConflicts({ store, pool, staging, stored }: ConflictOptions): ImportConflicts {
  const held = new Map<string, ChangedCase>();
  const lineOf = (caseKey: string): CaseSummary | undefined => store.list().find((line) => line.caseKey === caseKey);

  async function compareBytes(before: Uint8Array, after: Uint8Array): Promise<CaseComparison | null> {
    const compared = await pool.compare(before, after);
    return compared.ok ? compared.value : null;
  }

  /** Returns the library's case, of whatever name, that holds all of this one; null when there is none. */
  async function twinOf(record: CaseRecord, bytes: Uint8Array): Promise<CaseSummary | null> {
    const digests = [...new Set(record.sources.map(({ sha256 }) => sha256))];
    if (digests.includes('')) return null;
    const candidates = store.casesFrom(digests).filter((caseKey) => !stored.has(caseKey));
    if (candidates.length > MAX_TWINS) return null;
    for (const caseKey of candidates) {
      const comparison = await compareBytes(await store.readBytes(caseKey), bytes);
      if (comparison !== null && comparison.isContained) return lineOf(caseKey) ?? null;
    }
    return null;
  }

  /** Takes back a decision, so that the library is as if it had not been taken. */
  async function takeBack(change: ChangedCase): Promise<void> {
    if (change.decision === 'replace') {
      const aside = stored.get(change.caseKey) ?? null;
      if (aside !== null) await store.bringBack(staging, aside);
      stored.delete(change.caseKey);
    }
    if (change.decision === 'keep both' && change.storedAs !== null) {
      const caseKey = store.keyOf(change.storedAs);
      await store.remove(caseKey);
      stored.delete(caseKey);
    }
    held.set(change.caseKey, { ...change, decision: null, storedAs: null });
  }

  async function saveNew(record: CaseRecord, analysis: CaseAnalysis | null): Promise<CaseSummary> {
    const caseKey = store.keyOf(record.caseId);
    if (!stored.has(caseKey)) stored.set(caseKey, await store.putAside(staging, caseKey));
    return await store.save(record, analysis);
  }

  return {
    begin: () => held.clear(),
    get changed() {
      return [...held.values()];
    },
    async place(record, analysis) {
      const caseKey = store.keyOf(record.caseId);
      const earlier = stored.get(caseKey);
      if (earlier === null) return { kind: 'stored', line: await saveNew(record, analysis), replacedUnreadable: false };
      if (earlier !== undefined) {
        // An earlier run of this import replaced it; what to do is asked anew, against what was there before the import.
        await store.bringBack(staging, earlier);
        stored.delete(caseKey);
      }
      const known = lineOf(caseKey);
      const bytes = encodeCase(record, analysis);
      if (known === undefined || known.caseId === '') {
        const twin = known === undefined ? await twinOf(record, bytes) : null;
        if (twin !== null) return unchanged(record, twin);
        return { kind: 'stored', line: await saveNew(record, analysis), replacedUnreadable: known !== undefined };
      }
      const comparison = await compareBytes(await store.readBytes(caseKey), bytes);
      if (comparison === null) return { kind: 'stored', line: await saveNew(record, analysis), replacedUnreadable: true };
      if (comparison.isSame || comparison.isContained) return unchanged(record, known);
      await store.hold(staging, caseKey, bytes);
      const changed = changeOf(caseKey, record.caseId, comparison);
      held.set(caseKey, changed);
      return { kind: 'held', line: known, changed };
    },
    async compare(caseKey) {
      if (!held.has(caseKey)) throw notWaiting();
      const aside = stored.get(caseKey) ?? null;
      const before = aside === null ? await store.readBytes(caseKey) : await store.readAside(staging, aside);
      const comparison = await compareBytes(before, await store.readHeld(staging, caseKey));
      if (comparison === null) throw new FailureError({ code: 'case-unreadable', message: 'One of the two cases can no longer be read, so that they cannot be compared.', remedy: 'Import the files again.' });
      return comparison;
    },
    async decide(choices, analyze) {
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
      for (const { caseKey, decision, storeAs } of choices) {
        const earlier = held.get(caseKey);
        if (earlier !== undefined && earlier.decision !== null) await takeBack(earlier);
        const change = held.get(caseKey);
        if (change === undefined) throw notWaiting();
        if (decision !== 'keep old') {
          const decoded = decodeCase(await store.readHeld(staging, caseKey));
          if (!decoded.ok) throw new FailureError(decoded.failure);
          const { record } = decoded.value;
          const caseId = decision === 'keep both' ? (storeAs?.trim() ?? '') : record.caseId;
          const renamed = { ...record, caseId };
          await saveNew(renamed, await analyze(renamed, decoded.value.analysis === null ? null : { ...decoded.value.analysis, caseId }));
        }
        held.set(caseKey, { ...change, decision, storedAs: decision === 'keep both' ? (storeAs?.trim() ?? null) : null });
      }
      return [...held.values()];
    },
  };
}

function unchanged(record: CaseRecord, line: CaseSummary): Placed {
  return { kind: 'unchanged', line, unchanged: { caseId: record.caseId, heldBy: { caseKey: line.caseKey, caseId: line.caseId } } };
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
