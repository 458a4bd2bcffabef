import type { FilePreview } from '../../core/model/file-preview.ts';
import type { LedgerPlace } from '../../core/model/ledger.ts';
import type { Mapping, ReadingRules } from '../../core/model/mapping.ts';
import type { CaseSummary, ChangeChoice, ChangedCase, ImportResult, InterruptedImport, StagedMatch } from '../../core/protocol/host-api.ts';
import type { ChosenFile } from './dropped-files.ts';
import type { HostConnection } from '../host/host-client.ts';
import { NO_OVERRULES, overruleList, withOverrule, withoutOverrule, withSaid, type Overrule, type OverruleSet } from './overrules.ts';
import { describeProblem, type Problem } from './problem.ts';
import { createStore, type ReadableStore } from './store.ts';

export interface ImportProgress {
  /** 'handing over': the page sends the files; the others are the host's. */
  readonly stage: 'handing over' | 'reading' | 'analysing' | 'writing';
  readonly file: string;
  readonly bytesDone: number;
  readonly bytesTotal: number;
}

export type ImportState =
  | { readonly kind: 'idle' }
  | { readonly kind: 'working'; readonly progress: ImportProgress; readonly cancelling: boolean; /** Files of it that were read before. */ readonly earlier: ImportResult['earlier'] }
  /** Every file was read before, and to read them again takes its time: nothing is read before a person wants it. */
  | { readonly kind: 'known'; readonly earlier: ImportResult['earlier']; readonly byteLength: number }
  | {
      readonly kind: 'report';
      readonly result: ImportResult;
      /** What is said about the files now. */
      readonly overrules: OverruleSet;
      /** What had been said when this report was made. */
      readonly appliedOverrules: OverruleSet;
      /** The zone of all files as a person stated it, now and when this report was made; null: nobody did. */
      readonly zone: string | null;
      readonly appliedZone: string | null;
      /** Why the last reading again, or the last decision, did not go through. */
      readonly problem: Problem | null;
      /** A decision about known cases is being carried out. */
      readonly isDeciding: boolean;
      /** Set when files of an earlier import are taken in again: which of them came. */
      readonly again: StagedMatch | null;
    }
  | { readonly kind: 'cancelled' }
  | { readonly kind: 'failed'; readonly problem: Problem };

/** Returns rules as single things that were said, each with its words; `from` is the saved mapping they came from. */
export type OverrulesOf = (rules: ReadingRules, from?: string) => Overrule[];

export interface ImportSession extends ReadableStore<ImportState> {
  /** How far an import is that this window did not start (the sample cases at the first start, another window); null: none. */
  readonly elsewhere: ReadableStore<ImportProgress | null>;
  /** Imports that were running when the program ended. */
  readonly interrupted: ReadableStore<readonly InterruptedImport[]>;
  /** Goes on with an interrupted import from where it was, with what was said about its files. `overrulesOf` puts rules into words. */
  resume(interrupted: InterruptedImport, overrulesOf: OverrulesOf): Promise<void>;
  /** Removes an interrupted import; the library stays as it is. Returns why it could not be removed, else null. */
  discard(interrupted: InterruptedImport): Promise<Problem | null>;
  start(files: readonly ChosenFile[]): Promise<void>;
  /** Reads files that were all read before, when asked whether to. */
  readKnown(): Promise<void>;
  /** Reads files of an earlier import as they were read then, so that what was rejected can be taken in with other rules. `overrulesOf` puts rules into words. */
  takeAgain(files: readonly ChosenFile[], place: LedgerPlace, overrulesOf: OverrulesOf): Promise<void>;
  /** Reads the staged files again with everything that was said. */
  readAgain(): Promise<void>;
  say(file: string, overrule: Overrule): void;
  /** Puts `said` in place of all that was said about each file. */
  sayAll(said: ReadonlyMap<string, readonly Overrule[]>): void;
  /** Returns what the first rows of a staged file become under rules on trial, in the zone stated for all files, and with them the rows around a line. */
  preview(file: string, rules: ReadingRules, atLine: number | null): Promise<FilePreview>;
  sayZone(zone: string | null): void;
  /** Carries out what was decided about known cases that this import reads otherwise. */
  decide(choices: readonly ChangeChoice[]): Promise<void>;
  unsay(file: string, field: string): void;
  cancel(): Promise<void>;
  /** Ends the import: the host drops the staged files. */
  finish(): Promise<void>;
  dispose(): void;
}

