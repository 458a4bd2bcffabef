/* What a case gives to a cohort, under its own and other definitions, is what the whole analysis gives, on the simulator's cases. */
import { expect, test } from 'vitest';
import { alignedCourse } from '../../core/cohort/aligned-values.ts';
import { cohortCaseOf } from '../../core/cohort/cohort-case-of.ts';
import { underDefinition } from '../../core/cohort/under-definition.ts';
import { ALIGNED_GRID, CANDIDATE_BRIDGES_S } from '../../core/model/cohort-case.ts';
import { cohortCaseSchema } from '../../core/model/cohort-case-schema.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Site } from '../../core/model/site.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase } from '../simulator/true-case.ts';
import { recordOf, type LostAs } from '../simulator/true-record.ts';

const SITES: readonly (readonly Site[])[] = [['finger'], ['finger', 'ear lobe'], ['finger', 'nasal ala']];
const scaled = (table: Readonly<Record<string, number>>, factor: number) => Object.fromEntries(Object.entries(table).map(([name, s]) => [name, s * factor]));

function simulated(seed: number) {
  const random = seededRandom(seed);
  const lostAs = random.pick<LostAs>([null, '---', 'no row']);
  const record = recordOf(random, makeTrueCase(random, `seed ${seed}`, { sites: SITES, intervalChange: lostAs !== 'no row', rowsMayBeAbsent: lostAs === 'no row' }), lostAs);
  const parameters: AnalysisParameters = { ...DEFAULT_PARAMETERS, deviceHoldS: random.pick([0, 10]), keepRecordGaps: random.chance(0.3) };
  return { random, record, parameters };
}

test('figures are those of the whole analysis, and the own definition changes nothing (60 seeds)', () => {
  let dropouts = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const { record, parameters } = simulated(seed);
    const analysis = analyzeCase(record, parameters, 'test');
    const one = cohortCaseSchema.parse(cohortCaseOf('key', record, analysis, null));
    for (const site of one.sites) {
      const whole = analysis.sites.find(({ siteKey }) => siteKey === site.siteKey)!;
      expect([site.any.lostMs, site.any.monitoredMs, site.any.longestMidMs], `seed ${seed}`).toEqual([whole.totals.lostMs, whole.monitoredMs, whole.totals.longestMidMs]);
      if (whole.totalsDoubtfulLost.shareMid !== null) expect(site.doubtfulLost.lostMs.mid / site.doubtfulLost.monitoredMs).toBe(whole.totalsDoubtfulLost.shareMid);
      dropouts += site.any.dropouts.length;
    }
    if (analysis.blindTotals.shareMid !== null) expect(one.blind.lostMs.mid / one.blind.monitoredMs, `seed ${seed}`).toBe(analysis.blindTotals.shareMid);
    if (analysis.blindTotalsDoubtfulLost.shareMid !== null) expect(one.blindDoubtfulLost.lostMs.mid / one.blindDoubtfulLost.monitoredMs, `seed ${seed}`).toBe(analysis.blindTotalsDoubtfulLost.shareMid);
    const { minDurationS, bridgeS } = parameters;
    expect(underDefinition(one, { minDurationS, bridgeS, lookBackFactor: 1, doubtfulLost: false }, parameters), `seed ${seed}`).toEqual(one);
    const doubtful = underDefinition(one, { minDurationS, bridgeS, lookBackFactor: 1, doubtfulLost: true }, parameters);
    expect(doubtful.sites.map(({ any }) => any), `seed ${seed}`).toEqual(one.sites.map(({ doubtfulLost }) => doubtfulLost));
  }
  expect(dropouts).toBeGreaterThan(75);
});

test('another definition gives the dropouts, denominators and links of a whole analysis under it (60 seeds)', () => {
  for (let seed = 201; seed <= 260; seed++) {
    const { random, record, parameters: base } = simulated(seed);
    const definition = { minDurationS: random.pick([5, 30, 60, 180]), bridgeS: random.pick([base.bridgeS, ...CANDIDATE_BRIDGES_S]), lookBackFactor: random.pick([0.5, 1, 2]), doubtfulLost: random.chance(0.5) };
    const { lookBackFactor, doubtfulLost, ...rest } = definition;
    const parameters: AnalysisParameters = { ...base, ...rest, lookBackBolusS: scaled(base.lookBackBolusS, lookBackFactor), lookBackPositionS: scaled(base.lookBackPositionS, lookBackFactor), lookBackInfusionS: base.lookBackInfusionS * lookBackFactor };
    const quick = underDefinition(cohortCaseOf('key', record, analyzeCase(record, base, 'test'), null), definition, base);
    const whole = cohortCaseOf('key', record, analyzeCase(record, parameters, 'test'), null);
    const plain = (one: typeof whole, pick: 'any' | 'doubtfulLost') =>
      one.sites.map((site) => ({ ...site[pick], dropouts: site[pick].dropouts.map(({ patterns: _p, isMarked: _m, spo2Before: _b, spo2After: _a, pressureBefore: _r, restoredBy, restoredSiteKey: _s, restoredAfterMs: _w, ...kept }) => ({ ...kept, isRestoredHere: restoredBy === 'same site' })) }));
    expect(plain(quick, 'any'), `seed ${seed}`).toEqual(plain(whole, doubtfulLost ? 'doubtfulLost' : 'any'));
    expect(quick.exposures).toEqual(whole.exposures);
  }
});

test('values around a bolus are recorded ones, and none stands where the SpO2 was lost', () => {
  let seen = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const { record, parameters } = simulated(seed);
    const analysis = analyzeCase(record, parameters, 'test');
    const segments = analysis.sites;
    const one = cohortCaseOf('key', record, analysis, null);
    one.aligned.exposureIds.forEach((exposureId, bolus) => {
      const atMs = one.exposures.find((exposure) => exposure.exposureId === exposureId)!.atMs;
      one.aligned.series.forEach(({ quantity, siteKey }, row) => {
        if (quantity !== 'spo2') return;
        const longestMs = Math.max(...segments.find((s) => s.siteKey === siteKey)!.segments.map(({ intervalMs }) => intervalMs ?? 0));
        const channel = record.channels.find((c) => c.channelId === `spo2@${siteKey ?? ''}`)!;
        alignedCourse(one.aligned, bolus, row).forEach((value, i) => {
          const lagMs = atMs + (ALIGNED_GRID.firstS + i * ALIGNED_GRID.stepS) * 1000;
          if (value === null) return;
          seen++;
          const last = channel.tMs.findLastIndex((t) => t <= lagMs);
          // A lost value stands as NaN, or its row is missing and the one before is overdue.
          expect(channel.value[last], `seed ${seed}`).toBe(value);
          expect(lagMs - channel.tMs[last]!, `seed ${seed}`).toBeLessThan(1.5 * longestMs);
        });
      });
    });
  }
  expect(seen).toBeGreaterThan(500);
});
