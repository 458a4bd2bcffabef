import type { FileReport } from '../../core/model/import-report.ts';
import type { LedgerCase, Overruled } from '../../core/model/ledger.ts';
import type { ReadingRules } from '../../core/model/mapping.ts';
import type { FileOverrule } from '../../core/protocol/host-api.ts';
import type { Placed } from './import-conflicts.ts';

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

/** Returns what became of the cases of a reading, in its order. */
export function ledgerCases(placed: readonly Placed[]): LedgerCase[] {
  return placed.map((one) => {
    switch (one.kind) {
      case 'stored':
        return { caseKey: one.line.caseKey, caseId: one.line.caseId, outcome: 'stored', heldBy: null };
      case 'unchanged':
        return { caseKey: one.line.caseKey, caseId: one.unchanged.caseId, outcome: 'already there', heldBy: one.unchanged.heldBy.caseId };
      case 'held':
        return { caseKey: one.line.caseKey, caseId: one.changed.caseId, outcome: 'differs', heldBy: null };
    }
  });
}

