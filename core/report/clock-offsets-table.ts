import type { ClockComparison, ClockEvidence } from '../model/clock-comparison.ts';
import type { CaseContext } from './case-context.ts';
import type { Column } from './column.ts';
import { computed, seconds } from './numbers.ts';

/** A row of clock-offsets.csv: a source of a case beside the one that its clock was compared with. */
export interface ClockRow {
  readonly context: CaseContext;
  readonly comparison: ClockComparison;
  readonly best: ClockEvidence | null;
}

/** Yields the rows of clock-offsets.csv. */
export function* clockRows(contexts: readonly CaseContext[]): Generator<ClockRow> {
  for (const context of contexts) for (const comparison of context.clocks ?? []) yield { context, comparison, best: comparison.evidence[0] ?? null };
}

function nameOf({ record }: CaseContext, sourceIndex: number | null): string | null {
  return sourceIndex === null ? null : (record.sources[sourceIndex]?.name ?? null);
}

/** The columns of clock-offsets.csv. */
export const CLOCK_COLUMNS: readonly Column<ClockRow>[] = [
  { name: 'case_id', meaning: 'the case', unit: '', how: 'as in cases.csv', cell: ({ context }) => context.record.caseId },
  { name: 'source', meaning: 'the file whose clock is judged', unit: '', how: '', cell: ({ context, comparison }) => nameOf(context, comparison.sourceIndex) },
  { name: 'against', meaning: 'the file that it was compared with', unit: '', how: 'the one with the most SpO2 values, or the next that recorded something in common; empty where none did', cell: ({ context, comparison }) => nameOf(context, comparison.againstIndex) },
  { name: 'verdict', meaning: 'what the data say', unit: '', how: '"proposed", "agrees", "changes" (not the same throughout the case) or "cannot be told"', cell: ({ comparison }) => comparison.verdict },
  { name: 'offset_s', meaning: 'the offset proposed for the source', unit: 's', type: 'number', how: 'what `clockOffsetS` of a mapping would be, one that is set already included; empty where none is proposed. Never applied by itself', cell: ({ comparison }) => seconds(comparison.offsetMs) },
  { name: 'low_s', meaning: 'lower limit of the best offset', unit: 's', type: 'number', how: 'of the best evidence, also where nothing is proposed from it', cell: ({ best }) => seconds(best?.lowMs ?? null) },
  { name: 'high_s', meaning: 'upper limit of the best offset', unit: 's', type: 'number', how: 'as low_s', cell: ({ best }) => seconds(best?.highMs ?? null) },
  { name: 'set_s', meaning: 'the offset that the run used', unit: 's', type: 'number', how: 'from the mapping; 0 where none was stated', cell: ({ context, comparison }) => seconds(context.record.sources[comparison.sourceIndex]?.clockOffsetMs ?? null) },
  { name: 'method', meaning: 'how the clocks were compared', unit: '', how: '"course" of a quantity that both recorded, or "measurements" of the cuff found in both', cell: ({ best }) => best?.method ?? null },
  { name: 'own_series', meaning: 'the series of the source', unit: '', how: 'as its file names it', cell: ({ best }) => best?.ownName ?? null },
  { name: 'against_series', meaning: 'the series of the other file', unit: '', how: 'as its file names it', cell: ({ best }) => best?.againstName ?? null },
  { name: 'n', meaning: 'pairs of values, or measurements found in both', unit: '', type: 'number', how: 'at the best offset', cell: ({ best }) => best?.n ?? null },
  { name: 'agreement', meaning: 'correlation, or share of the measurements found again, at the best offset', unit: '1', type: 'number', how: 'slow changes taken off both courses', cell: ({ best }) => computed(best?.peak ?? null) },
  { name: 'agreement_as_set', meaning: 'the same with the clocks as the run used them', unit: '1', type: 'number', how: '', cell: ({ best }) => computed(best?.atPresent ?? null) },
  { name: 'agreement_elsewhere', meaning: 'the highest away from the best offset', unit: '1', type: 'number', how: '', cell: ({ best }) => computed(best?.next ?? null) },
  { name: 'evidence', meaning: 'the same in words', unit: '', how: 'with the reason where nothing can be told', cell: ({ comparison }) => comparison.words },
];
