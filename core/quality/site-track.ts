import type { IntervalSegment, StatusName, StatusTrack } from '../model/analysis.ts';
import { STATUS, STATUS_NAMES } from '../model/analysis.ts';
import type { Channel } from '../model/channel.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { siteKey } from '../model/site.ts';
import { valuesAt } from '../signal/hold.ts';
import { DUE_FACTOR, intervalsAt } from '../signal/interval.ts';
import type { ChannelIntervals } from './channel-intervals.ts';
import { dueSamples } from './due-samples.ts';
import { assessSamples } from './sample-status.ts';

/** One SpO2 sensor of a case with its judged samples. */
export interface SiteTrack {
  readonly siteKey: string;
  readonly site: Site;
  readonly sensor: string;
  readonly channel: Channel;
  readonly perfusion: ChannelIntervals | null;
  readonly segments: readonly IntervalSegment[];
  readonly mainMs: number | null;
  readonly track: StatusTrack;
  /** Interval at each sample, ms; NaN where irregular. */
  readonly intervalMs: Float64Array;
  /** Longest step after each sample without a value being missed, ms; Infinity where irregular. */
  readonly limitMs: Float64Array;
}

/** What counts as information: 'any' takes doubtful samples too, 'good' only good ones. */
export type InformationRule = 'any' | 'good';

/** Returns the lowest status that is information under the rule. */
export function informationFrom(rule: InformationRule): number {
  return rule === 'any' ? STATUS.weak : STATUS.good;
}

/**
 * Returns one track per SpO2 channel, in the order of the channels.
 * Shape   companions are the perfusion-index, pulse-amplitude and pulse-rate channels of the same site and sensor, and the ECG heart rate.
 * Source  analysis-spec 3; docs/methods/sample-status.md.
 */
export function siteTracks(channels: readonly ChannelIntervals[], parameters: AnalysisParameters): SiteTrack[] {
  const heart = fullest(channels.filter((c) => c.channel.quantity === 'heart-rate'));
  return channels
    .filter((c) => c.channel.quantity === 'spo2')
    .map((spo2) => {
      const { channel, segments } = spo2;
      const ofSensor = (quantity: Quantity) =>
        fullest(channels.filter((c) => c.channel.quantity === quantity && isSameSensor(c.channel, channel)));
      const perfusion = ofSensor('perfusion-index');
      const amplitude = ofSensor('pulse-amplitude');
      const pulse = ofSensor('pulse-rate');
      const samples = dueSamples(channel, segments);
      const at = (from: ChannelIntervals | null, limits: readonly [number, number]) =>
        from === null ? null : valuesAt(samples.tMs, from.channel.tMs, from.channel.value, limits, holdTimes(from));
      const status = assessSamples(
        samples,
        {
          perfusion: at(perfusion, parameters.perfusionPlausible),
          amplitude: at(amplitude, [-Infinity, Infinity]),
          pulsePerMin: at(pulse, parameters.pulsePlausible),
          heartPerMin: at(heart, parameters.pulsePlausible),
        },
        parameters,
      );
      const site = channel.site ?? 'unstated';
      return {
        siteKey: siteKey({ site, sensor: channel.sensor }),
        site,
        sensor: channel.sensor,
        channel,
        perfusion,
        segments,
        mainMs: spo2.mainMs,
        track: { tMs: samples.tMs, value: samples.value, status },
        intervalMs: samples.intervalMs,
        limitMs: samples.intervalMs.map((h) => (Number.isNaN(h) ? Infinity : h * DUE_FACTOR)),
      };
    });
}

/** Returns whether two channels come from one oximeter sensor. */
export function isSameSensor(a: Channel, b: Channel): boolean {
  return a.site !== null && a.site === b.site && a.sensor === b.sensor;
}

/** Returns how many samples have each status. */
export function countStatuses(status: Uint8Array): Record<StatusName, number> {
  const counts: Record<StatusName, number> = { absent: 0, implausible: 0, flagged: 0, held: 0, weak: 0, disputed: 0, good: 0 };
  for (const code of status) {
    const name = STATUS_NAMES[code - 1];
    if (name !== undefined) counts[name]++;
  }
  return counts;
}

/** How long each sample of a channel stands at most: until its next value is overdue; irregular ones for no time. */
function holdTimes({ channel, segments }: ChannelIntervals): Float64Array {
  return intervalsAt(channel.tMs, segments).map((interval) => (Number.isNaN(interval) ? 0 : interval * DUE_FACTOR));
}

/** The channel with most numbers: an empty twin of a name must not hide the one that was used. */
function fullest(channels: readonly ChannelIntervals[]): ChannelIntervals | null {
  let best: ChannelIntervals | null = null;
  let most = 0;
  for (const one of channels) {
    let count = 0;
    for (const v of one.channel.value) if (Number.isFinite(v)) count++;
    if (count > most) [best, most] = [one, count];
  }
  return best;
}
