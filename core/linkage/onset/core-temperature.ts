import { upperBound } from '../../base/search.ts';
import type { Channel } from '../../model/channel.ts';
import type { TemperatureEvidence } from '../../model/onset-evidence.ts';
import { QUANTITY_FACTS } from '../../model/quantity.ts';

/** Core temperature changes slowly and is written seldom; an older value is none. */
const OLDEST_MS = 15 * 60_000;

/**
 * Returns the last plausible core temperature at or before `atMs` and no older than 15 min, or null.
 * Shape   the latest of all core channels. A temperature of no stated place is not taken for a core temperature.
 * Units   °C.
 * Source  analysis-spec 6; docs/methods/onset-patterns.md.
 */
export function coreTemperature(channels: readonly Channel[], atMs: number): TemperatureEvidence | null {
  const [low, high] = QUANTITY_FACTS['temp-core'].plausible ?? [-Infinity, Infinity];
  let latest: TemperatureEvidence | null = null;
  for (const { quantity, tMs, value } of channels) {
    if (quantity !== 'temp-core') continue;
    for (let i = upperBound(tMs, atMs) - 1; i >= 0 && (tMs[i] ?? NaN) >= atMs - OLDEST_MS; i--) {
      const v = value[i] ?? NaN;
      if (!(v >= low && v <= high)) continue;
      const at = tMs[i] ?? NaN;
      if (latest === null || at > latest.atMs) latest = { celsius: v, atMs: at };
      break;
    }
  }
  return latest;
}
