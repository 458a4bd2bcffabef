import type { CaseRecord } from '../model/case.ts';
import type { Sha256 } from './trail.ts';

/**
 * Returns what names a case by what its SpO2 sensors recorded: the same in every library that read the same values, whatever the files
 * were called, joined with or read first.
 * Shape   sha-256 over the sensors in the order of their channel ids, each with times since its own first sample and values.
 * Units   ms and %.
 * Missing an empty or filler cell counts as such, at its time. Case without SpO2: null, nothing can be read in it.
 */
export function caseFingerprint({ channels }: Pick<CaseRecord, 'channels'>, sha256: Sha256): string | null {
  const sensors = channels.filter(({ quantity, tMs }) => quantity === 'spo2' && tMs.length > 0).sort((a, b) => (a.channelId < b.channelId ? -1 : 1));
  if (sensors.length === 0) return null;
  const texts = sensors.map(({ channelId, tMs, value }) => {
    const first = tMs[0] ?? 0;
    return [channelId, Array.from(tMs, (t) => t - first).join(), Array.from(value, (v) => (Number.isNaN(v) ? '' : v)).join()].join('\n');
  });
  return sha256(texts.join('\n\n'));
}
