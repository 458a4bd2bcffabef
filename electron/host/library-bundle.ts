import type { FileDigest } from '../../core/model/bundle-manifest.ts';
import type { CohortCase } from '../../core/model/cohort-case.ts';
import type { CohortOptions } from '../../core/model/cohort-options.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { SealedEntry } from '../../core/model/review.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { readerCodes, withReaderCodes } from '../../core/review/reader-codes.ts';
import type { LibraryBundle, WrittenBundle } from '../../core/worker/bundle-zip.ts';
import { pseudonymsOf } from '../../core/worker/pseudonyms.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';
import { eachCase } from './each-case.ts';
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

export interface LibraryBundleParts {
  readonly store: Pick<CaseStore, 'list' | 'readBytes' | 'reviews' | 'settings'>;
  readonly pool: Pick<AnalysisPool, 'storedBundleCase' | 'cohortExport' | 'bundleZip'>;
  readonly casesAtOnce: number;
  readonly closing: AbortSignal;
  readonly productVersion: string;
  readonly tell: (stage: 'reading' | 'working out', done: number, total: number) => void;
}

/** What a bundle is to hold. */
export interface LibraryBundleAsked {
  /** null: every case of the library. */
  readonly caseKeys: readonly string[] | null;
  readonly options: CohortOptions;
  readonly relativeTime: boolean;
  readonly robustness: boolean;
  readonly withReviews: boolean;
  readonly parameters: AnalysisParameters;
  /** Hash of the last entry of the trail that counts, as an earlier bundle states it; null, or one that is not there: all that was said. */
  readonly lastSaid?: string | null | undefined;
}

/** A bundle, with what of the library is in it. */
export interface BundleOfLibrary extends WrittenBundle {
  readonly caseKeys: readonly string[];
  readonly leftOut: readonly { readonly caseId: string; readonly reason: string }[];
}

/**
 * Returns a research bundle of stored cases. Its manifest names the cases by their keys, so that the same library can make it anew.
 * Errors  throws a FailureError `days-named` where nothing may name a day and the options do; the signal's reason when it is cancelled.
 */
export async function writeLibraryBundle({ store, pool, casesAtOnce, closing, productVersion, tell }: LibraryBundleParts, { caseKeys, options: asked, relativeTime, robustness, withReviews, parameters, lastSaid = null }: LibraryBundleAsked, signal: AbortSignal): Promise<BundleOfLibrary> {
  const { choice, change, groupBy } = asked;
  if (relativeTime && (choice.from !== null || choice.to !== null || change !== null || groupBy?.kind === 'month' || choice.facets.some(({ facet }) => facet.kind === 'month'))) {
    throw new FailureError({ code: 'days-named', message: 'Days or months are named among what is asked, and the bundle is to hold none.', remedy: 'Choose the cases in the library instead, or let the bundle hold days.' });
  }
  // Without what readers said nothing is confirmed.
  const options = withReviews ? asked : { ...asked, dropouts: 'computed' as const };
  const codeOf = readerCodes(pseudonymsOf(store.settings.pseudonymKey));
  const tellStage = (stage: 'reading' | 'working out') => (done: number, total: number) => tell(stage, done, total);
  const names = new Map(store.list().map(({ caseKey, caseId }) => [caseKey, caseId]));
  const keys = [...new Set(caseKeys ?? names.keys())].sort();
  /** What was said of a case; acts of the library, such as that something was saved, say nothing of it. */
  const saidOfCase = async (caseKey: string): Promise<readonly SealedEntry[]> => (await store.reviews.ofCase(caseKey)).filter(({ entry }) => entry.kind !== 'act');
  const until = withReviews && lastSaid !== null ? await placeIn(keys, saidOfCase, lastSaid) : Infinity;
  const { made, leftOut } = await eachCase(keys, { names, casesAtOnce, signal, onProgress: tellStage('reading') }, async (caseKey): Promise<BundledCase> => {
    const entries = withReviews ? (await saidOfCase(caseKey)).filter(({ entry }) => entry.place <= until) : null;
    // The signal of the job is not handed on: a worker that is ended over one case costs more than the case.
    const bundled = await pool.storedBundleCase(await store.readBytes(caseKey), caseKey, parameters, entries === null ? null : withReaderCodes(entries, codeOf), { withRobustness: robustness, withChannels: true, reviews: withReviews ? 'without notes' : 'none', relativeTime }, { signal: closing });
    if (!bundled.ok) throw new FailureError(bundled.failure);
    const { report, one, sources } = bundled.value;
    return { caseKey, rows: report.rows, pooled: { caseId: report.caseId, pairs: report.pairs }, one, sources, said: entries ?? [] };
  });
  const cases = [...made].sort((a, b) => (a.pooled.caseId === b.pooled.caseId ? (a.caseKey < b.caseKey ? -1 : 1) : a.pooled.caseId < b.pooled.caseId ? -1 : 1));
  const worked = await pool.cohortExport(cases.map(({ one }) => one), leftOut, options, parameters, { signal, onFigures: nowAndThen(tellStage('working out')) });
  if (!worked.ok) throw new FailureError(worked.failure);
  const inputs = new Map(cases.flatMap(({ sources }) => sources).map((source) => [`${source.file} ${source.sha256}`, source]));
  const bundle = await pool.bundleZip(
    {
      source: 'library', made: null, given: [], inputs: [...inputs].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, source]) => source),
      call: 'made in the window, from the cases of a library',
      options: { zone: null, isZoneLeftOut: false, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, robustness, caseListColumn: null, caseListDate: null, cohort: options, cases: keys },
      extent: { relativeTime, robustness, dropouts: options.dropouts, withReviews, withCaseList: false, withNextStudy: false, withImport: false },
      settings: { productVersion, parameters, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key of the library', relativeTime, libraryReviews: withReviews ? saidOf(cases.flatMap(({ said }) => said)) : undefined, cohort: options },
      run: worked.value, unanalyzed: leftOut.map(({ caseId, reason }) => ({ caseId, message: reason })), cases: cases.map(({ pooled }) => pooled), rows: cases.map(({ rows }) => rows),
    },
    { signal },
  );
  return { ...bundle, caseKeys: cases.map(({ caseKey }) => caseKey), leftOut: leftOut.map(({ caseId, reason }) => ({ caseId, reason })) };
}

/** Returns the place of an entry in the trail; Infinity where none of these cases has it. */
async function placeIn(keys: readonly string[], saidOfCase: (caseKey: string) => Promise<readonly SealedEntry[]>, hash: string): Promise<number> {
  for (const caseKey of keys) {
    const found = (await saidOfCase(caseKey).catch(() => [])).find((one) => one.hash === hash);
    if (found !== undefined) return found.entry.place;
  }
  return Infinity;
}

function saidOf(entries: readonly SealedEntry[]): NonNullable<LibraryBundle['settings']['libraryReviews']> {
  const ordered = [...entries].sort((a, b) => a.entry.place - b.entry.place);
  return { entries: ordered.length, last: ordered.at(-1)?.hash ?? '' };
}
