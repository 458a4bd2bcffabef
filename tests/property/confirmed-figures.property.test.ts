/* What reviewers confirmed, on the simulator's cases: bounds that hold whatever they said, and the computed result where they agreed with all of it. */
import { expect, test } from 'vitest';
import type { Range3 } from '../../core/base/interval.ts';
import { confirmedFigures } from '../../core/metrics/confirmed-figures.ts';
import type { CaseAnalysis, FourInstants } from '../../core/model/analysis.ts';
import type { CountedLosses } from '../../core/model/confirmed.ts';
import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../core/model/parameters.ts';
import type { ReviewedDropout, ReviewOutcome } from '../../core/model/review.ts';
import type { Site } from '../../core/model/site.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { reviewed } from '../builders/case-review.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase } from '../simulator/true-case.ts';
import { recordOf, type LostAs } from '../simulator/true-record.ts';

const SITES: readonly (readonly Site[])[] = [['finger'], ['finger', 'ear lobe'], ['finger', 'nasal ala']];
const OUTCOMES: readonly ReviewOutcome[] = ['not reviewed', 'confirmed', 'confirmed', 'refuted', 'cannot tell', 'disputed'];

function simulated(seed: number) {
  const random = seededRandom(seed);
  const lostAs = random.pick<LostAs>([null, '---', 'no row']);
  const record = recordOf(random, makeTrueCase(random, `seed ${seed}`, { sites: SITES, intervalChange: lostAs !== 'no row', rowsMayBeAbsent: lostAs === 'no row' }), lostAs);
  const parameters: AnalysisParameters = { ...DEFAULT_PARAMETERS, minDurationS: random.pick([5, 10, 30]), deviceHoldS: random.pick([0, 10]), keepRecordGaps: random.chance(0.3) };
  return { random, record, analysis: analyzeCase(record, parameters, 'test') };
}

const all = (analysis: CaseAnalysis, of: (instants: FourInstants) => Partial<ReviewedDropout>) => reviewed(analysis.sites.flatMap(({ siteKey, dropouts }) => dropouts.map((dropout) => ({ dropoutId: dropout.dropoutId, siteKey, ...of(dropout) }))));

/** The computed result in the shape of a counted one. */
function computedOf({ sites, blind, blindTotals }: CaseAnalysis): CountedLosses {
  return {
    sites: sites.map(({ siteKey, dropouts, totals }) => ({
      siteKey,
      dropouts: dropouts.map(({ dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs }) => ({ dropoutId, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs, censoredAtMs, lostMs })),
      totals,
    })),
    blindMs: blind.map(({ lostMs }) => lostMs),
    blindTotals,
  };
}

test('all confirmed is exactly what was computed, and so is nothing said for what is not refuted; bounds “corrected” to the computed ones change nothing (200 seeds)', () => {
  let blind = 0;
  let open = 0;
  for (let seed = 1; seed <= 200; seed++) {
    const { record, analysis } = simulated(seed);
    const computed = computedOf(analysis);
    const confirmed = confirmedFigures(record, analysis, all(analysis, () => ({ outcome: 'confirmed' })));
    expect(confirmed.confirmed, `seed ${seed}`).toEqual(computed);
    expect(confirmed.notRefuted, `seed ${seed}`).toEqual(computed);
    const same = all(analysis, ({ lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }) => ({ outcome: 'confirmed', correctedBounds: { lastGoodMs, firstLostMs, lastLostMs, firstGoodMs } }));
    expect(confirmedFigures(record, analysis, same).confirmed, `seed ${seed}`).toEqual(computed);
    const silent = confirmedFigures(record, analysis, reviewed([]));
    expect(silent.notRefuted, `seed ${seed}`).toEqual(computed);
    expect([silent.confirmed.sites.every(({ dropouts }) => dropouts.length === 0), silent.all.notReviewed], `seed ${seed}`).toEqual([true, silent.all.dropouts]);
    blind += analysis.blind.length;
    open += analysis.sites.filter(({ dropouts }) => dropouts.at(-1)?.censoredAtMs !== null && dropouts.length > 0).length;
  }
  expect(blind).toBeGreaterThan(100);
  expect(open).toBeGreaterThan(5);
});

