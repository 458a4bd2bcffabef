import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../../core/model/channel.ts';
import { channelIntervals } from '../../../../core/quality/channel-intervals.ts';
import { siteTracks } from '../../../../core/quality/site-track.ts';
import { statusRuns } from '../../../../core/quality/status-runs.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const spo2 = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'spo2', site: 'finger' }, cells, intervalS);
const perfusion = (cells: readonly Cell[], intervalS = 1) => regularChannel({ quantity: 'perfusion-index', site: 'finger' }, cells, intervalS);
const runs = (...channels: Channel[]) => statusRuns(siteTracks(channelIntervals(channels), parametersWith({}))[0]!);
const none = { implausible: [], flagged: [], held: [], weak: [], disputed: [] };

describe('statusRuns', () => {
  it('has a run for every stretch, however short, up to where its last sample ceases to stand', () => {
    expect(runs(spo2(alternating(96, 10)), perfusion([2, 2, 0.1, 2, 2, 0.1, 0.1, 2, 2, 2]))).toEqual({ ...none, weak: [2000, 3000, 5000, 7000] });
  });
  it('parts runs of other statuses and leaves good and absent ones out', () => {
    expect(runs(spo2([97, { flagged: 97 }, 101, 102, '---', 97, 97, 97]))).toEqual({ ...none, flagged: [1000, 2000], implausible: [2000, 4000] });
  });
  it('ends a run where a row is missing, one interval after its last sample', () => {
    const rows = [0, 10, 20, 30, 70, 80, 90, 100, 110];
    const at = (value: number) => rows.map((second) => [second, value] as const);
    const channels = [channelAt({ quantity: 'spo2', site: 'finger' }, at(97)), channelAt({ quantity: 'perfusion-index', site: 'finger' }, at(0.1))];
    expect(runs(...channels).weak).toEqual([0, 40_000, 70_000, 120_000]);
  });
  it('shows a held display as held', () => {
    const pulse = regularChannel({ quantity: 'pulse-rate', site: 'finger' }, [...alternating(60, 20), ...repeat(72, 40), ...alternating(60, 20)], 1);
    const heart = regularChannel({ quantity: 'heart-rate' }, alternating(60, 80), 1);
    // The first value of the stretch is a true reading (docs/methods/sample-status.md), so held begins one interval later.
    expect(runs(spo2([...alternating(96, 20), ...repeat(97, 40), ...alternating(96, 20)]), pulse, heart).held).toEqual([21_000, 60_000]);
  });
});
