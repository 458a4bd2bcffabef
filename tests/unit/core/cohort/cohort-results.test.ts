import { expect, test } from 'vitest';
import { mainExport } from '../../../../core/cohort/main-export.ts';
import { cohortRobustness, definitionsOf } from '../../../../core/cohort/cohort-robustness.ts';
import { cohortCaseOf } from '../../../../core/cohort/cohort-case-of.ts';
import type { CohortCase } from '../../../../core/model/cohort-case.ts';
import { cohortResultsSchema } from '../../../../core/model/cohort-results-schema.ts';
import { cohortOptionsSchema } from '../../../../core/model/cohort-options-schema.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../core/model/cohort-options.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import type { Site } from '../../../../core/model/site.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { cohortFileNames, cohortFiles } from '../../../../core/report/cohort-files.ts';
import { seededRandom } from '../../../simulator/random.ts';
import { makeTrueCase } from '../../../simulator/true-case.ts';
import { recordOf } from '../../../simulator/true-record.ts';
import { cohortCase } from '../../../builders/cohort-case.ts';
import { cohortResultsOf } from '../../../builders/cohort-results.ts';

const SITES: readonly (readonly Site[])[] = [['finger'], ['finger', 'ear lobe']];
const OPTIONS = { ...DEFAULT_COHORT_OPTIONS, draws: 100, groupBy: { kind: 'column', column: 'room' } as const, change: { date: '2032-01-01', text: 'ear clips in every room' } };
const MAKING = { digestOf: (text: string) => String(text.length), isPersonColumn: (column: string) => column === 'surgeon' };

/** Thirty simulated cases over fifteen months and three rooms. */
const CASES: readonly CohortCase[] = Array.from({ length: 30 }, (_, i) => {
  const random = seededRandom(700 + i);
  const record = recordOf(random, makeTrueCase(random, `case ${String(i).padStart(2, '0')}`, { sites: SITES, intervalChange: false, rowsMayBeAbsent: false }), null);
  const month = i % 15;
  const date = `${2031 + Math.floor(month / 12)}-${String((month % 12) + 1).padStart(2, '0')}-10`;
  return { ...cohortCaseOf(`key ${i}`, record, analyzeCase(record, DEFAULT_PARAMETERS, 'test'), null), date, startedAtMs: Date.parse(date), attributes: { room: String(i % 3), surgeon: 'X' } };
});

async function textsOf(cases: readonly CohortCase[], seed = OPTIONS.seed): Promise<Record<string, string>> {
  const main = mainExport(cases, [{ caseKey: 'z', caseId: 'lost', reason: 'The worker was lost.' }], { ...OPTIONS, seed }, DEFAULT_PARAMETERS, '1.2.3', MAKING);
  const run = { ...main, results: { ...main.results, robustness: cohortRobustness(cases, OPTIONS, DEFAULT_PARAMETERS, () => undefined) } };
  const settings = { productVersion: '1.2.3', parameters: DEFAULT_PARAMETERS, zone: null, mapping: null, keepIdentifiers: false, pseudonyms: 'key from the input', relativeTime: false, written: cohortFileNames({ withCaseList: false }), cohort: run.results.options } as const;
  const texts: Record<string, string> = {};
  for (const { name, text } of cohortFiles({ run, settings, files: [], rejectedRows: [], unanalyzed: [], caseList: null })) {
    texts[name] = '';
    for await (const piece of text) texts[name] += piece;
  }
  return texts;
}

test('the same cases and seed give the same bytes in any order, and another seed moves only what is drawn', async () => {
  const cases = CASES;
  const texts = await textsOf(cases);
  const random = seededRandom(3);
  const shuffled = cases.map((one) => ({ one, at: random.next() })).sort((a, b) => a.at - b.at).map(({ one }) => one);
  expect(shuffled).not.toEqual(cases);
  expect(await textsOf(shuffled)).toEqual(texts);
  const other = await textsOf(cases, 5);
  const burdenOf = (text: string) => text.split('\r\n').map((line) => line.split(',').slice(0, 20).join(','));
  expect(burdenOf(other['cohort-burden.csv']!)).toEqual(burdenOf(texts['cohort-burden.csv']!));
  expect(other['cohort-burden.csv']).not.toEqual(texts['cohort-burden.csv']);
  expect(other['cohort-before-loss.csv']).toEqual(texts['cohort-before-loss.csv']);
});

