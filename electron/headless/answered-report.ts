import type { ReleaseAnswer } from '../../core/model/release.ts';
import type { ReportDocument } from '../../core/model/report-document.ts';
import type { Result } from '../../core/base/result.ts';
import type { ReleasedFile } from '../../core/worker/write-release.ts';
import type { AnalysisPool } from '../host/analysis-pool.ts';

/** Returns both forms of a report with the answers in it. Errors  throws where something is open: the caller has looked. */
export async function answeredReport(pool: Pick<AnalysisPool, 'releaseReport'>, document: ReportDocument, answers: readonly ReleaseAnswer[], signal: AbortSignal): Promise<{ readonly html: string; readonly pdf: Uint8Array; readonly notInFont: string }> {
  const html = fileOf(await pool.releaseReport(document, answers, 'html', { signal }));
  const pdf = fileOf(await pool.releaseReport(document, answers, 'pdf', { signal }));
  return { html: new TextDecoder().decode(html.bytes), pdf: pdf.bytes, notInFont: pdf.notInFont };
}

function fileOf(released: Result<ReleasedFile>): ReleasedFile {
  if (!released.ok) throw new Error(released.failure.message);
  return released.value;
}
