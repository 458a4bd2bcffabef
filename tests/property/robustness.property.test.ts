/* A definition applied to a prepared case gives what the whole analysis gives under it, on the simulator's cases. */
import { expect, test } from 'vitest';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Site } from '../../core/model/site.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { applyDefinition } from '../../core/robustness/apply-definition.ts';
import { prepareRobustness } from '../../core/robustness/prepare-robustness.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase } from '../simulator/true-case.ts';
import { recordOf, type LostAs } from '../simulator/true-record.ts';

const SITES: readonly (readonly Site[])[] = [['finger'], ['finger', 'ear lobe'], ['finger', 'nasal ala']];
const scaled = (table: Readonly<Record<string, number>>, factor: number) => Object.fromEntries(Object.entries(table).map(([name, s]) => [name, s * factor]));

test('count, bounds, denominators and links, and the blind intervals, agree with the whole analysis (150 seeds)', () => {
  let dropouts = 0;
  let blinds = 0;
  for (let seed = 1; seed <= 150; seed++) {
    const random = seededRandom(seed);
    const lostAs = random.pick<LostAs>([null, '---', 'no row']);
    const record = recordOf(random, makeTrueCase(random, `seed ${seed}`, { sites: SITES, intervalChange: lostAs !== 'no row', rowsMayBeAbsent: lostAs === 'no row' }), lostAs);
    const base: AnalysisParameters = { ...DEFAULT_PARAMETERS, deviceHoldS: random.pick([0, 10]), keepRecordGaps: random.chance(0.3) };
    const definition = { minDurationS: random.pick([5, 30, 60, 180]), bridgeS: random.pick([0, 10, 60]), lookBackFactor: random.pick([0.5, 1, 2]), doubtfulLost: random.chance(0.5) };
    const { lookBackFactor, doubtfulLost, ...rest } = definition;
    const parameters: AnalysisParameters = {
      ...base,
      ...rest,
      lookBackBolusS: scaled(base.lookBackBolusS, lookBackFactor),
      lookBackPositionS: scaled(base.lookBackPositionS, lookBackFactor),
      lookBackInfusionS: base.lookBackInfusionS * lookBackFactor,
    };
    const whole = analyzeCase(record, parameters, 'test');
    const quick = applyDefinition(prepareRobustness(record, base), definition);
    whole.sites.forEach((site, i) => {
      const found = doubtfulLost ? site.dropoutsDoubtfulLost : site.dropouts;
      const totals = doubtfulLost ? site.totalsDoubtfulLost : site.totals;
      dropouts += found.length;
      expect(quick.sites[i]!.dropouts.map((d) => [d.lastGoodMs, d.firstLostMs, d.lostMs]), `seed ${seed}`).toEqual(found.map((d) => [d.lastGoodMs, d.firstLostMs, d.lostMs]));
      expect([quick.sites[i]!.count, quick.sites[i]!.lostMs, quick.sites[i]!.shareMid], `seed ${seed}`).toEqual([totals.count, totals.lostMs, totals.shareMid]);
      expect(quick.sites[i]!.dropouts.map((d) => [d.links?.certain, d.links?.possible])).toEqual(found.map((d) => [d.links.filter((l) => l.certainty === 'certain').length, d.links.filter((l) => l.certainty === 'possible').length]));
    });
    const [blind, totals] = doubtfulLost ? [whole.blindDoubtfulLost, whole.blindTotalsDoubtfulLost] : [whole.blind, whole.blindTotals];
    if (whole.sites.length > 1) blinds += blind.length;
    expect(quick.blind.dropouts.map((d) => [d.lastGoodMs, d.firstLostMs, d.isOpen ? null : d.endMs, d.lostMs]), `seed ${seed}`).toEqual(blind.map((b) => [b.lastGoodMs, b.firstLostMs, b.firstGoodMs, b.lostMs]));
    expect([quick.blind.count, quick.blind.lostMs, quick.blind.shareMid], `seed ${seed}`).toEqual([totals.count, totals.lostMs, totals.shareMid]);
  }
  expect(dropouts).toBeGreaterThan(200);
  expect(blinds).toBeGreaterThan(20);
});
