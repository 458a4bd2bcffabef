import { describe, expect, it } from 'vitest';
import type { Channel } from '../../../../core/model/channel.ts';
import type { CaseEvent } from '../../../../core/model/event.ts';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import type { Site } from '../../../../core/model/site.ts';
import { siteDetailSchema } from '../../../../core/model/site-detail-schema.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { siteDetail } from '../../../../core/pipeline/site-detail.ts';
import { layered } from '../../../../core/sites/sensor-coverage.ts';
import { caseOf } from '../../../builders/case-record.ts';
import type { Cell } from '../../../builders/channel.ts';
import { channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const spo2 = (site: Site, cells: readonly Cell[]): Channel => regularChannel({ quantity: 'spo2', site }, cells, 10);
const heart = channelAt({ quantity: 'heart-rate' }, Array.from({ length: 61 }, (_, i) => [i * 10, 60 + (i % 5)] as const));
function look(channels: readonly Channel[], events: readonly CaseEvent[] = [], parameters: Partial<AnalysisParameters> = {}) {
  const record = caseOf({ channels: [...channels, heart], events });
  return { detail: siteDetail(record, parametersWith(parameters)), analysis: analyzeCase(record, parametersWith(parameters), '0.0.0') };
}
const inSeconds = (spans: readonly { readonly startMs: number; readonly endMs: number; readonly state: string }[]) => spans.map((s) => [s.state, s.startMs / 1000, s.endMs / 1000]);

// Finger lost in rows 20–29, ear in rows 25–34 of 61, every 10 s.
const finger = spo2('finger', [...repeat(97, 20), ...repeat(null, 10), ...repeat(97, 31)]);
const ear = spo2('ear lobe', [...repeat(96, 25), ...repeat(null, 10), ...repeat(96, 26)]);

describe('the sensors of a case over time', () => {
  it('are parted into what they gave, from the start of the case to its end', () => {
    const index = regularChannel({ quantity: 'perfusion-index', site: 'finger' }, Array.from({ length: 61 }, (_, i) => (i === 5 || i === 6 ? 0.1 : 2)), 10);
    const { detail } = look([finger, index, ear]);
    expect(inSeconds(detail.sensors[0]!.spans)).toEqual([['information', 0, 50], ['doubtful', 50, 70], ['information', 70, 195], ['lost', 195, 295], ['information', 295, 600]]);
    expect(siteDetailSchema.parse(JSON.parse(JSON.stringify(detail)))).toEqual(detail);
  });

  it('say when a sensor was not on, and when the recorder stood still', () => {
    const late = spo2('toe', [...repeat(null, 30), ...repeat(96, 31)]);
    const { detail } = look([finger, late]);
    expect(inSeconds(detail.sensors[1]!.spans)).toEqual([['not on', 0, 300], ['information', 300, 600]]);
    const holed = (place: { readonly quantity: Channel['quantity']; readonly site?: Site }) => channelAt({ ...place, layout: 'long' }, Array.from({ length: 60 }, (_, i) => [i < 30 ? i * 10 : i * 10 + 300, 90 + (i % 5)] as const));
    const stopped = caseOf({ channels: [holed({ quantity: 'spo2', site: 'finger' }), holed({ quantity: 'heart-rate' })] });
    expect(inSeconds(siteDetail(stopped, parametersWith({})).sensors[0]!.spans)).toEqual([['information', 0, 295], ['record gap', 295, 595], ['information', 595, 890]]);
    expect(inSeconds(siteDetail(stopped, parametersWith({ keepRecordGaps: true })).sensors[0]!.spans).map(([state]) => state)).toEqual(['information', 'lost', 'information']);
  });

  it('add up, pair by pair, to the times of the analysis', () => {
    const events = [eventOf({ kind: 'bypass', atS: 320, phase: 'start' }), eventOf({ kind: 'bypass', atS: 400, phase: 'end' })];
    for (const parameters of [{}, { keepBypass: true }]) {
      const { detail, analysis } = look([finger, ear, spo2('toe', [...repeat(null, 10), ...repeat(95, 40), ...repeat(null, 11)])], events, parameters);
      expect(detail.pairs.map((p) => [p.firstKey, p.secondKey])).toEqual(analysis.pairs.map((p) => [p.firstKey, p.secondKey]));
      for (const [i, pair] of analysis.pairs.entries()) {
        const sum = (state: string) => detail.pairs[i]!.spans.filter((s) => s.state === state).reduce((ms, s) => ms + s.endMs - s.startMs, 0);
        expect([sum('both'), sum('only first'), sum('only second'), sum('neither')]).toEqual([pair.bothMs, pair.onlyFirstMs, pair.onlySecondMs, pair.neitherMs]);
        expect(sum('not compared')).toBe(600_000 - pair.sharedMs);
      }
      expect(detail.bypass).toEqual([{ startMs: 320_000, endMs: 400_000 }]);
    }
  });

  it('hold the stable pairs behind bias and limits', () => {
    const { detail, analysis } = look([spo2('finger', repeat(97, 61)), spo2('ear lobe', [...repeat(95, 30), ...repeat(96, 31)])]);
    const { differences, limits } = detail.pairs[0]!;
    expect(differences).toHaveLength(analysis.pairs[0]!.stablePairs!.n);
    expect(differences[0]).toEqual({ atMs: 20_000, mean: 96, difference: 2 });
    const { bias, sd } = analysis.pairs[0]!.stablePairs!;
    expect(limits).toEqual({ lower: bias - 1.96 * sd!, upper: bias + 1.96 * sd! });
  });

  it('give each fall and rise its own lag', () => {
    // Down by 10 points and up again; the ear is 20 s (2 rows) ahead of the finger.
    const dip = (start: number): number[] => Array.from({ length: 61 }, (_, i) => 98 - Math.max(0, 10 - Math.abs(i - start)));
    const { detail } = look([spo2('finger', dip(30)), spo2('ear lobe', dip(28))]);
    const swings = detail.pairs[0]!.swings;
    expect(swings.map((s) => [s.direction, s.fromMs, s.toMs, s.fromPct, s.toPct, s.halfMs])).toEqual([
      ['fall', 200_000, 300_000, 98, 88, 250_000],
      ['rise', 300_000, 400_000, 88, 98, 350_000],
    ]);
    for (const { lag } of swings) expect(lag!.lagMs).toBeCloseTo(-20_000, 6);
  });

  it('are nothing without SpO2', () => {
    expect(look([]).detail).toMatchObject({ sensors: [], pairs: [] });
  });
});

it('layers: the first state that holds wins, and neighbours of one state are joined', () => {
  const spans = (...pairs: [number, number][]) => pairs.map(([startMs, endMs]) => ({ startMs, endMs }));
  expect(layered<string>({ startMs: 0, endMs: 10 }, 'ground', [['a', spans([2, 4])], ['b', spans([3, 6], [8, 9])]])).toEqual([
    { startMs: 0, endMs: 2, state: 'ground' }, { startMs: 2, endMs: 4, state: 'a' }, { startMs: 4, endMs: 6, state: 'b' },
    { startMs: 6, endMs: 8, state: 'ground' }, { startMs: 8, endMs: 9, state: 'b' }, { startMs: 9, endMs: 10, state: 'ground' },
  ]);
  expect(layered<string>({ startMs: 0, endMs: 10 }, 'a', [['a', spans([2, 4])]])).toEqual([{ startMs: 0, endMs: 10, state: 'a' }]);
});
