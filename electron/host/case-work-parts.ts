import type { HostEvent } from '../../core/protocol/host-api.ts';
import type { AnalysisPool } from './analysis-pool.ts';
import type { CaseStore } from './case-store.ts';

/** What work over many cases of the library is built from. */
export interface CaseWorkParts {
  readonly store: CaseStore;
  readonly pool: AnalysisPool;
  readonly casesAtOnce: number;
  /** Aborted when the host closes. */
  readonly closing: AbortSignal;
  readonly tell: (event: HostEvent) => void;
}
