import { MARK } from '../model/channel.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { STATUS } from '../model/analysis.ts';
import { DUE_FACTOR } from '../signal/interval.ts';
import type { DueSamples } from './due-samples.ts';

/** Values of other channels at the instants of the SpO2 samples; null where the record has no such channel. */
export interface Companions {
  readonly perfusion: Float64Array | null;
  /** Pulse amplitude on the device's own scale, where it stands in place of an index: tells a held display, never a weak signal. */
  readonly amplitude: Float64Array | null;
  readonly pulsePerMin: Float64Array | null;
  /** From the ECG. */
  readonly heartPerMin: Float64Array | null;
}

/**
 * Returns the status of every SpO2 sample, the first rule of analysis-spec 3 that applies.
 * Shape   one entry per sample (a value of `STATUS`); a new array, inputs not modified.
 * Units   SpO2 in per cent; limits inclusive; times in ms, parameters in seconds.
 * Missing a companion that is NaN at a sample decides nothing there: no weak, no disputed, and it ends an unchanged or
 *         disputed stretch. Limits for perfusion index and pulse rate decide whether *those* values are used, never
 *         whether SpO2 is lost (`Companions` hold only plausible ones).
 * Source  analysis-spec 3; docs/methods/sample-status.md.
 */
export function assessSamples(samples: DueSamples, companions: Companions, parameters: AnalysisParameters): Uint8Array {
  const { value, mark } = samples;
  const [low, high] = parameters.spo2Plausible;
  const status = new Uint8Array(value.length);
  for (let i = 0; i < value.length; i++) {
    const v = value[i] ?? NaN;
    if (!Number.isFinite(v)) status[i] = STATUS.absent;
    else if (v < low || v > high) status[i] = STATUS.implausible;
    else if (((mark[i] ?? 0) & MARK.flagged) !== 0) status[i] = STATUS.flagged;
    else status[i] = (companions.perfusion?.[i] ?? NaN) < parameters.weakPerfusionIndex ? STATUS.weak : STATUS.good;
  }
  markHeld(samples, companions, parameters, status);
  markDisputed(samples, companions, parameters, status);
  return status;
}

/** A display that repeats an old value: everything of the sensor unchanged while the ECG goes on changing. */
function markHeld(samples: DueSamples, companions: Companions, parameters: AnalysisParameters, status: Uint8Array): void {
  const { tMs, value, intervalMs } = samples;
  const { pulsePerMin: pulse, heartPerMin: heart } = companions;
  const perfusion = companions.perfusion ?? companions.amplitude;
  if (heart === null || (perfusion === null && pulse === null)) return;
  const canStand = (i: number) =>
    (status[i] ?? 0) > STATUS.held &&
    (perfusion === null || !Number.isNaN(perfusion[i])) &&
    (pulse === null || !Number.isNaN(pulse[i])) &&
    (intervalMs[i] ?? NaN) <= parameters.heldMaxIntervalS * 1000;
  let start = 0;
  while (start < value.length) {
    if (!canStand(start)) {
      start++;
      continue;
    }
    let end = start + 1;
    let lowest = heart[start] ?? NaN;
    let highest = lowest;
    while (
      end < value.length &&
      value[end] === value[start] &&
      (perfusion === null || perfusion[end] === perfusion[start]) &&
      (pulse === null || pulse[end] === pulse[start]) &&
      canStand(end) &&
      (tMs[end] ?? NaN) - (tMs[end - 1] ?? NaN) <= DUE_FACTOR * (intervalMs[end] ?? NaN)
    ) {
      const rate = heart[end] ?? NaN;
      if (!(rate >= lowest)) lowest = Number.isNaN(rate) ? lowest : rate;
      if (!(rate <= highest)) highest = Number.isNaN(rate) ? highest : rate;
      end++;
    }
    const lasted = (tMs[end - 1] ?? NaN) - (tMs[start] ?? NaN);
    if (lasted > parameters.heldS * 1000 && end - start >= parameters.heldMinSamples && highest > lowest) {
      status.fill(STATUS.held, start + 1, end);
    }
    start = end;
  }
}

/** The sensor's pulse rate and the ECG's heart rate disagree for long enough that the sensor cannot be trusted. */
function markDisputed(samples: DueSamples, companions: Companions, parameters: AnalysisParameters, status: Uint8Array): void {
  const { tMs, intervalMs } = samples;
  const { pulsePerMin: pulse, heartPerMin: heart } = companions;
  if (heart === null || pulse === null) return;
  const differs = (i: number) => {
    const rate = heart[i] ?? NaN;
    const off = Math.abs((pulse[i] ?? NaN) - rate);
    return off > parameters.disputedPerMin && off > (rate * parameters.disputedPct) / 100;
  };
  let start = 0;
  while (start < tMs.length) {
    if (!differs(start)) {
      start++;
      continue;
    }
    let end = start + 1;
    while (end < tMs.length && differs(end) && !((tMs[end] ?? NaN) - (tMs[end - 1] ?? NaN) > DUE_FACTOR * (intervalMs[end] ?? NaN))) end++;
    const stands = intervalMs[end - 1] ?? NaN;
    const lasted = (tMs[end - 1] ?? NaN) - (tMs[start] ?? NaN) + (Number.isNaN(stands) ? 0 : stands);
    if (lasted >= parameters.disputedS * 1000) {
      for (let i = start; i < end; i++) if (status[i] === STATUS.good) status[i] = STATUS.disputed;
    }
    start = end;
  }
}
