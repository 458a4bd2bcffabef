import type { LedgerDecision, LedgerEntry, LedgerImport, LedgerLine, LedgerRun, LedgerState } from '../../core/model/ledger.ts';

const NAMES_SHOWN = 3;

/** What of one import could be read: its entries in the order in which they were added, and how many could not be. */
export interface ReadEntries {
  readonly importId: string;
  readonly entries: readonly LedgerEntry[];
  readonly damaged: number;
}

/** Returns the reading that holds: the last that went through; null where none did. */
export function lastRun(entries: readonly LedgerEntry[]): LedgerRun | null {
  return entries.reduce<LedgerRun | null>((last, entry) => (entry.kind === 'run' ? entry : last), null);
}

/** Returns the decisions about the cases of one reading, the later one on each case. */
export function decisionsOf(entries: readonly LedgerEntry[], run: number): LedgerDecision['decisions'] {
  const byCase = new Map<string, LedgerDecision['decisions'][number]>();
  for (const entry of entries) if (entry.kind === 'decision' && entry.run === run) for (const one of entry.decisions) byCase.set(one.caseKey, one);
  return [...byCase.values()];
}

/**
 * Returns the line of one import in the list. `isRunning`: this program is reading it now; a reading that began and has no end
 * otherwise was interrupted.
 */
export function ledgerLine({ importId, entries, damaged }: ReadEntries, isRunning: boolean): LedgerLine {
  const run = lastRun(entries);
  const last = entries.at(-1);
  const decided = run === null ? [] : decisionsOf(entries, run.run);
  const waiting = run === null ? [] : run.cases.filter(({ outcome, caseKey }) => outcome === 'differs' && !decided.some((one) => one.caseKey === caseKey));
  const files = run?.files ?? [];
  const begun = entries.reduce<readonly { readonly file: string }[]>((found, entry) => (entry.kind === 'begun' ? entry.files : found), []);
  const sum = (pick: (file: LedgerRun['files'][number]) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const names = files.length > 0 ? files.map(({ file }) => file) : begun.map(({ file }) => file);
  return {
    importId,
    state: stateOf(entries, isRunning, waiting.length),
    firstAt: entries[0]?.at ?? '',
    lastAt: last?.at ?? '',
    runs: entries.filter(({ kind }) => kind === 'run').length,
    productVersion: last?.productVersion ?? '',
    names: names.slice(0, NAMES_SHOWN),
    files: names.length,
    filesFailed: files.filter(({ failure }) => failure !== null).length,
    rowsRead: sum((file) => file.rows_read),
    rowsAccepted: sum((file) => file.rows_accepted),
    rowsRejected: sum((file) => file.rows_rejected),
    casesStored: (run?.cases.filter(({ outcome }) => outcome === 'stored').length ?? 0) + decided.filter(({ decision }) => decision !== 'keep old').length,
    casesThere: (run?.cases.filter(({ outcome }) => outcome === 'already there').length ?? 0) + decided.filter(({ decision }) => decision === 'keep old').length,
    casesWaiting: waiting.length,
    overruled: run?.overruled.length ?? 0,
    ...(entries.length === 0 && damaged > 0 ? { state: 'damaged' as const } : {}),
  };
}

function stateOf(entries: readonly LedgerEntry[], isRunning: boolean, waiting: number): LedgerState {
  const last = entries.reduce<LedgerEntry | null>((found, entry) => (entry.kind === 'decision' ? found : entry), null);
  if (isRunning) return 'running';
  if (last === null) return 'damaged';
  // A reading again that did not go through leaves what the one before it stored.
  const holds = lastRun(entries) !== null;
  if (last.kind === 'begun') return 'interrupted';
  if (last.kind === 'stopped' && !holds) return last.why;
  return waiting > 0 ? 'waiting' : 'complete';
}

/** Returns one import opened at the reading `run`, or at the one that holds. */
export function openedImport(read: ReadEntries, isRunning: boolean, run: number | null): LedgerImport {
  const { entries, damaged } = read;
  const chosen = run === null ? lastRun(entries) : (entries.find((entry): entry is LedgerRun => entry.kind === 'run' && entry.run === run) ?? null);
  return {
    line: ledgerLine(read, isRunning),
    history: entries.map((entry) => ({ at: entry.at, kind: entry.kind, run: entry.run, words: wordsOf(entry) })),
    run: chosen,
    decisions: chosen === null ? [] : decisionsOf(entries, chosen.run),
    damaged,
  };
}

function wordsOf(entry: LedgerEntry): string {
  const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;
  switch (entry.kind) {
    case 'begun':
      return `Reading ${entry.run} of ${count(entry.files.length, 'file', 'files')} began${entry.corrects === null ? '' : ', to take in rejected rows of an earlier import'}.`;
    case 'run': {
      const differ = entry.cases.filter(({ outcome }) => outcome === 'differs').length;
      return `Reading ${entry.run} went through: ${count(entry.cases.length, 'case', 'cases')}${differ === 0 ? '' : `, ${differ} of them known with other content`}${entry.overruled.length === 0 ? '' : `; ${count(entry.overruled.length, 'overrule', 'overrules')}`}.`;
    }
    case 'stopped':
      return entry.why === 'cancelled' ? `Reading ${entry.run} was cancelled.` : `Reading ${entry.run} failed: ${entry.message}`;
    case 'decision':
      return entry.decisions.map(({ caseId, decision, storedAs }) => `${caseId}: ${decision === 'keep both' ? `both kept, the new one as ${storedAs ?? ''}` : decision === 'replace' ? 'replaced' : 'the earlier one kept'}`).join('; ') + '.';
  }
}