test('every table is written and described, its rows as wide as its headings; methods.md states the run', async () => {
  const texts = await textsOf(CASES);
  expect(Object.keys(texts).sort()).toEqual(cohortFileNames({ withCaseList: false }).sort());
  const dictionary = texts['cohort-dictionary.md']!;
  for (const [name, text] of Object.entries(texts)) {
    if (!name.endsWith('.csv')) continue;
    const headings = text.slice(0, text.indexOf('\r\n')).split(',');
    expect(new Set(headings).size, name).toBe(headings.length);
    const section = dictionary.slice(dictionary.indexOf(`## ${name}`));
    for (const heading of headings) expect(section.slice(0, section.indexOf('\n## ', 4)), `${name} ${heading}`).toContain(`| \`${heading}\` |`);
    // A table with draws or limits names its method, its n and its set of definitions.
    if (name.startsWith('cohort-')) expect(headings.at(-1), name).toBe('parameter_set');
    if (headings.some((heading) => heading.endsWith('_from'))) expect(headings.some((heading) => heading.endsWith('method')), name).toBe(true);
    expect(text, name).not.toMatch(/NaN|Infinity|undefined|\[object/);
  }
  expect(texts['cohort-funnel.csv']!.split('\r\n').slice(1, 4).map((line) => line.split(',').slice(0, 2))).toEqual([['0', '10'], ['1', '10'], ['2', '10']]);
  expect(texts['cohort-change.csv']).toContain('ear clips in every room');
  // The ratio per doubling is of no band: its times are not 0 but not told apart.
  const [doseHead = [], ...doses] = texts['cohort-dose.csv']!.trimEnd().split('\r\n').map((line) => line.split(','));
  const doubling = doses.filter((cells) => cells[doseHead.indexOf('dose_from')] === '');
  expect(doubling.length).toBeGreaterThan(0);
  for (const cells of doubling) expect(['cases', 'risk_s', 'control_s', 'control_onsets'].map((name) => cells[doseHead.indexOf(name)])).toEqual(['', '', '', '']);
  const methods = texts['methods.md']!;
  for (const words of ['imported: 31 cases', '1 The worker was lost.', 'analysed: 30 cases', 'seed 20260101, 100 draws', 'the column “room”', 'from 2031-01 to 2032-03; 0 analysed cases have no date', 'Welch', '| 1.3, 12.3 |', '2032-01-01: ear clips in every room', 'Kept from a mid estimate of 30 s on', 'Lacuna 1.2.3', 'Mantel–Haenszel', 'association']) expect(methods.toLowerCase(), words).toContain(words.toLowerCase());
  expect(JSON.parse(texts['parameters.json']!)).toMatchObject({ cohort: { seed: 20_260_101, draws: 100, groupBy: { kind: 'column', column: 'room' } } });
});

test('results pass their schema, and offer every column but those of persons', () => {
  const cases = CASES;
  const main = mainExport(cases, [], OPTIONS, DEFAULT_PARAMETERS, '1.2.3', MAKING).results;
  const results = { ...main, robustness: cohortRobustness(cases.slice(0, 5), OPTIONS, DEFAULT_PARAMETERS, () => undefined) };
  expect(cohortResultsSchema.parse(JSON.parse(JSON.stringify(results)))).toEqual(results);
  expect(results.facets.flatMap(({ facet }) => (facet.kind === 'column' ? [facet.column] : []))).toEqual(['room']);
  expect(cohortOptionsSchema.safeParse({ ...OPTIONS, choice: { ...OPTIONS.choice, from: '31.12.2031' } }).success).toBe(false);
});

test('an empty cohort has results without a figure', () => {
  const results = cohortResultsOf([cohortCase('a', [])]);
  expect(results.flow.steps.map(({ cases }) => cases)).toEqual([1, 1, 0, 0]);
  expect([results.burden.rows, results.sites.pairs, results.beforeLoss.rates, results.aligned.courses]).toEqual([[], [], [], []]);
  expect(cohortResultsSchema.parse(JSON.parse(JSON.stringify(results)))).toEqual(results);
});

test('under other definitions one thing moves at a time, and the own definition gives the main results', () => {
  const definitions = definitionsOf(DEFAULT_PARAMETERS);
  const own = definitions[0]!.definition;
  for (const { moved, definition } of definitions) expect(Object.entries(definition).filter(([name, value]) => value !== own[name as keyof typeof own]).map(([name]) => name)).toEqual(moved === null ? [] : [moved]);
  const results = cohortResultsOf(CASES);
  const finger = (of: string, result: string) => results.robustness.map(({ figures }) => figures.find((figure) => figure.result === result && figure.of === of)!);
  const shares = finger('finger', 'share lost');
  const main = results.burden.rows.find(({ scope, place }) => scope === 'all' && place === 'finger')!.primary;
  expect([shares[0]!.estimate, shares[0]!.lower, shares[0]!.upper, shares[0]!.n]).toEqual([main.share!.mid, main.shareInterval.lower, main.shareInterval.upper, main.dropouts]);
  // The longer a dropout must be, the fewer there are and the less time they make.
  const byDuration = results.robustness.map((point, i) => ({ s: point.moved === 'minDurationS' ? point.definition.minDurationS : point.moved === null ? 30 : null, n: shares[i]!.n, share: shares[i]!.estimate })).filter(({ s }) => s !== null).sort((a, b) => a.s! - b.s!);
  byDuration.slice(1).forEach(({ n, share }, i) => expect([n <= byDuration[i]!.n, share! <= byDuration[i]!.share!]).toEqual([true, true]));
  const mean = results.restoration.groups.find(({ kind, of }) => kind === 'site' && of === 'finger')!.curves.find(({ bound }) => bound === 'mid')!.mean;
  expect(finger('finger', 'mean time to restored information')[0]!.estimate).toBe(mean.estimateMs);
  const difference = results.sites.pairs.find(({ outcome }) => outcome === 'share lost')!;
  expect(finger('finger − ear lobe', 'difference of shares within patients')[0]).toMatchObject({ estimate: difference.difference, lower: difference.differenceLower, n: difference.units });
  const ratio = results.beforeLoss.rates.find(({ kind, label, siteKey }) => kind === 'vasopressor bolus' && label === null && siteKey === null)!;
  expect(finger('vasopressor bolus', 'rate ratio after an exposure')[0]).toMatchObject({ estimate: ratio.figure.ratio, n: ratio.riskOnsets });
});
