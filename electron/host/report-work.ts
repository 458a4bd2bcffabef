import type { CohortCase } from '../../core/model/cohort-case.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../core/model/review-agreement.ts';
import type { SealedEntry } from '../../core/model/review.ts';
import { readerCodes, withReaderCodes } from '../../core/review/reader-codes.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { CohortExport } from '../../core/model/cohort-export.ts';
import { MOST_SHEETS } from '../../core/model/report-document.ts';
import type { FileDigest } from '../../core/model/bundle-manifest.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { ReportApi } from '../../core/protocol/report-api.ts';
import type { LibraryBundle } from '../../core/worker/bundle-zip.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import type { Cohorts } from './cohorts.ts';
import { storedSheet } from './case-sheets.ts';
import type { Reviews } from './reviews.ts';
import type { ReviewExchanges } from './review-exchange.ts';
import { inTurns } from './in-turns.ts';
import type { MadeBundles } from './made-bundles.ts';
import { createNamedJobs } from './named-jobs.ts';
import { nowAndThen } from './now-and-then.ts';

/** What a bundle has of one case. */
interface BundledCase {
  readonly caseKey: string;
  readonly rows: LibraryBundle['rows'][number];
  readonly pooled: LibraryBundle['cases'][number];
  readonly one: CohortCase;
  readonly sources: readonly FileDigest[];
  /** What was said of it, in the order of the trail. */
  readonly said: readonly SealedEntry[];
}

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
    researchBundle: ({ jobId, caseKeys, options: asked, relativeTime, robustness, withReviews }) =>
      jobs.run(jobId, async (signal) => {
        const { choice, change, groupBy } = asked;
        if (relativeTime && (choice.from !== null || choice.to !== null || change !== null || groupBy?.kind === 'month' || choice.facets.some(({ facet }) => facet.kind === 'month'))) {
          throw new FailureError({ code: 'days-named', message: 'Days or months are named among what is asked, and the bundle is to hold none.', remedy: 'Choose the cases in the library instead, or let the bundle hold days.' });
        }
        // Without what readers said nothing is confirmed.
        const options = withReviews ? asked : { ...asked, dropouts: 'computed' as const };
        const codeOf = readerCodes(pseudonymsOf(store.settings.pseudonymKey));
        const tellStage = (stage: 'reading' | 'working out') => nowAndThen((done, total) => tell({ kind: 'cohort-progress', jobId, stage, done, total }));
        const parameters = await store.settings.readParameters();
        const names = new Map(store.list().map(({ caseKey, caseId }) => [caseKey, caseId]));
        const keys = [...new Set(caseKeys ?? names.keys())];
        const leftOut: { readonly caseKey: string; readonly caseId: string; readonly reason: string }[] = [];
        const progress = tellStage('reading');
        let done = 0;
        const made = await inTurns(keys, casesAtOnce, async (caseKey): Promise<BundledCase | null> => {
          signal.throwIfAborted();
          try {
            const entries = withReviews ? await store.reviews.ofCase(caseKey) : null;
            // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
            const bundled = await pool.storedBundleCase(await store.readBytes(caseKey), caseKey, parameters, entries === null ? null : withReaderCodes(entries, codeOf), { withRobustness: robustness, withChannels: true, reviews: withReviews ? 'without notes' : 'none', relativeTime }, { signal: closing });
            if (!bundled.ok) throw new FailureError(bundled.failure);
            const { report, one, sources } = bundled.value;
            return { caseKey, rows: report.rows, pooled: { caseId: report.caseId, pairs: report.pairs }, one, sources, said: entries ?? [] };
          } catch (error) {
            signal.throwIfAborted();
            leftOut.push({ caseKey, caseId: names.get(caseKey) ?? '', reason: toFailure(error).message });
            return null;
          } finally {
            progress((done += 1), keys.length);
          }
        });
        const cases = made.flatMap((one) => one ?? []).sort((a, b) => (a.pooled.caseId === b.pooled.caseId ? (a.caseKey < b.caseKey ? -1 : 1) : a.pooled.caseId < b.pooled.caseId ? -1 : 1));
        leftOut.sort((a, b) => (a.caseKey < b.caseKey ? -1 : 1));
        const worked = await pool.cohortExport(cases.map(({ one }) => one), leftOut, options, parameters, { signal, onFigures: tellStage('working out') });
        if (!worked.ok) throw new FailureError(worked.failure);
        const inputs = new Map(cases.flatMap(({ sources }) => sources).map((source) => [`${source.file} ${source.sha256}`, source]));
        const bundle = await pool.bundleZip(
          {
            source: 'library', made: null, given: [], inputs: [...inputs].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, source]) => source),
            call: 'made in the window, from the cases of a library',
            options: { zone: null, isZoneLeftOut: false, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, robustness, caseListColumn: null, caseListDate: null, cohort: options },
            extent: { relativeTime, robustness, dropouts: options.dropouts, withReviews, withCaseList: false, withNextStudy: false, withImport: false },
            settings: { productVersion, parameters, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, libraryReviews: withReviews ? saidOf(cases.flatMap(({ said }) => said)) : undefined, cohort: options },
            run: worked.value, unanalyzed: leftOut.map(({ caseId, reason }) => ({ caseId, message: reason })), cases: cases.map(({ pooled }) => pooled), rows: cases.map(({ rows }) => rows),
          },
          { signal },
        );
        const bundleId = bundles.hold({ ...bundle, fileName: 'research-bundle.zip', caseKeys: cases.map(({ caseKey }) => caseKey) });
        return { bundleId, byteLength: bundle.zip.byteLength, files: bundle.files, cases: cases.length, leftOut: leftOut.map(({ caseId, reason }) => ({ caseId, reason })) };
      }),
    caseSheets: ({ jobId, caseKeys, wishes, view }) =>
      jobs.run(jobId, async (signal) => {
        const names = new Map(store.list().map(({ caseKey, caseId }) => [caseKey, caseId]));
        const nameOf = (caseKey: string): string => names.get(caseKey) ?? '';
        const keys = [...new Set(caseKeys)].sort((a, b) => (nameOf(a) === nameOf(b) ? (a < b ? -1 : 1) : nameOf(a) < nameOf(b) ? -1 : 1));
        if (keys.length > MOST_SHEETS) throw new FailureError({ code: 'too-many-sheets', message: `${keys.length} sheets are asked for, and ${MOST_SHEETS} at most are made at once.`, remedy: 'Choose fewer cases, or write the sheets of all input files without the window: report case.' });
        const parameters = await store.settings.readParameters();
        const leftOut: { readonly caseId: string; readonly reason: string }[] = [];
        const progress = nowAndThen((done: number, total: number) => tell({ kind: 'cohort-progress', jobId, stage: 'reading', done, total }));
        let done = 0;
        const made = await inTurns(keys, casesAtOnce, async (caseKey) => {
          signal.throwIfAborted();
          try {
            const { document, pages, notInFont } = await storedSheet({ store, pool, reviews, closing }, { caseKey, parameters, wishes, view });
            return { caseKey, caseId: nameOf(caseKey), document, pages, notInFont };
          } catch (error) {
            signal.throwIfAborted();
            leftOut.push({ caseId: nameOf(caseKey), reason: toFailure(error).message });
            return null;
          } finally {
            progress((done += 1), keys.length);
          }
        });
        signal.throwIfAborted();
        return { sheets: made.flatMap((one) => one ?? []), leftOut };
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

function saidOf(entries: readonly SealedEntry[]): NonNullable<LibraryBundle['settings']['libraryReviews']> {
  const ordered = [...entries].sort((a, b) => a.entry.place - b.entry.place);
  return { entries: ordered.length, last: ordered.at(-1)?.hash ?? '' };
}
