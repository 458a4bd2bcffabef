import type { IntervalSegment } from '../model/analysis.ts';
import type { Channel } from '../model/channel.ts';
import { mainInterval, segmentIntervals } from '../signal/interval.ts';
import { recordedTimes } from './due-samples.ts';

/** The recording intervals of one channel. */
export interface ChannelIntervals {
  readonly channel: Channel;
  readonly segments: readonly IntervalSegment[];
  /** The interval that covers most time; null when irregular. */
  readonly mainMs: number | null;
}

/**
 * Returns the recording intervals of every channel, in the order given.
 * Shape   channels that share one array of times and miss no cell share the work.
 * Source  analysis-spec 2; docs/methods/interval.md.
 */
export function channelIntervals(channels: readonly Channel[]): ChannelIntervals[] {
  const known = new Map<Float64Array, readonly IntervalSegment[]>();
  return channels.map((channel) => {
    const times = recordedTimes(channel);
    const segments = known.get(times) ?? segmentIntervals(times);
    known.set(times, segments);
    return { channel, segments, mainMs: mainInterval(segments) };
  });
}
