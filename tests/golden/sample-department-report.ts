import { createHash } from 'node:crypto';
import { cohortCaseOf } from '../../core/cohort/cohort-case-of.ts';
import { cohortRobustness } from '../../core/cohort/cohort-robustness.ts';
import { mainExport } from '../../core/cohort/main-export.ts';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { ReportDocument } from '../../core/model/report-document.ts';
import { DEFAULT_HEADER } from '../../core/model/report-document.ts';
import { departmentReport } from '../../core/report/document/department-report.ts';
import type { ReadSamples } from './read-samples.ts';

/** Returns what a run over all sample cases gives, with few draws. */
export function sampleCohortExport({ outcome, analyses }: Pick<ReadSamples, 'outcome' | 'analyses'>): CohortExport {
  const options = { ...DEFAULT_COHORT_OPTIONS, draws: 200, change: { date: '2031-06-01', text: 'second sensor with tucked arms' } };
  const cases = outcome.cases.map((record) => {
    const analysis = analyses.get(record.caseId);
    if (analysis === undefined) throw new Error(`no analysis of ${record.caseId}`);
    return cohortCaseOf(record.caseId, record, analysis, null);
  });
  const digestOf = (text: string): string => createHash('sha256').update(text).digest('hex');
  const { results, charts, funnel, patterns } = mainExport(cases, [], options, DEFAULT_PARAMETERS, 'test', { digestOf, isPersonColumn: () => false });
  return { results: { ...results, robustness: cohortRobustness(cases, options, DEFAULT_PARAMETERS, () => undefined) }, charts, funnel, patterns };
}

/** Returns the department report of all sample cases. */
export function sampleDepartmentReport(samples: ReadSamples): ReportDocument {
  const { files } = samples.outcome;
  const inputDigests = [...new Set(files.map((file) => (file.container ?? file).sha256))].sort();
  return departmentReport({ run: sampleCohortExport(samples), files, unanalyzed: [], inputDigests }, { header: DEFAULT_HEADER, paper: 'A4', relativeTime: false });
}
