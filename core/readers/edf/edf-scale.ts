import type { EdfSignal } from './edf-header.ts';

/** Turns stored whole numbers of one signal into values. */
export interface EdfScale {
  readonly digitalMin: number;
  readonly digitalMax: number;
  /** Difference between two neighbouring values. */
  readonly step: number;
  /** physical = (d − dmin)(pmax − pmin)/(dmax − dmin) + pmin. Source: EDF, handbook 8.6 and check value edf-scaling. */
  physical(digital: number): number;
  /** The value without the noise of storing it in steps: rounded to the finest decimal place that is not finer than a step. */
  rounded(digital: number): number;
}

/** Returns the calibration of a signal, or what is wrong with it. */
export function edfScale(signal: EdfSignal): EdfScale | string {
  const { digitalMin, digitalMax, physicalMin, physicalMax } = signal;
  const isWord = (digital: number): boolean => Number.isInteger(digital) && digital >= -32_768 && digital <= 32_767;
  if (!isWord(digitalMin) || !isWord(digitalMax) || digitalMin >= digitalMax) return 'its digital limits are no rising pair of 16-bit numbers';
  if (!Number.isFinite(physicalMin) || !Number.isFinite(physicalMax) || physicalMin === physicalMax) return 'its physical limits are no pair of different numbers';
  const range = physicalMax - physicalMin;
  const step = Math.abs(range) / (digitalMax - digitalMin);
  // The small addend: a step of 0.10000001 still means tenths.
  const places = Math.max(0, Math.min(8, Math.floor(0.05 - Math.log10(step))));
  const scale = 10 ** places;
  const physical = (digital: number): number => ((digital - digitalMin) * range) / (digitalMax - digitalMin) + physicalMin;
  return { digitalMin, digitalMax, step, physical, rounded: (digital) => Math.round(physical(digital) * scale) / scale };
}
