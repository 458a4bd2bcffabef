import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { ReportWishes } from '../../core/model/report-document.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ReaderView } from '../../core/protocol/report-api.ts';
import type { WrittenReport } from '../../core/worker/write-report.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';
import type { Reviews } from './reviews.ts';

export interface CaseSheetParts {
  readonly store: Pick<CaseStore, 'readBytes' | 'reviews'>;
  readonly pool: Pick<AnalysisPool, 'storedCaseSheet'>;
  readonly closing: AbortSignal;
  readonly reviews: Pick<Reviews, 'noteLook'>;
}

/** What a sheet is made of. */
export interface SheetAsked {
  readonly caseKey: string;
  readonly parameters: AnalysisParameters;
  readonly wishes: ReportWishes;
  /** null: what was said of the case is shown to nobody. */
  readonly view: ReaderView | null;
}

/**
 * Returns the sheet of a stored case, with what the one who looks may see of its reviews; that they were shown it is noted.
 * Errors  those of reading the case.
 */
export async function storedSheet({ store, pool, closing, reviews }: CaseSheetParts, { caseKey, parameters, wishes, view }: SheetAsked): Promise<WrittenReport> {
  if (view !== null && view.by !== null && !view.blinded) await reviews.noteLook(caseKey, view.by);
  // Blinded, and nobody has said who reads: what was said is shown to nobody.
  const entries = view === null || (view.by === null && view.blinded) ? [] : await store.reviews.ofCase(caseKey);
  const said = { entries: entries.length === 0 ? null : entries, view: view ?? { by: null, blinded: true } };
  const made = await pool.storedCaseSheet(await store.readBytes(caseKey), caseKey, parameters, said, wishes, { signal: closing });
  if (!made.ok) throw new FailureError(made.failure);
  return made.value;
}
