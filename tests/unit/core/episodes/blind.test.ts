import { describe, expect, it } from 'vitest';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import type { Cell } from '../../../builders/channel.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const at = (site: 'finger' | 'ear lobe' | 'toe', cells: readonly Cell[], startS = 0, intervalS = 1) => regularChannel({ quantity: 'spo2', site }, cells, intervalS, startS);
const heart = (count: number) => regularChannel({ quantity: 'heart-rate' }, alternating(60, count));
const lost = (before: number, count: number, after: number) => [...alternating(96, before), ...repeat(null, count), ...alternating(96, after)];
const analyze = (channels: Parameters<typeof caseOf>[0]['channels'], events: Parameters<typeof caseOf>[0]['events'] = []) =>
  analyzeCase(caseOf({ channels: channels ?? [], events: events ?? [] }), parametersWith({}), '0.0.0');

describe('blind intervals', () => {
  it('are nothing while one site still gives information', () => {
    const a = analyze([at('finger', lost(100, 100, 300)), at('ear lobe', lost(300, 100, 100)), heart(500)]);
    expect(a.sites.map((s) => s.dropouts.length)).toEqual([1, 1]);
    expect(a.blind).toEqual([]);
    expect(a.blindTotals).toEqual({ count: 0, lostMs: { low: 0, mid: 0, high: 0 }, longestMidMs: 0, shareMid: 0 });
  });

  it('are the overlap of all sites, and name the site that brought information back', () => {
    const a = analyze([at('finger', lost(100, 200, 200)), at('ear lobe', lost(150, 100, 250)), at('toe', lost(120, 300, 80)), heart(500)]);
    expect(a.blind.map((b) => [b.lastGoodMs, b.firstLostMs, b.lastLostMs, b.firstGoodMs])).toEqual([[149_000, 150_000, 249_000, 250_000]]);
    expect(a.blind[0]).toMatchObject({ number: 1, restoredBy: 'same site', restoredSiteKey: null });
  });

  it('begin at one site and may end at another', () => {
    const a = analyze([at('finger', lost(200, 200, 100)), at('ear lobe', lost(100, 200, 200)), heart(500)]);
    expect(a.blind.map((b) => [b.firstLostMs, b.firstGoodMs, b.restoredBy, b.restoredSiteKey])).toEqual([[200_000, 300_000, 'other site', 'ear lobe']]);
  });

  it('take a site not yet on as one without information', () => {
    const a = analyze([at('finger', lost(100, 60, 340)), at('ear lobe', alternating(96, 300), 200), heart(500)]);
    expect(a.blind.map((b) => b.lostMs.mid)).toEqual([60_000]);
    expect(a.blindTotals.shareMid).toBeCloseTo(60 / 499, 12);
  });

  it('leave out the time in which nobody was monitored', () => {
    const off = eventOf({ kind: 'sensor off', atS: 100 });
    const a = analyze([at('finger', [...alternating(96, 100), ...repeat(null, 900)]), at('ear lobe', alternating(96, 500), 500), heart(1000)], [off]);
    expect(a.blind).toEqual([]);
    expect(a.blindTotals.shareMid).toBe(0);
  });

  it('have a second result in which weak values count as lost, over the same monitored time', () => {
    // Finger lost 100 to 200 s while the ear lobe informs, but on a perfusion index of 0.2 from 120 to 180 s: blind only in the second result.
    const index = regularChannel({ quantity: 'perfusion-index', site: 'ear lobe' }, [...repeat(2, 120), ...repeat(0.2, 60), ...repeat(2, 120)], 1);
    const a = analyze([at('finger', lost(100, 100, 100)), at('ear lobe', alternating(96, 300)), index, heart(300)]);
    expect(a.blind).toEqual([]);
    expect(a.blindDoubtfulLost.map((b) => [b.lastGoodMs, b.firstLostMs, b.lastLostMs, b.firstGoodMs])).toEqual([[119_000, 120_000, 179_000, 180_000]]);
    expect(a.blindTotalsDoubtfulLost).toEqual({ count: 1, lostMs: { low: 59_000, mid: 60_000, high: 61_000 }, longestMidMs: 60_000, shareMid: 60 / 299 });
  });

  it('with nothing certain have no least length', () => {
    // Finger lost at 100 and back at 110 (10-s rows); ear gives its last value at 102 and is back at 112.
    const a = analyzeCase(
      caseOf({
        channels: [
          at('finger', [...alternating(96, 10), null, ...alternating(96, 20)], 0, 10),
          at('ear lobe', [...alternating(96, 10), null, ...alternating(96, 20)], 5, 10),
        ],
      }),
      parametersWith({ minDurationS: 0 }),
      '0.0.0',
    );
    expect(a.blind.map((b) => [b.lastGoodMs, b.firstGoodMs, b.lostMs])).toEqual([[95_000, 110_000, { low: 0, mid: 7500, high: 15_000 }]]);
  });

  it('begin and end by the interval in force there, not by the one of most of the case', () => {
    // 5-s rows for most of the case, 10-s rows at its end. The finger goes silent for good 220 s before the end, too short
    // to be a dropout of its own; the ear lobe was lost long before. Truly blind from just before 2410 s: 210 s, not 215.
    const seconds = [...Array.from({ length: 441 }, (_, i) => i * 5), ...Array.from({ length: 42 }, (_, i) => 2210 + i * 10)];
    const until = (lastGoodS: number, site: 'finger' | 'ear lobe') =>
      channelAt({ quantity: 'spo2', site }, seconds.map((s, i) => [s, s <= lastGoodS ? 96 + (i % 2) : '---'] as const));
    const ecg = channelAt({ quantity: 'heart-rate' }, seconds.map((s, i) => [s, 60 + (i % 3)] as const));
    const [b] = analyze([until(2400, 'finger'), until(1000, 'ear lobe'), ecg]).blind;
    expect([b!.lastGoodMs, b!.firstLostMs].map((ms) => ms / 1000)).toEqual([2400, 2410]);
    expect(b!.lostMs).toEqual({ low: 210_000, mid: 215_000, high: 220_000 });
  });
});
