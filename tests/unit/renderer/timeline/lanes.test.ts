import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { furtherChannels, furtherLane } from '../../../../renderer/timeline/lanes.ts';
import { buildTimelineModel, withLanes } from '../../../../renderer/timeline/timeline-model.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, regularChannel, repeat } from '../../../builders/channel.ts';

const record = caseOf({
  channels: [
    regularChannel({ quantity: 'spo2', site: 'finger' }, alternating(96, 60), 1),
    regularChannel({ quantity: 'resp-rate' }, alternating(12, 60), 1),
    regularChannel({ quantity: 'other', channelId: 'other:peep', label: 'PEEP' }, repeat(5, 60), 1),
    regularChannel({ quantity: 'other', channelId: 'other:empty', label: 'Never written' }, repeat(null, 60), 1),
    regularChannel({ quantity: 'pulse-amplitude', site: 'finger' }, [...repeat(100, 30), ...repeat(900, 30)], 1),
  ],
});
const model = buildTimelineModel(record, analyzeCase(record, DEFAULT_PARAMETERS, 'test'));

describe('channels that the program does not use', () => {
  it('have no lane until asked for; breathing rate has one of its own', () => {
    expect(model.lanes.map((lane) => lane.laneKey)).toEqual(['spo2', 'respiration']);
  });
  it('can be asked for where they hold a value', () => {
    expect(furtherChannels(record).map((channel) => channel.channelId)).toEqual(['other:peep', 'pulse-amplitude@finger']);
  });
  it('are drawn as recorded on a scale that holds every value, also a single one', () => {
    for (const channel of furtherChannels(record)) {
      const { scale, plots, title } = furtherLane(channel);
      expect(title).toBe(channel.label);
      expect(plots[0]?.series[0]?.trace.value).toHaveLength(60);
      for (const value of channel.value) {
        expect(value).toBeGreaterThan(scale.min);
        expect(value).toBeLessThan(scale.max);
      }
    }
  });
  it('bear their unit once, and as many decimals as were recorded', () => {
    const lane = (label: string, unit: string, values: readonly number[]) => furtherLane({ ...regularChannel({ quantity: 'other', channelId: `other:${label}`, label }, values, 1), unit });
    expect(lane('CVP (mmHg)', 'mmHg', [8, 9]).title).toBe('CVP');
    expect(lane('(mmHg)', 'mmHg', [8, 9]).title).toBe('(mmHg)');
    expect(lane('Shift (left)', 'cm', [8, 9]).title).toBe('Shift (left)');
    expect([[8, 9], [8.5, 9], [8.25, 9]].map((values) => lane('CVP', 'mmHg', values).entries[0]?.decimals)).toEqual([0, 1, 2]);
  });
  it('stand under the lanes of the case, each told apart, with their values in the readout', () => {
    const lanes = furtherChannels(record).map(furtherLane);
    const shown = withLanes(model, [...model.lanes, ...lanes]);
    expect(new Set(shown.lanes.map((lane) => lane.laneId)).size).toBe(4);
    expect(shown.traces.has('other:peep')).toBe(true);
    expect(model.traces.has('other:peep')).toBe(false);
  });
});

it('holds every cuff reading on the scale of pressure, also of columns that were mixed up', () => {
  const mixed = caseOf({
    channels: [
      regularChannel({ quantity: 'spo2', site: 'finger' }, alternating(96, 60), 1),
      regularChannel({ quantity: 'nibp-sys' }, repeat(70, 3), 20),
      regularChannel({ quantity: 'nibp-dia' }, repeat(150, 3), 20),
      regularChannel({ quantity: 'nibp-mean' }, repeat(190, 3), 20),
    ],
  });
  const pressure = buildTimelineModel(mixed, analyzeCase(mixed, DEFAULT_PARAMETERS, 'test')).lanes.find(({ laneKey }) => laneKey === 'pressure');
  expect(pressure?.cuff).toHaveLength(3);
  expect(pressure?.scale.max).toBeGreaterThanOrEqual(190);
  expect(pressure?.scale.min).toBeLessThanOrEqual(70);
});
