import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../../core/model/channel.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const finger = (cells: Parameters<typeof regularChannel>[1]) => regularChannel({ quantity: 'spo2', site: 'finger' }, cells);
const heart = regularChannel({ quantity: 'heart-rate' }, alternating(60, 200));
const codes = (channels: readonly Channel[]) => analyzeCase(caseOf({ channels }), parametersWith({}), '0.0.0').findings.map((f) => f.code);

describe('analyzeCase', () => {
  it('states what it was made from', () => {
    const record = caseOf({ channels: [finger(alternating(96, 200)), heart] });
    const parameters = parametersWith({ minDurationS: 12 });
    expect(analyzeCase(record, parameters, '1.2.3')).toMatchObject({ caseId: record.caseId, parameters, productVersion: '1.2.3', inputDigests: [record.sources[0]!.sha256] });
  });

  it('leaves the record as it was', () => {
    const record = caseOf({ channels: [finger([...alternating(96, 100), ...repeat(null, 50), ...alternating(96, 50)]), heart] });
    const before = structuredClone(record);
    analyzeCase(record, parametersWith({}), '0.0.0');
    expect(record).toEqual(before);
  });

  it('gives the same for a case without channels every time: nothing, and why', () => {
    const a = analyzeCase(caseOf({}), parametersWith({}), '0.0.0');
    expect(a).toMatchObject({ sites: [], blind: [], recordGaps: [], blindTotals: { count: 0, shareMid: null } });
    expect(a.findings.map((f) => f.code)).toEqual(['no-spo2']);
  });
});

describe('findings', () => {
  it('are none for a plain record', () => {
    expect(codes([finger(alternating(96, 200)), heart])).toEqual([]);
  });

  it('name what cannot be told', () => {
    expect(codes([finger(alternating(96, 200))])).toEqual(['record-gaps-unknown', 'no-heart-rate']);
  });

  it('name a perfusion index on another scale', () => {
    expect(codes([finger(alternating(96, 200)), regularChannel({ quantity: 'perfusion-index', site: 'finger' }, alternating(120, 200)), heart])).toEqual(['perfusion-scale']);
  });

  it('name a repeated display', () => {
    expect(codes([finger(repeat(97, 200)), regularChannel({ quantity: 'pulse-rate', site: 'finger' }, repeat(70, 200)), heart])).toContain('held-display');
  });

  it('name a change of the interval and a stretch recorded now and then', () => {
    const at = [0, 410, 1130, 1460, 2570, 3010, ...Array.from({ length: 40 }, (_, i) => 4000 + i * 60), ...Array.from({ length: 40 }, (_, i) => 6400 + i * 15)];
    const spo2 = channelAt({ quantity: 'spo2', site: 'finger', layout: 'long' }, at.map((s, i) => [s, 96 + (i % 2)] as const));
    expect(codes([spo2, heart])).toEqual(['irregular-stretch', 'interval-changes']);
  });
});
