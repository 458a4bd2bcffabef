import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { measuredRows, measuredSentence } from '../../../../renderer/timeline/measure.ts';
import { buildTimelineModel } from '../../../../renderer/timeline/timeline-model.ts';
import { threeHourCase } from '../../../bench/harness/built-cases.ts';

/* The case is made with these losses, s (tests/bench/harness/built-cases.ts): finger 1,500–1,605, 2,890–3,350, 4,200–4,235; record gap 6,300–6,780; a row every 5 s; a cuff reading every 300 s from 20 s on. */
describe('what is measured between two instants', () => {
  const record = threeHourCase();
  const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
  const model = buildTimelineModel(record, analysis);
  const rowOf = (entryKey: string, fromS: number, toS: number) => measuredRows(model.lanes, model.traces, analysis, fromS * 1000, toS * 1000).find((row) => row.entryKey === entryKey)!;
  const valueAt = (channelId: string, second: number): number => {
    const channel = record.channels.find((one) => one.channelId === channelId)!;
    return channel.value[channel.tMs.indexOf(second * 1000)]!;
  };

  it('is each value as recorded at both, and the second less the first', () => {
    const change = valueAt('spo2@finger', 1400) - valueAt('spo2@finger', 1000);
    expect(rowOf('spo2@finger', 1000, 1400)).toMatchObject({
      from: `${valueAt('spo2@finger', 1000)} %`, to: `${valueAt('spo2@finger', 1400)} %`, change: change > 0 ? `+${change}` : change === 0 ? '0' : `−${-change}`, note: '',
    });
    expect(rowOf('spo2@finger', 1400, 1000).change).toBe(change > 0 ? `−${change}` : change === 0 ? '0' : `+${-change}`);
  });
  it('tells no change from or to a lost stretch, and fills nothing in', () => {
    expect(rowOf('spo2@finger', 1400, 1550)).toMatchObject({ to: 'lost, no. 1', change: null });
    expect(rowOf('spo2@finger', 1400, 1550).note).toContain('no change can be told');
    expect(rowOf('heart-rate', 6000, 6500)).toMatchObject({ to: 'record stopped', change: null });
  });
  it('says how much was lost in between, at least and at most', () => {
    // From 1,490 to 3,400 s: losses 1 and 2; lost for certain 1,500–1,600 and 2,890–3,345 (555 s), at most 1,495–1,605 and 2,885–3,350 (575 s).
    const row = rowOf('spo2@finger', 1490, 3400);
    expect(row.change).not.toBeNull();
    expect(row.note).toBe('2 dropouts between, 9 min 15 s to 9 min 35 s');
    // Half of a loss counts only as far as it is measured: 1,500–1,550 s at least.
    expect(rowOf('spo2@finger', 1400, 1550).note).toBe('no change can be told; 1 dropout between, 50 s to 55 s');
    expect(rowOf('pulse-rate@finger', 1490, 1700).note).toBe('values missing between');
  });
  it('compares pressures part by part, and no reading with itself', () => {
    // Cuff readings at 320 and 620 s; 400 and 500 s both stand for the one at 320 s.
    const sys = valueAt('nibp-sys', 620) - valueAt('nibp-sys', 320);
    expect(rowOf('nibp', 330, 630).change).toMatch(new RegExp(`^[+−]?${Math.abs(sys)}/[+−]?\\d+ \\([+−]?\\d+\\)$`));
    expect(rowOf('nibp', 400, 500)).toMatchObject({ change: null, note: 'one and the same reading' });
  });
  it('is said in words', () => {
    const words = measuredSentence([{ entryKey: 'a', name: 'SpO2, finger', from: '97 %', to: '91 %', change: '−6', note: '1 dropout between, 50 s' }], '08:41:00', '08:45:30', 270_000);
    expect(words).toBe('4 min 30 s from 08:41:00 to 08:45:30. SpO2, finger: 97 %, then 91 %, change −6, 1 dropout between, 50 s.');
  });
});
