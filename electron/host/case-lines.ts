import { FailureError } from '../../core/protocol/failure-error.ts';
import type { CaseSummary } from '../../core/protocol/host-api.ts';

/** What a store knows of a case without opening it. */
export interface CaseLine {
  readonly summary: CaseSummary;
  /** Of the files that the case was read from. */
  readonly digests: readonly string[];
}

/** The lines of a library, by key, with what a store keeps beside them, and how often each has changed. */
export interface CaseLines<L extends CaseLine> {
  readonly entries: ReadonlyMap<string, L>;
  /** Puts a line in as it was found at the start. */
  found(caseKey: string, line: L): void;
  /** Puts a line in after its case has changed. */
  changed(caseKey: string, line: L): void;
  delete(caseKey: string): void;
  /** Returns the lines ordered by case id, then key, in code units: the same on every machine. */
  list(): readonly CaseSummary[];
  keyOf(caseId: string, newKeyOf: (caseId: string) => string): string;
  revisionOf(caseKey: string): number | null;
  lineOf(caseKey: string): CaseSummary | null;
  casesFrom(digests: readonly string[]): readonly string[];
}

/** Returns the lines of a library, none yet. */
export function buildCaseLines<L extends CaseLine>(): CaseLines<L> {
  const entries = new Map<string, L>();
  /** Counts the changes of each case while this program has the library; none is counted as 0. */
  const revisions = new Map<string, number>();
  return {
    entries,
    found: (caseKey, line) => void entries.set(caseKey, line),
    changed(caseKey, line) {
      entries.set(caseKey, line);
      revisions.set(caseKey, (revisions.get(caseKey) ?? 0) + 1);
    },
    delete: (caseKey) => void entries.delete(caseKey),
    list: () => inOrder([...entries.values()]).map(({ summary }) => summary),
    keyOf(caseId, newKeyOf) {
      for (const [caseKey, { summary }] of entries) if (caseId !== '' && summary.caseId === caseId) return caseKey; // unreadable cases have ''
      return newKeyOf(caseId);
    },
    revisionOf: (caseKey) => (entries.has(caseKey) ? (revisions.get(caseKey) ?? 0) : null),
    lineOf: (caseKey) => entries.get(caseKey)?.summary ?? null,
    casesFrom(digests) {
      if (digests.length === 0) return [];
      const holding = [...entries.values()].filter(({ summary, digests: own }) => summary.caseId !== '' && digests.every((digest) => own.includes(digest)));
      return inOrder(holding).map(({ summary }) => summary.caseKey);
    },
  };
}

function inOrder<L extends CaseLine>(lines: readonly L[]): L[] {
  return [...lines].sort(({ summary: a }, { summary: b }) => order(a.caseId, b.caseId) || order(a.caseKey, b.caseKey));
}

function order(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** Returns what is said of a case that somebody has removed meanwhile. */
export function caseMissing(): FailureError {
  return new FailureError({ code: 'case-missing', message: 'This case is no longer in the library.', remedy: 'Go back to the library; import the case again if it is needed.' });
}
