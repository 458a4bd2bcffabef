import type { CaseClock } from './time-text.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** Returns a typed clock time ("8:41:20", "08:41:20.5", "08:41"; elapsed "+0:41:20", with or without its sign) as ms since 0:00, or null where it is none. */
function parseClock(text: string): number | null {
  const match = /^\s*\+?(\d{1,3}):([0-5]\d)(?::([0-5]\d)(?:[.,](\d{1,3}))?)?\s*$/.exec(text);
  if (match === null) return null;
  const [, hours = '', minutes = '', seconds = '0', fraction = ''] = match;
  return Number(hours) * HOUR_MS + Number(minutes) * 60_000 + Number(seconds) * 1000 + Number(fraction.padEnd(3, '0'));
}

/**
 * Returns the instant of a case that a typed clock time names, the one nearest to `nearMs`.
 * Units    ms since the case's origin. `text` as the case's clock writes it, the day left out; seconds may be left out or have decimals.
 * Missing  null where the text is no clock time, or one that this case's clock never shows near there.
 */
export function typedInstant(text: string, clock: CaseClock, nearMs: number): number | null {
  const typed = parseClock(text);
  if (typed === null) return null;
  // A clock shows whole seconds; what was typed beyond them is added in the end.
  const fractionMs = typed % 1000;
  const wanted = typed - fractionMs;
  const shownAt = (ms: number): number | null => parseClock(clock.clock(ms).replace(/\s*\(.*\)$/, ''));
  // Two steps: a clock that was put forward or back between the two instants is off by that much after the first.
  let atMs = nearMs - (((nearMs % 1000) + 1000) % 1000);
  for (let step = 0; step < 2; step++) {
    const shown = shownAt(atMs);
    if (shown === null) return null;
    atMs += nearest(wanted - shown);
  }
  const shown = shownAt(atMs);
  return shown === wanted ? atMs + fractionMs : null;
}

/** Returns a difference of clock times as the shortest way round the day. */
function nearest(differenceMs: number): number {
  return differenceMs > DAY_MS / 2 ? differenceMs - DAY_MS : differenceMs < -DAY_MS / 2 ? differenceMs + DAY_MS : differenceMs;
}
