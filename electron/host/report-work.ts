import { DEFAULT_AGREEMENT_OPTIONS } from '../../core/model/review-agreement.ts';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import { MOST_SHEETS } from '../../core/model/report-document.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ReportApi } from '../../core/protocol/report-api.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import type { Cohorts } from './cohorts.ts';
import { storedSheet } from './case-sheets.ts';
import type { Reviews } from './reviews.ts';
import type { ReviewExchanges } from './review-exchange.ts';
import { eachCase } from './each-case.ts';
import { writeLibraryBundle } from './library-bundle.ts';
import type { MadeBundles } from './made-bundles.ts';
import { createNamedJobs } from './named-jobs.ts';

export interface ReportWorkParts extends CaseWorkParts {
  readonly cohorts: Pick<Cohorts, 'exported'>;
  readonly exchange: Pick<ReviewExchanges, 'agreementOver'>;
  readonly reviews: Pick<Reviews, 'noteLook'>;
  readonly productVersion: string;
  readonly bundles: Pick<MadeBundles, 'hold'>;
}

/** Returns the calls about reports over the cases of one library. */
export function createReportWork({ store, pool, casesAtOnce, closing, tell, cohorts, exchange, reviews, productVersion, bundles }: ReportWorkParts): ReportApi {
  const jobs = createNamedJobs({
    closing,
    running: { code: 'report-running', message: 'This report is already being made.', remedy: 'Wait until it is done, or cancel it.' },
    cancelled: 'The work on the report was cancelled.',
  });
  return {
    departmentReport: ({ jobId, caseKeys, options, wishes, view }) =>
      jobs.run(jobId, async (signal) => {
        const run = await cohorts.exported({ jobId, caseKeys, options }, signal);
        const said = options.dropouts === 'computed' ? null : await exchange.agreementOver(countedIn(run), { ...DEFAULT_AGREEMENT_OPTIONS, replicates: options.draws, seed: options.seed, conf: options.conf }, view, signal);
        const { document, html, pdf, pages, notInFont } = await pool.departmentReport({ run, files: null, unanalyzed: [], inputDigests: [], agreement: said?.agreement, agreementHidden: said?.hidden }, { ...wishes, relativeTime: false }, { signal });
        return { document, html, pdfBase64: Buffer.from(pdf).toString('base64'), pages, notInFont };
      }),
    researchBundle: ({ jobId, ...asked }) =>
      jobs.run(jobId, async (signal) => {
        const parameters = await store.settings.readParameters();
        const tellStage = (stage: 'reading' | 'working out', done: number, total: number): void => tell({ kind: 'cohort-progress', jobId, stage, done, total });
        const bundle = await writeLibraryBundle({ store, pool, casesAtOnce, closing, productVersion, tell: tellStage }, { ...asked, parameters }, signal);
        const bundleId = bundles.hold({ ...bundle, fileName: 'research-bundle.zip' });
        return { bundleId, byteLength: bundle.zip.byteLength, files: bundle.files, cases: bundle.caseKeys.length, leftOut: bundle.leftOut };
      }),
    caseSheets: ({ jobId, caseKeys, wishes, view }) =>
      jobs.run(jobId, async (signal) => {
        const names = new Map(store.list().map(({ caseKey, caseId }) => [caseKey, caseId]));
        const nameOf = (caseKey: string): string => names.get(caseKey) ?? '';
        const keys = [...new Set(caseKeys)].sort((a, b) => (nameOf(a) === nameOf(b) ? (a < b ? -1 : 1) : nameOf(a) < nameOf(b) ? -1 : 1));
        if (keys.length > MOST_SHEETS) throw new FailureError({ code: 'too-many-sheets', message: `${keys.length} sheets are asked for, and ${MOST_SHEETS} at most are made at once.`, remedy: 'Choose fewer cases, or write the sheets of all input files without the window: report case.' });
        const parameters = await store.settings.readParameters();
        const onProgress = (done: number, total: number): void => tell({ kind: 'cohort-progress', jobId, stage: 'reading', done, total });
        const { made, leftOut } = await eachCase(keys, { names, casesAtOnce, signal, onProgress }, async (caseKey) => {
          const { document, pages, notInFont } = await storedSheet({ store, pool, reviews, closing }, { caseKey, parameters, wishes, view });
          return { caseKey, caseId: nameOf(caseKey), document, pages, notInFont };
        });
        return { sheets: made, leftOut: leftOut.map(({ caseId, reason }) => ({ caseId, reason })) };
      }),
    async cancelReportWork({ jobId }) {
      return { cancelled: jobs.cancel(jobId) };
    },
  };
}

/** Returns the keys of the cases that a run counts. */
function countedIn({ results }: CohortExport): ReadonlySet<string> {
  return new Set(results.burden.cases.map(({ caseKey }) => caseKey));
}
