import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { cursorValue, neighbourSample, readoutText, sampleAt } from '../../../../renderer/timeline/cursor-values.ts';
import { buildTrace } from '../../../../renderer/timeline/plot-adapter.ts';
import { buildTimelineModel } from '../../../../renderer/timeline/timeline-model.ts';
import { threeHourCase } from '../../../bench/harness/built-cases.ts';
import { channelAt, regularChannel } from '../../../builders/channel.ts';

describe('sampleAt', () => {
  const trace = buildTrace(regularChannel({ quantity: 'spo2', site: 'finger' }, [97, 96, 95, 94, null, null, 93, 92, 91, 90], 10), [1, 100]);
  it('holds a sample until the next was due and no longer', () => {
    expect(sampleAt(trace, 30_000)).toBe(3);
    expect(sampleAt(trace, 39_999)).toBe(3);
    expect(sampleAt(trace, 40_000)).toBe(-1);
    expect(sampleAt(trace, 59_999)).toBe(-1);
    expect(sampleAt(trace, 60_000)).toBe(4);
  });
  it('has nothing before the first and an interval after the last', () => {
    expect(sampleAt(trace, -1)).toBe(-1);
    expect(sampleAt(trace, 95_000)).toBe(7);
    expect(sampleAt(trace, 100_000)).toBe(-1);
  });
  it('lets an irregular reading stand for half an hour', () => {
    const cuff = buildTrace(channelAt({ quantity: 'nibp-sys' }, [0, 130, 700, 760, 1900, 2000, 3300, 5000, 5100, 7777].map((second) => [second, 120] as const)), null);
    expect(sampleAt(cuff, 130_000 + 300_000)).toBe(1);
    expect(sampleAt(cuff, 5_100_000 + 31 * 60_000)).toBe(-1);
  });
});

describe('the readout of the built case', () => {
  const record = threeHourCase();
  const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
  const model = buildTimelineModel(record, analysis);
  const read = (entryKey: string, second: number, isBound = false) => {
    const entry = model.lanes.flatMap((lane) => lane.entries).find((candidate) => candidate.entryKey === entryKey);
    if (entry === undefined) throw new Error(`no entry ${entryKey}`);
    return readoutText(entry, cursorValue(entry, model.traces, analysis, second * 1000, isBound));
  };
  it('gives the value of the sample where there is one', () => {
    const spo2 = record.channels.find((channel) => channel.channelId === 'spo2@finger');
    expect(read('spo2@finger', 1000)).toEqual({ value: `${spo2?.value[200]} %`, note: '' });
  });
  it('says lost with the number of the dropout, and how sure it is', () => {
    expect(read('spo2@finger', 1550)).toEqual({ value: '', note: 'lost, no. 1' });
    expect(read('spo2@finger', 1497).note).toBe('may be lost, no. 1');
  });
  it('says what cannot be excluded only where it was asked for', () => {
    expect(read('spo2@finger', 1550, true).note).toMatch(/^lost, no\. 1, cannot be excluded: \d+ %$/);
    expect(read('spo2@finger', 1000, true).note).toBe('');
  });
  it('says that the record stopped in a record gap, on every line', () => {
    for (const lane of model.lanes) for (const entry of lane.entries) expect(read(entry.entryKey, 6500)).toEqual({ value: '', note: 'record stopped' });
  });
  it('says no value where a sensor was not on', () => {
    expect(read('spo2@ear lobe', 1000)).toEqual({ value: 'no value', note: '' });
  });
  it('calls a stretch of weak signal weak', () => {
    expect(read('spo2@ear lobe', 5800).note).toBe('weak');
  });
  it('writes pressures as a pair with their mean, and the age of a cuff reading', () => {
    expect(read('art', 2000).value).toMatch(/^\d+\/\d+ \(\d+\)$/);
    expect(read('nibp', 2000)).toEqual({ value: expect.stringMatching(/^\d+\/\d+ \(\d+\)$/), note: '3 min ago' });
  });
  it('steps the cursor from recorded row to recorded row, over the gap', () => {
    expect(neighbourSample(model.lanes, 1000_000, 1)).toBe(1005_000);
    expect(neighbourSample(model.lanes, 1002_000, -1)).toBe(1000_000);
    expect(neighbourSample(model.lanes, 6295_000, 1)).toBe(6780_000);
    expect(neighbourSample(model.lanes, 10_800_000, 1)).toBeNull();
  });
});
