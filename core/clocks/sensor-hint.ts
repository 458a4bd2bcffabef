import type { ClockSource } from './clock-source.ts';

/** Further away than this an event and the signal have nothing to do with each other. */
const NEAR_MS = 30 * 60_000;

/**
 * Returns in words how far events about the sensor in one source lie from where SpO2 begins or ends in another, null where there is
 * no such event. It is a hint to look at, never a measurement: a single event says nothing of a clock, and hands are slower than clocks.
 * Source  handbook 10 and its remark on the latency of charting.
 */
export function sensorHint({ events }: ClockSource, trends: ClockSource): string | null {
  let first = Infinity;
  let last = -Infinity;
  for (const { quantity, tMs, value } of trends.channels) {
    if (quantity !== 'spo2') continue;
    for (let i = 0; i < tMs.length; i++) {
      if (Number.isNaN(value[i] ?? NaN)) continue;
      first = Math.min(first, (tMs[i] ?? NaN) + trends.shiftMs);
      last = Math.max(last, (tMs[i] ?? NaN) + trends.shiftMs);
    }
  }
  const on = events.find(({ kind, atMs }) => kind === 'sensor on' && Math.abs(atMs - first) <= NEAR_MS);
  const off = events.find(({ kind, atMs }) => kind === 'sensor off' && Math.abs(atMs - last) <= NEAR_MS);
  const hints = [
    ...(on === undefined ? [] : [`its "${on.text}" stands ${apart(on.atMs - first)} the first SpO2 of ${trends.file.name}`]),
    ...(off === undefined ? [] : [`its "${off.text}" stands ${apart(off.atMs - last)} the last SpO2 of ${trends.file.name}`]),
  ];
  return hints.length === 0 ? null : `A hint only, since single entries are made by hand: ${hints.join('; ')}.`;
}

function apart(ms: number): string {
  const seconds = Math.round(Math.abs(ms) / 1000);
  return seconds === 0 ? 'at' : `${seconds} s ${ms > 0 ? 'after' : 'before'}`;
}