test('what is confirmed is never more than what is not refuted, and that never more than what was computed (200 seeds)', () => {
  const isWithin = (a: Range3, b: Range3): boolean => a.low <= b.low + 1e-6 && a.mid <= b.mid + 1e-6 && a.high <= b.high + 1e-6;
  let between = 0;
  for (let seed = 301; seed <= 500; seed++) {
    const { random, record, analysis } = simulated(seed);
    const { all: counts, confirmed, notRefuted } = confirmedFigures(record, analysis, all(analysis, () => ({ outcome: random.pick(OUTCOMES) })));
    const computed = computedOf(analysis);
    expect(counts.confirmed + counts.refuted + counts.cannotTell + counts.disputed + counts.notReviewed, `seed ${seed}`).toBe(counts.dropouts);
    for (const [i, site] of confirmed.sites.entries()) {
      const [more, most] = [notRefuted.sites[i]!, computed.sites[i]!];
      expect(isWithin(site.totals.lostMs, more.totals.lostMs) && isWithin(more.totals.lostMs, most.totals.lostMs), `seed ${seed}`).toBe(true);
      expect(site.totals.count <= more.totals.count && more.totals.count <= most.totals.count, `seed ${seed}`).toBe(true);
      if (site.totals.count < more.totals.count && more.totals.count < most.totals.count) between++;
    }
    expect(isWithin(confirmed.blindTotals.lostMs, notRefuted.blindTotals.lostMs) && isWithin(notRefuted.blindTotals.lostMs, computed.blindTotals.lostMs), `seed ${seed}`).toBe(true);
  }
  expect(between).toBeGreaterThan(10);
});

test('corrected bounds: low ≤ mid ≤ high, no time is counted twice at a sensor, and with one sensor no more is blind than was lost (200 seeds)', () => {
  let moved = 0;
  for (let seed = 601; seed <= 800; seed++) {
    const { random, record, analysis } = simulated(seed);
    const shift = (): number => Math.round((random.between(-1, 1) * 120_000) / 1000) * 1000;
    const { confirmed, notRefuted } = confirmedFigures(record, analysis, all(analysis, (instants) => {
      if (random.chance(0.4)) return { outcome: random.pick(OUTCOMES) };
      moved++;
      const ends = instants.firstGoodMs ?? instants.lastGoodMs + 300_000;
      const sorted = [instants.lastGoodMs + shift(), instants.firstLostMs + shift(), ends - 1000 + shift(), ends + shift()].sort((a, b) => a - b);
      const [lastGoodMs = 0, firstLostMs = 0, lastLostMs = 0, firstGoodMs = 0] = sorted;
      const isOpen = random.chance(0.1);
      return { outcome: 'confirmed', correctedBounds: { lastGoodMs, firstLostMs, lastLostMs: isOpen ? null : lastLostMs, firstGoodMs: isOpen ? null : firstGoodMs } };
    }));
    for (const { sites, blindTotals } of [confirmed, notRefuted]) {
      for (const { dropouts, totals } of sites) {
        for (const { lostMs } of dropouts) expect(lostMs.low <= lostMs.mid && lostMs.mid <= lostMs.high, `seed ${seed}: ${JSON.stringify(lostMs)}`).toBe(true);
        const spans = dropouts.map(({ lastGoodMs, firstGoodMs, censoredAtMs }) => ({ startMs: lastGoodMs, endMs: firstGoodMs ?? censoredAtMs ?? NaN }));
        const holdMs = analysis.parameters.deviceHoldS * 1000 * (dropouts.length * 8);
        const reach = Math.max(0, ...spans.map(({ endMs }) => endMs)) - Math.min(...spans.map(({ startMs }) => startMs), 0);
        expect(totals.lostMs.high, `seed ${seed}`).toBeLessThanOrEqual(reach + holdMs + 1e-6);
        if (sites.length === 1) expect(blindTotals.lostMs.mid, `seed ${seed}`).toBeLessThanOrEqual(totals.lostMs.mid + 1e-6);
      }
    }
  }
  expect(moved).toBeGreaterThan(200);
});