/** Returns the lines of a report after a decision: the same cases as they are now, and the new ones where both are kept. */
function linesAfter(result: ImportResult, changed: readonly ChangedCase[], lines: readonly CaseSummary[]): CaseSummary[] {
  const namesOf = (list: readonly ChangedCase[]): ReadonlySet<string> => new Set(list.flatMap(({ storedAs }) => (storedAs === null ? [] : [storedAs])));
  const formerNames = namesOf(result.changed);
  const names = namesOf(changed);
  const now = new Map(lines.map((line) => [line.caseKey, line]));
  return [...result.cases.filter(({ caseId }) => !formerNames.has(caseId)).map((line) => now.get(line.caseKey) ?? line), ...lines.filter(({ caseId }) => names.has(caseId))];
}

/** Files that were all read before are read again without a question up to this size: it takes a moment, and the report says what is known. */
const ASK_FROM_BYTES = 20_000_000;
/** After this long without a word an import elsewhere is taken as over: it may have failed without changing the library. */
const ELSEWHERE_SILENT_MS = 20_000;

/** Returns the one import of this window. `onImported` is called after every reading that stored cases. */
export function createImportSession(host: HostConnection, onImported: () => void): ImportSession {
  const store = createStore<ImportState>({ kind: 'idle' });
  let importId: string | null = null;
  let cancelRequested = false;
  let staging = new AbortController();
  let mapping: Mapping | null = null;
  let again: StagedMatch | null = null;
  let earlier: ImportResult['earlier'] = [];
  /** What is read once a person wants it, although all of it was read before. */
  let wanted: (() => Promise<void>) | null = null;

  const elsewhere = createStore<ImportProgress | null>(null);
  let silence: ReturnType<typeof setTimeout> | undefined;

  const interrupted = createStore<readonly InterruptedImport[]>([]);
  const lookForInterrupted = async (): Promise<void> => {
    try {
      interrupted.set(await host.interruptedImports());
    } catch {
      // the host does not answer: whatever the window asks next says so
    }
  };
  void lookForInterrupted();

  const hearElsewhere = (progress: ImportProgress | null): void => {
    clearTimeout(silence);
    elsewhere.set(progress);
    if (progress !== null) silence = setTimeout(() => elsewhere.set(null), ELSEWHERE_SILENT_MS);
  };

  const stopListening = host.onEvent((event) => {
    if (event.kind === 'library-changed') hearElsewhere(null);
    if (event.kind !== 'import-progress') return;
    const progress: ImportProgress = { stage: event.stage, file: event.file, bytesDone: event.bytesDone, bytesTotal: event.bytesTotal };
    const state = store.get();
    if (event.importId !== importId) hearElsewhere(progress);
    else if (state.kind === 'working') store.set({ ...state, progress });
  });

  const working = (progress: ImportProgress): void => {
    store.set({ kind: 'working', progress, cancelling: cancelRequested, earlier });
  };

  const end = async (): Promise<void> => {
    const ending = importId;
    importId = null;
    if (ending === null) return;
    try {
      await host.endImport({ importId: ending });
    } catch {
      // the staged copy stays until the program ends and is cleared at its next start; nothing for the reader to do
    }
  };

  const run = async (id: string, files: readonly string[], overrules: OverruleSet, zone: string | null): Promise<void> => {
    const result = await host.runImport({ importId: id, overrules: overruleList(overrules, files), zone, mapping });
    store.set({ kind: 'report', result, overrules, appliedOverrules: overrules, zone, appliedZone: zone, problem: null, isDeciding: false, again });
    onImported();
  };

  /** Hands the files over to a new import, then calls `read`; ends it when it is cancelled or does not go through. */
  const begin = async (files: readonly ChosenFile[], read: (id: string) => Promise<void>): Promise<void> => {
    if (store.get().kind === 'working' || files.length === 0) return;
    cancelRequested = false;
    staging = new AbortController();
    mapping = null;
    again = null;
    earlier = [];
    const bytesTotal = files.reduce((sum, file) => sum + file.body.size, 0);
    working({ stage: 'handing over', file: files[0]?.relativePath ?? '', bytesDone: 0, bytesTotal });
    try {
      await end();
      const begun = await host.beginImport();
      importId = begun.importId;
      let bytesDone = 0;
      for (const file of files) {
        if (cancelRequested) break;
        working({ stage: 'handing over', file: file.relativePath, bytesDone, bytesTotal });
        const before = bytesDone;
        await host.stageFile(
          begun.importId, file.relativePath, file.body,
          (ofFile) => {
            if (staging.signal.aborted) return;
            working({ stage: 'handing over', file: file.relativePath, bytesDone: before + ofFile, bytesTotal });
          },
          staging.signal,
        );
        bytesDone += file.body.size;
      }
      if (!cancelRequested) {
        working({ stage: 'reading', file: files[0]?.relativePath ?? '', bytesDone: 0, bytesTotal });
        await read(begun.importId);
        return;
      }
      await end();
      store.set({ kind: 'cancelled' });
    } catch (error) {
      await end();
      store.set(cancelRequested ? { kind: 'cancelled' } : { kind: 'failed', problem: describeProblem(error, 'The import') });
    }
  };

  return {
    get: store.get,
    subscribe: store.subscribe,
    elsewhere,
    interrupted,
    async resume(left, overrulesOf) {
      if (store.get().kind === 'working') return;
      cancelRequested = false;
      working({ stage: 'reading', file: left.files[0]?.file ?? '', bytesDone: 0, bytesTotal: left.files.reduce((sum, file) => sum + file.byteLength, 0) });
      try {
        await end();
        mapping = left.mapping;
        again = null;
        earlier = [];
        importId = left.importId;
        interrupted.set(interrupted.get().filter((one) => one !== left));
        const result = await host.resumeImport({ importId: left.importId });
        const said: OverruleSet = new Map(left.overrules.map(({ file, rules, mapping: from }) => [file, overrulesOf(rules, from)]));
        store.set({ kind: 'report', result, overrules: said, appliedOverrules: said, zone: left.zone, appliedZone: left.zone, problem: null, isDeciding: false, again: null });
        onImported();
      } catch (error) {
        await end();
        store.set(cancelRequested ? { kind: 'cancelled' } : { kind: 'failed', problem: describeProblem(error, 'The import') });
      }
    },
    async discard(left) {
      try {
        await host.endImport({ importId: left.importId });
        await lookForInterrupted();
        return null;
      } catch (error) {
        return describeProblem(error, 'Discarding the import');
      }
    },
    start: (files) =>
      begin(files, async (id) => {
        const byteLength = files.reduce((sum, file) => sum + file.body.size, 0);
        const read = (): Promise<void> => run(id, files.map((file) => file.relativePath), NO_OVERRULES, null);
        earlier = await host.readBefore({ importId: id });
        if (earlier.length < files.length || byteLength < ASK_FROM_BYTES) {
          working({ stage: 'reading', file: files[0]?.relativePath ?? '', bytesDone: 0, bytesTotal: byteLength });
          await read();
          return;
        }
        wanted = read;
        store.set({ kind: 'known', earlier, byteLength });
      }),
    async readKnown() {
      const state = store.get();
      if (state.kind !== 'known' || wanted === null) return;
      cancelRequested = false;
      working({ stage: 'reading', file: state.earlier[0]?.file ?? '', bytesDone: 0, bytesTotal: state.byteLength });
      try {
        await wanted();
      } catch (error) {
        await end();
        store.set(cancelRequested ? { kind: 'cancelled' } : { kind: 'failed', problem: describeProblem(error, 'The import') });
      }
    },
    takeAgain: (files, place, overrulesOf) =>
      begin(files, async (id) => {
        const match = await host.matchStaged({ importId: id, place });
        if (match.matched.length === 0) {
          await end();
          const wanted = match.missing.map(({ file }) => file).join(', ');
          store.set({ kind: 'failed', problem: { message: `What you chose is not what was read then: no file has the same content as ${wanted}.`, remedy: 'Choose the very files of that import, or import these as new ones.' } });
          return;
        }
        again = match;
        mapping = match.mapping;
        await run(id, match.overrules.map(({ file }) => file), new Map(match.overrules.map(({ file, rules, mapping: from }) => [file, overrulesOf(rules, from)])), match.zone);
      }),
    async readAgain() {
      const state = store.get();
      if (state.kind !== 'report' || importId === null) return;
      cancelRequested = false;
      earlier = [];
      const files = state.result.files.map((file) => file.file);
      working({ stage: 'reading', file: files[0] ?? '', bytesDone: 0, bytesTotal: state.result.files.reduce((sum, file) => sum + file.byte_length, 0) });
      try {
        await run(importId, files, state.overrules, state.zone);
      } catch (error) {
        // the earlier report stays: what it says is still what is stored
        store.set({ ...state, problem: cancelRequested ? null : describeProblem(error, 'Reading again') });
      }
    },
    say(file, overrule) {
      const state = store.get();
      if (state.kind === 'report') store.set({ ...state, overrules: withOverrule(state.overrules, file, overrule) });
    },
    sayAll(said) {
      const state = store.get();
      if (state.kind === 'report') store.set({ ...state, overrules: [...said].reduce((set, [file, own]) => withSaid(set, file, own), state.overrules) });
    },
    async preview(file, rules, atLine) {
      const state = store.get();
      if (importId === null) throw Object.assign(new Error('This import is over; its files are no longer kept.'), { remedy: 'Choose the files again and import them anew.' });
      return await host.previewFile({ importId, file, zone: state.kind === 'report' ? state.zone : null, rules, atLine });
    },
    sayZone(zone) {
      const state = store.get();
      if (state.kind === 'report') store.set({ ...state, zone });
    },
    async decide(choices) {
      const state = store.get();
      if (state.kind !== 'report' || state.isDeciding) return;
      store.set({ ...state, isDeciding: true, problem: null });
      let problem: Problem | null = null;
      let { result } = state;
      try {
        const { changed, cases } = await host.decideChanges({ importId: result.importId, decisions: choices });
        result = { ...result, changed, cases: linesAfter(result, changed, cases) };
        onImported();
      } catch (error) {
        problem = describeProblem(error, 'Carrying out your decision');
      }
      const now = store.get();
      if (now.kind === 'report' && now.result.importId === result.importId) store.set({ ...now, result, isDeciding: false, problem });
    },
    unsay(file, field) {
      const state = store.get();
      if (state.kind === 'report') store.set({ ...state, overrules: withoutOverrule(state.overrules, file, field) });
    },
    async cancel() {
      const state = store.get();
      if (state.kind !== 'working') return;
      cancelRequested = true;
      store.set({ ...state, cancelling: true });
      staging.abort();
      if (importId === null || state.progress.stage === 'handing over') return;
      try {
        await host.cancelImport({ importId });
      } catch (error) {
        cancelRequested = false;
        store.set({ kind: 'failed', problem: describeProblem(error, 'Cancelling') });
      }
    },
    async finish() {
      if (store.get().kind === 'working') return;
      store.set({ kind: 'idle' });
      await end();
    },
    dispose() {
      clearTimeout(silence);
      stopListening();
    },
  };
}
