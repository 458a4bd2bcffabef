import { describe, expect, it } from 'vitest';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, regularChannel, repeat } from '../../../builders/channel.ts';
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
});
