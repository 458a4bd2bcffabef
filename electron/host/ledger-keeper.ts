import { withShownCase } from '../../core/identity/shown-mapping.ts';
import { shownName, shownPath, type Door } from '../../core/identity/shown-path.ts';
import type { FileReport, RejectedRow } from '../../core/model/import-report.ts';
import { LEDGER_SCHEMA, type LedgerPlace, type LedgerRun } from '../../core/model/ledger.ts';
import { toFailure } from '../../core/protocol/failure-error.ts';
import type { ChangedCase, ChangeChoice, HostApi, ImportResult } from '../../core/protocol/host-api.ts';
import type { StagedFile } from './case-store.ts';
import type { ImportLedger, PreparedEntry } from './import-ledger.ts';
import { ledgerCases, overruledFields, type Placement } from './ledger-entry.ts';

export interface KeeperOptions {
  readonly ledger: ImportLedger;
  readonly importId: string;
  readonly productVersion: string;
  readonly now: () => Date;
  /** What may be shown of names of files and folders: the ledger holds no more than the reports do. */
  readonly door: Door;
}

/** What a reading that goes through leaves behind. */
export interface FinishedReading {
  readonly request: Omit<Parameters<HostApi['runImport']>[0], 'importId'>;
  readonly files: readonly FileReport[];
  readonly placed: readonly Placement[];
  readonly rejected: Iterable<RejectedRow> | AsyncIterable<RejectedRow>;
}

/** Writes one import into the ledger as it goes on. Errors  each call rejects as `ImportLedger.append` does. */
export interface LedgerKeeper {
  /** Says that this import takes in again what an earlier reading rejected; call before `begin`. */
  correct(run: LedgerRun): void;
  /** Returns the name of the case that files without a folder make: of the reading that is corrected, else null. */
  readonly looseName: string | null;
  begin(staged: readonly StagedFile[]): Promise<void>;
  /** Writes the entry of a reading that is about to be published; it comes into the ledger with the cases. */
  prepare(reading: FinishedReading, looseName: string): Promise<PreparedEntry>;
  /** Says that what was prepared is published: a later reading is compared with this one. */
  published(files: readonly FileReport[]): void;
  /** Removes what was prepared and did not come into the ledger. */
  discard(prepared: PreparedEntry): Promise<void>;
  /** Says that the reading did not go through; nothing where none began. */
  stop(error: unknown, isCancelled: boolean): Promise<void>;
  /** Writes the entry of decisions that are about to be carried out. */
  prepareDecision(choices: readonly ChangeChoice[], changed: readonly ChangedCase[]): Promise<PreparedEntry>;
  /** Returns which staged files were read at another import before, by the digest of their bytes. */
  readBefore(staged: readonly StagedFile[]): Promise<ImportResult['earlier']>;
  /** Returns which files, or parts of archives and workbooks, were read at another import before. */
  earlier(files: readonly FileReport[]): Promise<ImportResult['earlier']>;
}

/** Returns the keeper of one import that is about to begin. */
export function createLedgerKeeper({ ledger, importId, productVersion, now, door }: KeeperOptions): LedgerKeeper {
  let run = 0;
  let isBegun = false;
  let corrects: LedgerPlace | null = null;
  let looseName: string | null = null;
  let filesBefore: readonly FileReport[] = [];
  const base = (): { readonly schema: typeof LEDGER_SCHEMA; readonly importId: string; readonly at: string; readonly productVersion: string; readonly run: number } => ({
    schema: LEDGER_SCHEMA, importId, at: now().toISOString(), productVersion, run,
  });
  return {
    correct(corrected) {
      corrects = { importId: corrected.importId, run: corrected.run };
      looseName = corrected.looseName;
      filesBefore = corrected.files;
    },
    get looseName() {
      return looseName;
    },
    async begin(staged) {
      run = Math.max(run, ...(await ledger.read(importId)).entries.map((entry) => entry.run)) + 1;
      await ledger.append({ ...base(), kind: 'begun', files: staged.map(({ relativePath, byteLength }) => ({ file: shownPath(relativePath, door), byteLength })), corrects });
      isBegun = true;
    },
    async prepare({ request, files, placed, rejected }, usedLooseName) {
      const { zone, mapping } = request;
      const overrules = request.overrules.map((overrule) => ({ ...overrule, rules: withShownCase(overrule.rules, door) }));
      return await ledger.prepare(
        { ...base(), kind: 'run', zone, mapping, overrules, overruled: overruledFields(overrules, filesBefore), files, cases: ledgerCases(placed), looseName: shownName(usedLooseName, door).name },
        rejected,
      );
    },
    discard: (prepared) => ledger.discard(prepared),
    published(files) {
      isBegun = false;
      // What the product takes on its own is known from the readings before anything was said; a later one keeps silent about it.
      filesBefore = files.map((file) => withEarlierGuesses(file, filesBefore.find((before) => before.file === file.file)));
    },
    async stop(error, isCancelled) {
      if (!isBegun) return;
      isBegun = false;
      await ledger.append({ ...base(), kind: 'stopped', why: isCancelled ? 'cancelled' : 'failed', message: isCancelled ? '' : toFailure(error).message });
    },
    async prepareDecision(choices, changed) {
      const names = new Map(changed.map(({ caseKey, caseId }) => [caseKey, caseId]));
      return await ledger.prepare({
        ...base(),
        kind: 'decision',
        decisions: choices.map(({ caseKey, decision, storeAs }) => ({ caseKey, caseId: names.get(caseKey) ?? '', decision, storedAs: decision === 'keep both' ? (storeAs?.trim() ?? null) : null })),
      });
    },
    async readBefore(staged) {
      const readings = await ledger.earlierReadings(staged.map(({ sha256 }) => sha256), importId);
      return staged.flatMap(({ relativePath, sha256 }) => {
        const reading = readings.get(sha256);
        return reading === undefined ? [] : [{ file: shownPath(relativePath, door), reading }];
      });
    },
    async earlier(files) {
      const readings = await ledger.earlierReadings(files.flatMap(({ sha256, container }) => [sha256, ...(container === undefined ? [] : [container.sha256])]), importId);
      return files.flatMap(({ file, sha256, container }) => {
        const reading = readings.get(sha256) ?? readings.get(container?.sha256 ?? '');
        return reading === undefined ? [] : [{ file, reading }];
      });
    },
  };
}

function withEarlierGuesses(file: FileReport, before: FileReport | undefined): FileReport {
  if (before === undefined) return file;
  const fields = new Set(file.guesses.map(({ field }) => field));
  return { ...file, guesses: [...file.guesses, ...before.guesses.filter(({ field }) => !fields.has(field))], columns: before.columns };
}
