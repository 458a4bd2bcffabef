import { z } from 'zod';
import type { RejectedRow } from '../../core/model/import-report.ts';
import { rejectedRowSchema } from '../../core/model/import-report-schema.ts';
import { MAX_LEDGER_ROWS, type EarlierReading, type LedgerDecision, type LedgerEntry, type LedgerLine, type LedgerPlace, type LedgerRun } from '../../core/model/ledger.ts';
import { ledgerEntrySchema } from '../../core/model/ledger-schema.ts';
import type { ImportLedger, NewEntry } from './import-ledger.ts';
import type { ReadEntries } from './ledger-line.ts';
import { decisionsOf, lastRun, ledgerLine } from './ledger-line.ts';
import type { LibraryJournal, NewJournalEntry } from './library-shelf.ts';

const headSchema = z.object({ run: z.number().int(), kind: z.string() });

/** Returns the ledger that is kept in a journal: a group for each import, an entry's lines its rejected rows. */
export function buildKeptLedger(journal: LibraryJournal): ImportLedger {
  /** What is looked up over all imports, read when first needed and kept up to date; the entries themselves stay on the disk. */
  let known: Promise<Map<string, Known>> | null = null;
  const all = (): Promise<Map<string, Known>> => (known ??= readAll(journal));

  async function noteKnown(importId: string): Promise<void> {
    if (known !== null) (await known).set(importId, knownOf(await readImport(journal, importId)));
  }

  return {
    async append(entry, rejected = []) {
      await journal.append(entry.importId, journalEntry(entry, rejected));
      await noteKnown(entry.importId);
    },
    async prepare(entry, rejected = []) {
      const { group, number } = await journal.prepare(entry.importId, journalEntry(entry, rejected));
      return { importId: group, number };
    },
    discard: ({ importId, number }) => journal.discard({ group: importId, number }),
    entered: ({ importId }) => noteKnown(importId),
    async list() {
      return [...(await all()).values()].map(({ line }) => line);
    },
    read: (importId) => readImport(journal, importId),
    async rejectedRows(place, { file, reason, from, limit }) {
      const rows: { line: number; row: string }[] = [];
      let kept = 0;
      for await (const some of readRows(journal, place)) {
        for (const row of some) {
          if (row.file !== file || row.reason !== reason) continue;
          if (kept >= from && rows.length < limit) rows.push({ line: row.line, row: row.row });
          kept += 1;
        }
      }
      return { rows, kept };
    },
    async earlierReadings(digests, except) {
      const wanted = new Set(digests.filter((digest) => digest !== ''));
      const found = new Map<string, EarlierReading>();
      for (const [importId, { readings }] of await all()) {
        if (importId === except) continue;
        for (const [digest, reading] of readings) if (wanted.has(digest) && (found.get(digest)?.at ?? '') < reading.at) found.set(digest, reading);
      }
      return found;
    },
  };
}

function journalEntry(entry: NewEntry, rejected: Iterable<RejectedRow> | AsyncIterable<RejectedRow>): NewJournalEntry {
  if (entry.kind !== 'run') return { lines: [], text: () => JSON.stringify(entry) };
  return { lines: firstRows(rejected), text: (rowsKept) => JSON.stringify({ ...entry, rowsKept } satisfies LedgerEntry) };
}

async function* firstRows(rows: Iterable<RejectedRow> | AsyncIterable<RejectedRow>): AsyncGenerator<string> {
  let kept = 0;
  for await (const row of rows) {
    if (kept >= MAX_LEDGER_ROWS) return;
    kept += 1;
    yield JSON.stringify(row);
  }
}

/** Returns what a run read by digest: its files, and the archives and workbooks around them. */
function readingsOf(run: LedgerRun, decisions: LedgerDecision['decisions']): Map<string, EarlierReading> {
  const found = new Map<string, EarlierReading>();
  const heldAs = new Map(run.cases.map((one) => [one.caseId, heldUnder(one, decisions)]));
  for (const { file, sha256, container, cases, failure } of run.files) {
    if (failure !== null) continue;
    for (const one of [{ file, sha256 }, ...(container === undefined ? [] : [container])]) {
      const before = found.get(one.sha256);
      const caseIds = [...new Set([...(before?.caseIds ?? []), ...cases.flatMap((caseId) => heldAs.get(caseId) ?? [])])].sort();
      if (one.sha256 !== '') found.set(one.sha256, { importId: run.importId, run: run.run, at: run.at, file: one.file, caseIds });
    }
  }
  return found;
}

/** Returns under which name the library held a case after a reading; none where the reading changed nothing of it. */
function heldUnder({ caseKey, caseId, outcome, heldBy }: LedgerRun['cases'][number], decisions: LedgerDecision['decisions']): string[] {
  if (outcome !== 'differs') return [heldBy ?? caseId];
  const decided = decisions.find((one) => one.caseKey === caseKey);
  return decided?.decision === 'replace' ? [caseId] : decided?.decision === 'keep both' && decided.storedAs !== null ? [decided.storedAs] : [];
}

interface Known {
  readonly line: LedgerLine;
  readonly readings: ReadonlyMap<string, EarlierReading>;
}

function knownOf(read: ReadEntries): Known {
  const run = lastRun(read.entries);
  return { line: ledgerLine(read, false), readings: run === null ? new Map() : readingsOf(run, decisionsOf(read.entries, run.run)) };
}

async function readAll(journal: LibraryJournal): Promise<Map<string, Known>> {
  const imports = new Map<string, Known>();
  for (const importId of await journal.groups()) {
    const read = await readImport(journal, importId);
    if (read.entries.length + read.damaged > 0) imports.set(importId, knownOf(read));
  }
  return imports;
}

async function readImport(journal: LibraryJournal, importId: string): Promise<ReadEntries> {
  const entries: LedgerEntry[] = [];
  let damaged = 0;
  for (const { text } of await journal.read(importId)) {
    // An entry that cannot be read is counted and left where it is: a later version, or a person, may still read it.
    const entry = ledgerEntrySchema.safeParse(parsedJson(text));
    if (entry.success) entries.push(entry.data);
    else damaged += 1;
  }
  return { importId, entries, damaged };
}

/** Gives the rows of one reading some at a time, in the order in which they were written. */
async function* readRows(journal: LibraryJournal, { importId, run }: LedgerPlace): AsyncGenerator<readonly RejectedRow[]> {
  for (const { number, text } of await journal.read(importId)) {
    const head = headSchema.safeParse(parsedJson(text));
    if (!head.success || head.data.kind !== 'run' || head.data.run !== run) continue;
    for await (const lines of journal.lines(importId, number)) {
      yield lines.flatMap((line) => {
        const row = rejectedRowSchema.safeParse(JSON.parse(line));
        return row.success ? [row.data] : [];
      });
    }
  }
}

function parsedJson(text: string | null): unknown {
  try {
    return JSON.parse(text ?? '');
  } catch {
    return null;
  }
}
