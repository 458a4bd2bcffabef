import type { FileReport, Guess } from '../../../core/model/import-report.ts';
import type { LedgerCase, LedgerDecision, LedgerLine, LedgerRun, Overruled } from '../../../core/model/ledger.ts';
import { countText, numberText } from '../../format/number-text.ts';

/** Returns how an import ended, in words. */
export function stateText(line: LedgerLine): string {
  switch (line.state) {
    case 'complete':
      return 'complete';
    case 'waiting':
      return `${countText(line.casesWaiting, 'case', 'cases')} not decided: the library keeps the earlier ${line.casesWaiting === 1 ? 'one' : 'ones'}`;
    case 'running':
      return 'being read now';
    case 'interrupted':
      return 'cut off: the program ended while it read';
    case 'cancelled':
      return 'cancelled; nothing was stored';
    case 'failed':
      return 'did not go through; nothing was stored';
    case 'damaged':
      return 'its entries cannot be read';
  }
}

/** Returns what became of the cases of an import, in counts. */
export function casesText({ casesStored, casesThere, casesWaiting }: LedgerLine): string {
  const parts = [
    casesStored > 0 ? `${numberText(casesStored)} stored` : null,
    casesThere > 0 ? `${numberText(casesThere)} already there` : null,
    casesWaiting > 0 ? `${numberText(casesWaiting)} not decided` : null,
  ].filter((part) => part !== null);
  return parts.length === 0 ? 'none' : parts.join(', ');
}

/** Returns the names of the files, as many as the line has, and how many there are beside them. */
export function namesText({ names, files }: LedgerLine): string {
  if (files === 0) return 'no file';
  return `${names.join(', ')}${files > names.length ? ` and ${numberText(files - names.length)} more` : ''}`;
}

/** Returns what became of one case, with the decision about it. */
export function outcomeText(one: LedgerCase, decisions: LedgerDecision['decisions']): string {
  if (one.outcome === 'stored') return 'stored';
  if (one.outcome === 'already there') return one.heldBy === null || one.heldBy === one.caseId ? 'the library held it already; not stored again' : `the library held it already as ${one.heldBy}; not stored again`;
  const decided = decisions.find(({ caseKey }) => caseKey === one.caseKey);
  switch (decided?.decision) {
    case undefined:
      return 'known with other content; nobody decided, the earlier one was kept';
    case 'replace':
      return 'known with other content; the earlier one was replaced';
    case 'keep old':
      return 'known with other content; the earlier one was kept';
    case 'keep both':
      return `known with other content; both were kept, the new one as ${decided?.storedAs ?? ''}`;
  }
}

/** Sums that have to agree: what the files say, and what the reasons of rejection say. */
export interface LedgerSums {
  readonly read: number;
  readonly accepted: number;
  readonly rejected: number;
  readonly rejectedByReason: number;
  readonly addUp: boolean;
}

/** Returns the sums over files and whether they add up: read = accepted + rejected, and the reasons count every rejected row. */
export function ledgerSums(files: readonly FileReport[]): LedgerSums {
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const read = sum((file) => file.rows_read);
  const accepted = sum((file) => file.rows_accepted);
  const rejected = sum((file) => file.rows_rejected);
  const rejectedByReason = sum((file) => file.rejected.reduce((total, group) => total + group.count, 0));
  const eachAddsUp = files.every((file) => file.rows_read === file.rows_accepted + file.rows_rejected);
  return { read, accepted, rejected, rejectedByReason, addUp: eachAddsUp && rejected === rejectedByReason };
}

/** One reason for which rows were rejected, over all files. */
export interface ReasonGroup {
  readonly reason: string;
  readonly count: number;
  readonly files: readonly { readonly file: string; readonly count: number; readonly firstLine: number }[];
}

/** Returns the rejected rows by reason, the most frequent first. */
export function reasonGroups(files: readonly FileReport[]): ReasonGroup[] {
  const groups = new Map<string, { file: string; count: number; firstLine: number }[]>();
  for (const { file, rejected } of files) for (const { reason, count, first_line: firstLine } of rejected) groups.set(reason, [...(groups.get(reason) ?? []), { file, count, firstLine }]);
  return [...groups].map(([reason, own]) => ({ reason, count: own.reduce((total, one) => total + one.count, 0), files: own })).sort((a, b) => b.count - a.count || (a.reason < b.reason ? -1 : 1));
}

/** A guess of a reading, or what a person said in its place. */
export type GuessLine = { readonly file: string } & ({ readonly kind: 'guess'; readonly guess: Guess } | { readonly kind: 'overruled'; readonly overruled: Overruled });

/** Returns what was overruled first, then the guesses that stood. */
export function guessLines({ files, overruled }: LedgerRun): GuessLine[] {
  return [
    ...overruled.map((one): GuessLine => ({ file: one.file, kind: 'overruled', overruled: one })),
    ...files.flatMap(({ file, guesses }) => guesses.map((guess): GuessLine => ({ file, kind: 'guess', guess }))),
  ];
}

const FIELD_TEXT: ReadonlyMap<string, string> = new Map([
  ['kind', 'kind of file'],
  ['encoding', 'encoding'],
  ['delimiter', 'delimiter'],
  ['decimalMark', 'decimal mark'],
  ['dateOrder', 'order in dates'],
  ['timeKind', 'kind of times'],
  ['zone', 'time zone'],
  ['clockOffsetS', 'clock of the file'],
  ['columns', 'headings'],
  ['manual', 'times typed by hand'],
]);

/** Returns what a guess or a statement is about, in words; what has none keeps its own name. */
export function fieldText(field: string): string {
  const column = /^columns\.(.+)$/s.exec(field)?.[1];
  return column === undefined ? (FIELD_TEXT.get(field) ?? field) : `column “${column}”`;
}

/** Returns the first signs of a digest, enough to tell files apart by eye; the whole one stands beside it on request. */
export function shortDigest(sha256: string): string {
  return sha256 === '' ? 'not opened' : `${sha256.slice(0, 12)}…`;
}
