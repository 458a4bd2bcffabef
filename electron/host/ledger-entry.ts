import type { FileReport } from '../../core/model/import-report.ts';
import type { LedgerCase, Overruled } from '../../core/model/ledger.ts';
import type { ReadingRules } from '../../core/model/mapping.ts';
import type { FileOverrule } from '../../core/protocol/host-api.ts';
import type { Verdict } from './import-conflicts.ts';
import type { ReadyCase } from './import-work.ts';

/** Rules that hold several settings of their own: each is a field by itself, as guesses and columns name them. */
const GROUPED = ['columns', 'phrases'] as const;

/**
 * Returns what was said about single files, field by field, with what the reading before had taken there.
 * `before`: the reports of that reading; none for a first reading.
 */
export function overruledFields(overrules: readonly FileOverrule[], before: readonly FileReport[]): Overruled[] {
  return overrules.flatMap(({ file, rules, mapping }) => {
    const report = before.find((one) => one.file === file);
    return fieldsOf(rules).map(([field, said]) => ({ file, field, taken: report === undefined ? null : takenFor(report, field), said: JSON.stringify(said), mapping: mapping ?? null }));
  });
}

function fieldsOf(rules: ReadingRules): [field: string, said: unknown][] {
  return Object.entries(rules).flatMap(([name, value]): [string, unknown][] => {
    if (value === undefined) return [];
    if (GROUPED.some((group) => group === name)) return Object.entries(value as Readonly<Record<string, unknown>>).map(([key, said]) => [`${name}.${key}`, said]); // `columns` and `phrases` are records
    return [[name, value]];
  });
}

function takenFor(report: FileReport, field: string): string | null {
  const guess = report.guesses.find((one) => one.field === field);
  if (guess !== undefined) return guess.taken;
  return report.columns.find((column) => field === `columns.${column.heading}`)?.readAs ?? null;
}

/** A case that is ready, and what is to become of it. */
export interface Placement {
  readonly ready: ReadyCase;
  readonly verdict: Verdict;
}

/** Returns what becomes of the cases of a reading, in its order. */
export function ledgerCases(placed: readonly Placement[]): LedgerCase[] {
  return placed.map(({ ready: { summary }, verdict }) => {
    switch (verdict.kind) {
      case 'new':
        return { caseKey: summary.caseKey, caseId: summary.caseId, outcome: 'stored', heldBy: null };
      case 'unchanged':
        return { caseKey: verdict.line.caseKey, caseId: verdict.unchanged.caseId, outcome: 'already there', heldBy: verdict.unchanged.heldBy.caseId };
      case 'held':
        return { caseKey: verdict.line.caseKey, caseId: verdict.changed.caseId, outcome: 'differs', heldBy: null };
    }
  });
}

