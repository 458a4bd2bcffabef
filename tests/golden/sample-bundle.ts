import { DEFAULT_COHORT_OPTIONS } from '../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { encodeCase } from '../../core/persist/case-bytes.ts';
import { createAnalysisService } from '../../core/worker/analysis-service.ts';
import type { WrittenBundle } from '../../core/worker/bundle-zip.ts';
import type { ReadSamples } from './read-samples.ts';

/** Returns the research bundle of sample cases as the window makes it, with few draws. */
export async function sampleBundle({ outcome, analyses }: ReadSamples, caseIds: readonly string[], { relativeTime }: { readonly relativeTime: boolean }): Promise<WrittenBundle> {
  const service = createAnalysisService('0.1.0', () => undefined);
  const options = { ...DEFAULT_COHORT_OPTIONS, draws: 200 };
  const records = outcome.cases.filter(({ caseId }) => caseIds.includes(caseId)).sort((a, b) => (a.caseId < b.caseId ? -1 : 1));
  const made = [];
  for (const record of records) {
    const bundled = await service.storedBundleCase(encodeCase(record, analyses.get(record.caseId) ?? null), record.caseId, DEFAULT_PARAMETERS, null, { withRobustness: false, withChannels: true, reviews: 'none', relativeTime });
    if (!bundled.ok) throw new Error(bundled.failure.message);
    made.push(bundled.value);
  }
  const worked = await service.cohortExport(made.map(({ one }) => one), [], options, DEFAULT_PARAMETERS);
  if (!worked.ok) throw new Error(worked.failure.message);
  const results = { ...worked.value.results, robustness: await service.cohortRobustness(made.map(({ one }) => one), options, DEFAULT_PARAMETERS) };
  return await service.bundleZip({
    source: 'library', made: null, given: [], inputs: made.flatMap(({ sources }) => sources), call: 'made in the window, from the cases of a library',
    options: { zone: null, isZoneLeftOut: false, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, robustness: false, caseListColumn: null, caseListDate: null, cohort: options },
    extent: { relativeTime, robustness: false, dropouts: 'computed', withReviews: false, withCaseList: false, withNextStudy: false, withImport: false },
    settings: { productVersion: '0.1.0', parameters: DEFAULT_PARAMETERS, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, cohort: options },
    run: { ...worked.value, results }, unanalyzed: [], cases: made.map(({ report }) => ({ caseId: report.caseId, pairs: report.pairs })), rows: made.map(({ report }) => report.rows),
  });
}
