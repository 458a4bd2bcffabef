import type { CaseRecord } from '../../core/model/case.ts';
import { buildCaseRecord, buildChannel } from './stored-case.ts';

/** Returns an hour of two sensors, a sample every ten seconds, each without a value from the one sample up to the other. */
export function buildTwoSensorCase(caseId: string, finger: readonly [number, number], ear: readonly [number, number]): CaseRecord {
  const channel = (site: 'finger' | 'ear lobe', [from, to]: readonly [number, number]) =>
    buildChannel(Array.from({ length: 361 }, (_, i) => (i >= from && i < to ? NaN : 97)), { channelId: `spo2@${site}`, label: site, site, tMs: Float64Array.from({ length: 361 }, (_, i) => i * 10_000) });
  return buildCaseRecord({ caseId, channels: [channel('finger', finger), channel('ear lobe', ear)], events: [], drugs: [] });
}
