/*
 * The simulator's cases given to the analysis alone, as a faultless import would hand them over; and the simulator's own judge
 * tried on results that are wrong on purpose. docs/testing.md says what is demanded.
 */
import { expect, test } from 'vitest';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import type { CaseAnalysis, Dropout } from '../../core/model/analysis.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { Site } from '../../core/model/site.ts';
import { complaints } from '../simulator/oracle.ts';
import { seededRandom } from '../simulator/random.ts';
import { makeTrueCase, type TrueCase } from '../simulator/true-case.ts';
import { recordOf, type LostAs } from '../simulator/true-record.ts';

const SEEDS = Number(process.env.LACUNA_SIMULATOR_SEEDS ?? 600);
const FIRST = Number(process.env.LACUNA_SIMULATOR_FIRST ?? 1);
const SITES: readonly (readonly Site[])[] = [['finger'], ['toe'], ['unstated'], ['finger', 'ear lobe'], ['finger', 'nasal ala']];

function analyzed(seed: number): { truth: TrueCase; analysis: CaseAnalysis; lostAs: LostAs } {
  const random = seededRandom(seed);
  const lostAs = random.pick<LostAs>([null, '---', 'no row']);
  const truth = makeTrueCase(random, `seed ${seed}`, { sites: SITES, intervalChange: lostAs !== 'no row', rowsMayBeAbsent: lostAs === 'no row' });
  return { truth, analysis: analyzeCase(recordOf(random, truth, lostAs), DEFAULT_PARAMETERS, 'test'), lostAs };
}

test(`every dropout that the rows can show is found, its true length inside its bounds, none invented (${SEEDS} seeds)`, () => {
  const failures: string[] = [];
  for (let seed = FIRST; seed < FIRST + SEEDS; seed++) {
    const { truth, analysis, lostAs } = analyzed(seed);
    const wrong = complaints(truth, analysis);
    if (wrong.length > 0) failures.push(`seed ${seed}, lost as ${lostAs ?? 'empty cell'}, ${truth.rowMs.length} rows\n    ${wrong.slice(0, 6).join('\n    ')}`);
  }
  expect(failures.join('\n'), `${failures.length} of ${SEEDS} seeds`).toBe('');
}, 600_000);

const TAMPERINGS: Readonly<Record<string, (d: Dropout) => Dropout | null>> = {
  'a dropout left out': () => null,
  'an onset one row early': (d) => ({ ...d, lastGoodMs: d.lastGoodMs - (d.firstLostMs - d.lastGoodMs), firstLostMs: d.lastGoodMs }),
  'an end in the wrong place': (d) => ({ ...d, firstGoodMs: (d.firstGoodMs ?? 0) + 60_000, lastLostMs: (d.lastLostMs ?? 0) + 60_000 }),
  'bounds that are too narrow': (d) => ({ ...d, lostMs: { low: d.lostMs.high + 5, mid: d.lostMs.high + 5, high: d.lostMs.high + 5 } }),
  'a dropout invented': (d) => ({ ...d, lastGoodMs: d.lastGoodMs + 1e9, firstLostMs: d.firstLostMs + 1e9, lastLostMs: (d.lastLostMs ?? 0) + 1e9, firstGoodMs: (d.firstGoodMs ?? 0) + 1e9 }),
};

test.each(Object.keys(TAMPERINGS))('the judge notices %s', (name) => {
  let noticed = 0;
  let tried = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const { truth, analysis } = analyzed(seed);
    const [site, ...others] = analysis.sites;
    const [dropout, ...rest] = site?.dropouts ?? [];
    if (site === undefined || dropout === undefined || dropout.restoredBy !== 'same site' || complaints(truth, analysis).length > 0) continue;
    const changed = TAMPERINGS[name]?.(dropout);
    const dropouts = changed === null || changed === undefined ? rest : [changed, ...rest];
    tried++;
    if (complaints(truth, { ...analysis, sites: [{ ...site, dropouts }, ...others] }).length > 0) noticed++;
  }
  expect(tried).toBeGreaterThan(20);
  expect(noticed).toBe(tried);
});

test('the judge notices a link that is missing', () => {
  let tried = 0;
  for (let seed = 1; seed <= 200; seed++) {
    const { truth, analysis } = analyzed(seed);
    const [site, ...others] = analysis.sites;
    const dropout = site?.dropouts.find((d) => d.links.length === 1 && d.links[0]?.certainty === 'certain');
    if (site === undefined || dropout === undefined || complaints(truth, analysis).length > 0) continue;
    tried++;
    const dropouts = site.dropouts.map((d) => (d === dropout ? { ...d, links: [] } : d));
    expect(complaints(truth, { ...analysis, sites: [{ ...site, dropouts }, ...others] }).join()).toContain('found none');
  }
  expect(tried).toBeGreaterThan(10);
});
