import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import type { DrugRecord } from '../../core/model/drug.ts';
import type { CaseEvent } from '../../core/model/event.ts';

export interface CaseSpec {
  readonly channels?: readonly Channel[];
  readonly events?: readonly CaseEvent[];
  readonly drugs?: readonly DrugRecord[];
  readonly caseId?: string;
  readonly epochMs?: number | null;
  readonly zone?: string;
  readonly attributes?: Readonly<Record<string, string>>;
}

/** Returns a case with one trend file as its source; events and drugs are put in time order. */
export function caseOf(spec: CaseSpec): CaseRecord {
  const epochMs = spec.epochMs === undefined ? Date.UTC(2031, 2, 4, 8, 0, 0) : spec.epochMs;
  return {
    caseId: spec.caseId ?? 'case-1',
    origin: {
      epochMs,
      clock: epochMs === null ? 'elapsed' : 'absolute',
      originOffsetMs: 0,
      zone: spec.zone ?? 'UTC',
      zoneStated: spec.zone !== undefined,
    },
    sources: [{ name: 'trends.csv', sha256: '0'.repeat(64), byteLength: 1, kind: 'trends', clockOffsetMs: 0 }],
    channels: spec.channels ?? [],
    events: [...(spec.events ?? [])].sort((a, b) => a.atMs - b.atMs),
    drugs: [...(spec.drugs ?? [])].sort((a, b) => a.atMs - b.atMs),
    findings: [],
    attributes: spec.attributes ?? {},
  };
}
