import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { importFiles } from '../../core/pipeline/import-files.ts';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { ImportOutcome } from '../../core/readers/reader.ts';
import { folderSources, plainImport } from '../builders/byte-source.ts';

export const SAMPLE_FOLDER = join(import.meta.dirname, '..', '..', 'sample-cases');

export interface TrueLoss {
  readonly start_s: number;
  readonly end_s: number | null;
  /** Whether any row of the export falls into the loss. */
  readonly leaves_trace: boolean;
  readonly kept: boolean;
}
export interface SampleTruth {
  readonly case_id: string;
  readonly clock: string;
  readonly interval_s: readonly number[];
  readonly rows: number;
  readonly end_s: number;
  readonly sites: Readonly<Record<string, { readonly on_s: number; readonly off_s: number | null; readonly losses: readonly TrueLoss[]; readonly links: readonly { readonly loss: number; readonly kind: string; readonly label: string; readonly at_s: number }[] }>>;
  readonly record_gaps: readonly { readonly start_s: number; readonly end_s: number }[];
  /** Rows that may be rejected; after that nothing tells them from a stopped recorder. */
  readonly possible_record_gaps: readonly { readonly start_s: number; readonly end_s: number }[];
  readonly blind: readonly TrueLoss[];
  readonly exposures: readonly { readonly kind: string; readonly label: string; readonly at_s: number; readonly end_s: number | null }[];
  readonly rejected?: { readonly file: string; readonly must: readonly { readonly line: number; readonly why: string }[]; readonly may: readonly { readonly line: number; readonly why: string }[] };
}

/** Returns what is true of every sample case by construction. */
export function readTruth(): Readonly<Record<string, SampleTruth>> {
  const parsed = JSON.parse(readFileSync(join(SAMPLE_FOLDER, 'expected.json'), 'utf8')) as { cases: Record<string, SampleTruth> };
  return parsed.cases;
}

export interface ReadSamples {
  readonly outcome: ImportOutcome;
  readonly analyses: ReadonlyMap<string, CaseAnalysis>;
}

/** Returns all sample cases as one import, and their analyses with the default parameters. */
export async function readSamples(): Promise<ReadSamples> {
  const outcome = await importFiles(folderSources(join(SAMPLE_FOLDER, 'cases')), plainImport());
  return { outcome, analyses: new Map(outcome.cases.map((record) => [record.caseId, analyzeCase(record, DEFAULT_PARAMETERS, 'test')])) };
}
