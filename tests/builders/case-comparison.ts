import { compareCases } from '../../core/compare/compare-cases.ts';
import type { CaseComparison } from '../../core/model/case-comparison.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import { buildCaseAnalysis, buildCaseRecord } from './stored-case.ts';

/** Returns what differs between the small stored case and one that `over` changes. */
export function buildCaseComparison(over: Partial<CaseRecord> = { drugs: [] }): CaseComparison {
  return compareCases({ record: buildCaseRecord(), analysis: buildCaseAnalysis() }, { record: buildCaseRecord(over), analysis: buildCaseAnalysis() });
}
