import { describe, expect, it } from 'vitest';
import { dueSamples, recordedTimes } from '../../../../core/quality/due-samples.ts';
import { segmentIntervals } from '../../../../core/signal/interval.ts';
import { channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Channel } from '../../../../core/model/channel.ts';

const due = (channel: Channel) => [...dueSamples(channel, segmentIntervals(recordedTimes(channel))).tMs].map((t) => t / 1000);

describe('recordedTimes', () => {
  it('is the channel’s own array when every row is recorded', () => {
    const channel = regularChannel({ quantity: 'spo2' }, [97, '---', 97]);
    expect(recordedTimes(channel)).toBe(channel.tMs);
  });

  it('leaves out empty cells of a wide table, not fillers', () => {
    expect([...recordedTimes(regularChannel({ quantity: 'spo2' }, [97, null, '---', 97]))]).toEqual([0, 2000, 3000]);
  });

  it('takes every row of a long table, even one without a value', () => {
    expect([...recordedTimes(regularChannel({ quantity: 'spo2', layout: 'long' }, [97, null, 97]))]).toEqual([0, 1000, 2000]);
  });
});

describe('dueSamples', () => {
  it('takes an empty cell as due where every row of the table is', () => {
    const channel = regularChannel({ quantity: 'spo2' }, [...repeat(97, 6), null, null, ...repeat(97, 6)], 10);
    expect(due(channel)).toEqual(Array.from({ length: 14 }, (_, i) => i * 10));
  });

  it('takes no empty cell as due in a channel that is recorded on every third row', () => {
    const cells = Array.from({ length: 30 }, (_, i) => (i % 3 === 0 ? 97 : null));
    expect(due(regularChannel({ quantity: 'spo2' }, cells, 5))).toEqual(Array.from({ length: 10 }, (_, i) => i * 15));
  });

  it('does not take the row of an event between two samples as due', () => {
    const points = [...Array.from({ length: 12 }, (_, i) => [i * 10, 97] as const), [33, null] as const].sort((a, b) => a[0] - b[0]);
    expect(due(channelAt({ quantity: 'spo2' }, points))).not.toContain(33);
  });
});
