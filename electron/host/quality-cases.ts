import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { QualityCase } from '../../core/model/quality-case.ts';
import type { QualityAnswer } from '../../core/protocol/host-api.ts';
import type { CaseWorkParts } from './case-work-parts.ts';
import { createKeptCaseResults } from './kept-case-results.ts';

/** What cases gave is kept for so many sets of parameters: a chart has its own, and the library another. */
const SETS_KEPT = 3;

/** Every case of the library as quality charts count it. */
export interface QualityCases {
  /** Returns them under some parameters, and those that cannot be read; tells how far it is as `quality-progress`. */
  under(jobId: string, parameters: AnalysisParameters, signal: AbortSignal): Promise<{ readonly cases: readonly QualityCase[]; readonly leftOut: QualityAnswer<unknown>['leftOut'] }>;
}

/** Returns the cases of one host. What a case gave is kept until the case changes. */
export function createQualityCases({ store, pool, casesAtOnce, closing, tell }: CaseWorkParts): QualityCases {
  const kept = createKeptCaseResults({ store, casesAtOnce, closing, setsKept: SETS_KEPT, entriesOf: store.reviews.ofCase, workOut: pool.qualityCase });
  return { under: (jobId, parameters, signal) => kept.read(null, parameters, { signal, onProgress: (done, total) => tell({ kind: 'quality-progress', jobId, done, total }) }) };
}
