import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { importFiles } from '../../../core/pipeline/import-files.ts';
import type { CaseAnalysis } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { FileReport, RejectedRow } from '../../../core/model/import-report.ts';
import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../../core/model/parameters.ts';
import { memorySource, plainImport } from '../../builders/byte-source.ts';

const FOLDER = join(import.meta.dirname, '..', '..', 'fixtures', 'open-data');

export interface OpenRecord {
  readonly text: string;
  readonly report: FileReport;
  readonly rejectedRows: readonly RejectedRow[];
  readonly record: CaseRecord;
  readonly analyze: (overrides?: Partial<AnalysisParameters>) => CaseAnalysis;
}

/** Returns one file of the open data as the product reads it, with nothing stated beside it. */
export async function readOpenData(set: string, file: string): Promise<OpenRecord> {
  const bytes = readFileSync(join(FOLDER, set, file));
  const outcome = await importFiles([memorySource(`${set}/${file}`, bytes)], plainImport());
  const [report] = outcome.files;
  const [record] = outcome.cases;
  if (report === undefined) throw new Error('no report');
  if (record === undefined) throw new Error(`no case: ${JSON.stringify(report, null, 1)}`);
  return {
    text: bytes.toString('utf8'),
    report,
    rejectedRows: outcome.rejectedRows,
    record,
    analyze: (overrides = {}) => analyzeCase(record, { ...DEFAULT_PARAMETERS, ...overrides }, 'test'),
  };
}

/** Returns the `facts.json` of a set. The caller knows its form. */
export function readFacts<T>(set: string): T {
  return JSON.parse(readFileSync(join(FOLDER, set, 'facts.json'), 'utf8')) as T;
}
