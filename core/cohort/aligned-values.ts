import { upperBound } from '../base/search.ts';
import type { Channel } from '../model/channel.ts';
import type { AlignedQuantity, AlignedValues, CohortExposure } from '../model/cohort-case.ts';
import { ALIGNED_GRID, ALIGNED_LAGS, ALIGNED_MISSING, ALIGNED_SCALE } from '../model/cohort-case.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { QUANTITY_FACTS } from '../model/quantity.ts';
import type { SiteTrack } from '../quality/site-track.ts';
import { informationFrom } from '../quality/site-track.ts';
import { DUE_FACTOR, intervalsAt } from '../signal/interval.ts';

/** Returns a value at an instant; NaN for none. */
type ValueAt = (atMs: number) => number;

/**
 * Returns the values around every vasopressor bolus on the grid of lags.
 * Shape   SpO2 and perfusion index of each sensor that has them, then mean arterial pressure: invasive where the time around
 *         the bolus has any, else of the cuff.
 * Units   see `ALIGNED_SCALE`.
 * Missing the value at a lag is the last record at or before it, for as long as it stands (until the next is overdue); lost,
 *         implausible and overdue ones are missing. A cuff reading stands for one step of the grid only. Nothing is interpolated.
 * Source  statistics d (event-aligned average); docs/metrics/cohort-case.md.
 */
export function alignedValues(sites: readonly SiteTrack[], channels: readonly Channel[], exposures: readonly CohortExposure[], parameters: AnalysisParameters): AlignedValues {
  const boluses = exposures.filter(({ kind }) => kind === 'vasopressor bolus');
  const rows: { quantity: AlignedQuantity; siteKey: string | null; at: ValueAt }[] = [];
  if (boluses.length > 0) {
    for (const site of sites) rows.push({ quantity: 'spo2', siteKey: site.siteKey, at: spo2At(site) });
    for (const site of sites) {
      if (site.perfusion === null) continue;
      const { channel, segments } = site.perfusion;
      const maxAgeMs = intervalsAt(channel.tMs, segments).map((interval) => (Number.isNaN(interval) ? 0 : interval * DUE_FACTOR));
      rows.push({ quantity: 'perfusion-index', siteKey: site.siteKey, at: recordedAt(channel, parameters.perfusionPlausible, (i) => maxAgeMs[i] ?? 0) });
    }
  }
  const invasive = boluses.length === 0 ? [] : pressuresOf(channels, 'art-mean');
  const cuff = boluses.length === 0 ? [] : pressuresOf(channels, 'nibp-mean');
  const hasPressure = invasive.length + cuff.length > 0;
  const series = rows.map(({ quantity, siteKey }) => ({ quantity, siteKey }));
  if (hasPressure) series.push({ quantity: 'mean-pressure', siteKey: null });
  const values = new Uint16Array(boluses.length * series.length * ALIGNED_LAGS).fill(ALIGNED_MISSING);
  let place = 0;
  for (const { atMs } of boluses) {
    for (const { quantity, at } of rows) place = write(values, place, ALIGNED_SCALE[quantity], lagged(at, atMs));
    if (hasPressure) {
      const own = lagged(firstOf(invasive), atMs);
      place = write(values, place, ALIGNED_SCALE['mean-pressure'], own.every(Number.isNaN) ? lagged(firstOf(cuff), atMs) : own);
    }
  }
  return { exposureIds: boluses.map(({ exposureId }) => exposureId), series, values };
}

/** Returns the values of one series around one bolus, one per lag; null where none is. */
export function alignedCourse({ series, values }: AlignedValues, bolus: number, row: number): (number | null)[] {
  const one = series[row];
  const from = (bolus * series.length + row) * ALIGNED_LAGS;
  const scale = one === undefined ? NaN : ALIGNED_SCALE[one.quantity];
  return Array.from(values.subarray(from, from + ALIGNED_LAGS), (stored) => (stored === ALIGNED_MISSING ? null : stored / scale));
}

function lagged(at: ValueAt, eventMs: number): number[] {
  return Array.from({ length: ALIGNED_LAGS }, (_, i) => at(eventMs + (ALIGNED_GRID.firstS + i * ALIGNED_GRID.stepS) * 1000));
}

function write(values: Uint16Array, place: number, scale: number, course: readonly number[]): number {
  course.forEach((value, i) => {
    if (!Number.isNaN(value)) values[place + i] = Math.min(ALIGNED_MISSING - 1, Math.max(0, Math.round(value * scale)));
  });
  return place + course.length;
}

function spo2At({ track: { tMs, value, status }, limitMs }: SiteTrack): ValueAt {
  const lowest = informationFrom('any');
  return (atMs) => {
    const i = upperBound(tMs, atMs) - 1;
    if (i < 0 || (status[i] ?? 0) < lowest) return NaN;
    const age = atMs - (tMs[i] ?? NaN);
    const limit = limitMs[i] ?? 0;
    return age === 0 || (Number.isFinite(limit) && age < limit) ? (value[i] ?? NaN) : NaN;
  };
}

function recordedAt({ tMs, value }: Channel, [low, high]: readonly [number, number], maxAgeOf: (i: number) => number): ValueAt {
  return (atMs) => {
    const i = upperBound(tMs, atMs) - 1;
    const v = value[i] ?? NaN;
    if (!(v >= low && v <= high)) return NaN;
    const age = atMs - (tMs[i] ?? NaN);
    return age === 0 || age < maxAgeOf(i) ? v : NaN;
  };
}

/** A cuff writes one value a measurement: in a table with a row a second the cells between are empty, and say nothing. */
function pressuresOf(channels: readonly Channel[], quantity: 'art-mean' | 'nibp-mean'): ValueAt[] {
  const limits = QUANTITY_FACTS[quantity].plausible ?? [-Infinity, Infinity];
  return channels.filter((channel) => channel.quantity === quantity).map((channel) => {
    const [low, high] = limits;
    const kept = [...channel.value.keys()].filter((i) => (channel.value[i] ?? NaN) >= low && (channel.value[i] ?? NaN) <= high);
    const t = Float64Array.from(kept, (i) => channel.tMs[i] ?? NaN);
    const stepMs = ALIGNED_GRID.stepS * 1000;
    // An invasive pressure recorded once a minute stands for that minute; a cuff's only for its own step.
    const standsMs = quantity === 'nibp-mean' ? stepMs : Math.max(stepMs, DUE_FACTOR * usualStep(t));
    return (atMs) => {
      const i = upperBound(t, atMs) - 1;
      return i >= 0 && atMs - (t[i] ?? NaN) < standsMs ? (channel.value[kept[i] ?? -1] ?? NaN) : NaN;
    };
  });
}

/** The median step between values, at most a minute. */
function usualStep(t: Float64Array): number {
  const steps = t.subarray(1).map((at, i) => at - (t[i] ?? NaN)).sort();
  return Math.min(60_000, steps[Math.floor(steps.length / 2)] ?? 0);
}

function firstOf(channels: readonly ValueAt[]): ValueAt {
  return (atMs) => {
    for (const at of channels) {
      const value = at(atMs);
      if (!Number.isNaN(value)) return value;
    }
    return NaN;
  };
}
