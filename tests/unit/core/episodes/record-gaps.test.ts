import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../../core/model/channel.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const analyze = (channels: readonly Channel[], changes: Partial<AnalysisParameters> = {}) => analyzeCase(caseOf({ channels }), parametersWith(changes), '0.0.0');
const finger = (cells: readonly Cell[], intervalS = 60) => regularChannel({ quantity: 'spo2', site: 'finger' }, cells, intervalS);
const heart = (cells: readonly Cell[], intervalS = 60) => regularChannel({ quantity: 'heart-rate' }, cells, intervalS);
const minutes = (ms: number) => ms / 60_000;

describe('record gaps', () => {
  it('are times without any number, and no dropouts', () => {
    const cells: Cell[] = [...alternating(96, 20), ...repeat('---', 19), ...alternating(96, 20)];
    const a = analyze([finger(cells), heart(cells)]);
    expect(a.recordGapsCanBeTold).toBe(true);
    expect(a.recordGaps.map((g) => [g.lastRowMs, g.firstMissingMs, g.lastMissingMs, g.firstRowMs].map(minutes))).toEqual([[19, 20, 38, 39]]);
    expect(a.recordGaps.map((g) => [g.gapMs.low, g.gapMs.mid, g.gapMs.high].map(minutes))).toEqual([[18, 19, 20]]);
    expect(a.sites[0]!.dropouts).toEqual([]);
    expect(minutes(a.sites[0]!.monitoredMs)).toBe(58 - 19);
    expect(minutes(a.sites[0]!.recordGapMs)).toBe(19);
    expect(a.blind).toEqual([]);
  });

  it('stay in numerator and denominator when parameters keep them', () => {
    const cells: Cell[] = [...alternating(96, 20), ...repeat('---', 19), ...alternating(96, 20)];
    const a = analyze([finger(cells), heart(cells)], { keepRecordGaps: true });
    expect(a.sites[0]!.dropouts.map((d) => [minutes(d.lostMs.mid), d.patterns])).toEqual([[19, ['record gap']]]);
    expect(minutes(a.sites[0]!.monitoredMs)).toBe(58);
  });

  it('are taken off a loss that is longer, between the bounds that both leave', () => {
    const spo2: Cell[] = [...alternating(96, 20), ...repeat('---', 30), ...alternating(96, 20)];
    const ecg: Cell[] = [...alternating(70, 25), ...repeat('---', 10), ...alternating(70, 35)];
    const [d] = analyze([finger(spo2), heart(ecg)]).sites[0]!.dropouts;
    expect([d!.lastGoodMs, d!.firstLostMs, d!.lastLostMs!, d!.firstGoodMs!].map(minutes)).toEqual([19, 20, 49, 50]);
    expect([d!.lostMs.low, d!.lostMs.mid, d!.lostMs.high].map(minutes)).toEqual([29 - 11, 30 - 10, 31 - 9]);
    expect([d!.recordGapMs.low, d!.recordGapMs.mid, d!.recordGapMs.high].map(minutes)).toEqual([9, 10, 11]);
    expect(d!.patterns).toEqual(['record gap']);
  });

  it('joined by a single good row to a lost one, stay off: 20 rows with one breath, a good row, a silent row', () => {
    // The course of rows 590 to 613 of s00001 in mimic-icu-numerics: respiratory rate in one row of the first run.
    const spo2: Cell[] = [...repeat(96.3, 20), ...repeat('---', 20), 98, '---', ...repeat(98, 20)];
    const resp: Cell[] = [...repeat(15, 20), ...repeat('---', 7), 14, ...repeat('---', 12), 15, '---', ...repeat(15, 20)];
    const a = analyze([finger(spo2), regularChannel({ quantity: 'resp-rate' }, resp, 60)]);
    expect(a.recordGaps.map((g) => minutes(g.gapMs.mid))).toEqual([7, 12, 1]);
    const [d, ...rest] = a.sites[0]!.dropouts;
    expect(rest).toEqual([]);
    expect([d!.lastGoodMs, d!.firstLostMs, d!.lastLostMs!, d!.firstGoodMs!].map(minutes)).toEqual([19, 20, 41, 42]);
    expect(minutes(d!.lostMs.mid)).toBe(1);
    expect(d!.patterns).toEqual(['record gap']);
  });

  it('are not invented while the sensor falls silent between two cuff readings', () => {
    const spo2: Cell[] = [...alternating(96, 60), ...repeat(null, 24), ...alternating(96, 60)];
    const cuff = channelAt({ quantity: 'nibp-mean', layout: 'long' }, [0, 300, 600, 900, 1200].map((s) => [s, 70] as const));
    const a = analyze([finger(spo2, 10), cuff]);
    expect(a.recordGapsCanBeTold).toBe(false);
    expect(a.sites[0]!.dropouts.map((d) => d.lostMs.mid / 1000)).toEqual([240]);
    expect(a.findings.map((f) => f.code)).toContain('record-gaps-unknown');
  });

  it('are judged by the interval of the channels beside the oximeter', () => {
    const spo2: Cell[] = [...alternating(96, 70), ...repeat(null, 49), ...alternating(96, 70)];
    const ecg = heart(alternating(70, 4), 60);
    expect(analyze([finger(spo2, 1), ecg]).sites[0]!.dropouts.map((d) => d.lostMs.mid / 1000)).toEqual([49]);
  });

  it('do not leave a dropout behind at a coarser SpO2 interval', () => {
    // Recorder off from 119 s to 181 s: SpO2 was due at 120 and 180 s and lost only for that.
    const spo2 = channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, [-240, -180, -120, -60, 0, 60, 240, 300, 360, 420].map((s) => [s, 97] as const));
    const points = Array.from({ length: 661 }, (_, i) => i - 240).filter((s) => s < 120 || s > 180);
    const ecg = channelAt({ quantity: 'heart-rate', layout: 'long' }, points.map((s, i) => [s, 60 + (i % 3)] as const));
    const a = analyze([spo2, ecg]);
    expect(a.recordGaps.map((g) => g.gapMs.mid / 1000)).toEqual([61]);
    expect(a.sites[0]!.dropouts).toEqual([]);
  });

  it('are told where one monitor ends and another begins', () => {
    const own = (from: number, to: number, name: string) => channelAt({ quantity: 'heart-rate', channelId: name, layout: 'long' }, Array.from({ length: (to - from) / 10 }, (_, i) => [from + i * 10, 60 + (i % 3)] as const));
    const spo2 = channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, [...Array.from({ length: 60 }, (_, i) => i * 10), ...Array.from({ length: 60 }, (_, i) => 900 + i * 10)].map((s) => [s, 97] as const));
    const a = analyze([spo2, own(0, 600, 'theatre'), own(900, 1500, 'recovery')]);
    expect(a.recordGaps.map((g) => g.gapMs.mid / 1000)).toEqual([300]);
    expect(a.sites[0]!.dropouts).toEqual([]);
  });

  it('follow a change of the interval', () => {
    const at = [...Array.from({ length: 20 }, (_, i) => i * 15), ...Array.from({ length: 20 }, (_, i) => 345 + i * 60)];
    const a = analyze([channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, at.map((s) => [s, 97] as const)), channelAt({ quantity: 'heart-rate', layout: 'long' }, at.map((s, i) => [s, 60 + (i % 3)] as const))]);
    expect(a.recordGaps).toEqual([]);
    expect(a.sites[0]!.segments.map((s) => s.intervalMs)).toEqual([15_000, 60_000]);
  });
});
