import { describe, expect, it } from 'vitest';
import { burden } from '../../../../../core/cohort/burden.ts';
import { chooseCases } from '../../../../../core/cohort/choose-cases.ts';
import { cohortFlow } from '../../../../../core/cohort/flow.ts';
import { restorationTimes } from '../../../../../core/cohort/restoration-times.ts';
import { ALL_SENSORS, WHOLE_CASE } from '../../../../../core/model/cohort-burden.ts';
import { DEFAULT_COHORT_OPTIONS } from '../../../../../core/model/cohort-options.ts';
import type { CoverageFigure } from '../../../../../core/model/cohort-sites.ts';
import { chartCsv } from '../../../../../renderer/charts/chart-csv.ts';
import { burdenKey, burdenTable, casesBehind, intervalRows, monthPoints, monthsBetween, rowLabel } from '../../../../../renderer/panels/cohort/burden-charts.ts';
import { coverageSentence } from '../../../../../renderer/panels/cohort/coverage-part.tsx';
import { bracketsText, burdenSentence, placeText } from '../../../../../renderer/panels/cohort/cohort-words.ts';
import { beforeText } from '../../../../../renderer/panels/cohort/department-tab.tsx';
import { flowStages } from '../../../../../renderer/panels/cohort/flow-part.tsx';
import { casesOfGroup } from '../../../../../renderer/panels/cohort/group-cases.ts';
import { restorationSentence, survivalCurves } from '../../../../../renderer/panels/cohort/restoration-part.tsx';
import { sortedCases } from '../../../../../renderer/panels/cohort/worth-a-look.tsx';
import { cohortCase } from '../../../../builders/cohort-case.ts';

/* Three cases of an hour each: 60 s lost of 3 h at the finger, worked by hand. */
const CASES = [
  cohortCase('a', [{ losses: [[100, 140]] }], { date: '2031-01-05', attributes: { Room: '1' } }),
  cohortCase('b', [{ losses: [[200, 220]] }, { site: 'ear lobe' }], { date: '2031-03-05', attributes: { Room: '2' } }),
  cohortCase('c', [{}], { date: null, attributes: {} }),
];
const OPTIONS = { ...DEFAULT_COHORT_OPTIONS, groupBy: { kind: 'column', column: 'Room' } as const, draws: 200 };
const RESULT = burden(CASES, OPTIONS);
const rowOf = (place: string) => RESULT.rows.find((row) => row.scope === 'all' && row.place === place)!;

it('coverage says what the other site had, of how much, with the reason where there is no interval', () => {
  const figure: CoverageFigure = { lostKey: 'finger', otherKey: 'forehead', cases: 1, sharedMs: 9_000_000, lostMs: 1_200_000, coveredMs: 780_000, share: 0.65, interval: { method: null, lower: null, upper: null, n: 1, reason: 'one unit with a loss only' } };
  expect(coverageSentence(figure)).toBe('While the finger had no information, the forehead had it for 13 min of 20 min: 65.0 % (no interval: one unit with a loss only), 1 case.');
});

describe('burden in sentence, picture and table', () => {
  it('says count, cases, times and the share with its interval', () => {
    expect(burdenSentence(rowOf('finger').primary, { one: 'dropout', many: 'dropouts' })).toMatch(/^2 dropouts in 2 of 3 cases \(66\.7 %, [\d.]+ to [\d.]+ %\): 1 min of 3 h monitored, which is 0\.56 % \([\d.]+ to [\d.]+ %\) of the time, 0\.67\/h \([\d.]+ to [\d.]+\/h\)\.$/);
    expect(burdenSentence(rowOf('ear lobe').primary, { one: 'dropout', many: 'dropouts' })).toBe('No dropout in 1 case and 1 h monitored (share of cases with one: 0.0 to 97.5 %).');
  });

  it('names every kind of interval in brackets with its n, and what the recording leaves open of the share', () => {
    const figures = { ...rowOf('finger').primary, share: { low: 0.0037, mid: 0.0056, high: 0.0074 } };
    expect(bracketsText(figures, 0.95, 'case')).toBe(
      'In brackets: 95 % intervals, Clopper-Pearson (3 cases) and cluster-robust t (3 cases). The recording intervals leave the share open between 0.37 % and 0.74 %.',
    );
  });

  it('gives a row of the picture for each place, with the reason where there is no interval', () => {
    const rows = intervalRows(RESULT.rows.filter((row) => row.scope === 'all'), 'share', (row) => placeText(row.place), new Map());
    expect(rows.map((row) => row.label)).toEqual(['ear lobe', 'finger', 'all sensors together', 'no site informed']);
    expect(rows[0]).toMatchObject({ estimate: 0, lower: null, upper: null });
    expect(rows[0]!.figure).toContain('no interval: ');
    expect(rows[1]!.figure).toMatch(/^0\.56 % \(.*\), 3 cases$/);
  });

  it('has the numbers of both results in its table, unrounded', () => {
    const table = burdenTable(RESULT.rows.filter((row) => row.scope === 'all'), 'Place of the sensor', (row) => placeText(row.place), true);
    const [head, , finger] = chartCsv(table).split('\r\n').map((line) => line.split(','));
    const at = (name: string): string => finger![head!.indexOf(name)]!;
    expect([at('lost_mid_s'), at('monitored_s'), at('share'), at('dropouts'), at('doubtful_lost_dropouts')]).toEqual(['60', '10800', String(60 / 10_800), '2', '2']);
  });

  it('leads from a row to its cases, those with the most lost first', () => {
    expect(casesBehind(rowOf('finger'), RESULT.cases).map((one) => `${one.caseId}: ${one.figure}`)).toEqual(['a: 1 dropout, 40 s lost (1.1 %)', 'b: 1 dropout, 20 s lost (0.56 %)', 'c: no dropout']);
    expect(casesBehind(rowOf(ALL_SENSORS), RESULT.cases).map((one) => one.caseId).sort()).toEqual(['a', 'b', 'b', 'c']);
    const room = RESULT.rows.find((row) => row.scope === 'group' && row.value === '2' && row.place === WHOLE_CASE)!;
    expect([rowLabel(room, OPTIONS.groupBy), casesBehind(room, RESULT.cases).map((one) => one.caseId)]).toEqual(['2', ['b']]);
    const unstated = RESULT.rows.find((row) => row.scope === 'group' && row.value === '')!;
    expect(rowLabel(unstated, OPTIONS.groupBy)).toBe('not stated');
  });

  it('lays months out in order, one without cases among them and without a value, the undated left out', () => {
    const points = monthPoints(RESULT.rows.filter((row) => row.place === 'finger'), 'share');
    expect(points.map((point) => [point.label, point.value])).toEqual([['Jan 2031', 40 / 3600], ['Feb 2031', null], ['Mar 2031', 20 / 3600]]);
    expect(points[1]!.figure).toBe('no case');
    expect(points[2]!.key).toBe(burdenKey({ scope: 'month', value: '2031-03', place: 'finger' }));
    expect(monthsBetween('1999-11', '2000-02')).toEqual(['1999-11', '1999-12', '2000-01', '2000-02']);
    // A wrong year in one record is no reason to lay out a thousand years.
    expect(monthsBetween('1031-01', '2031-01')).toEqual(['1031-01', '2031-01']);
  });

  it('sorts cases worth a look, those without a loss last in either direction', () => {
    const rows = RESULT.cases.filter((row) => row.place === 'finger');
    expect(sortedCases(rows, 'longest', 'descending').map((row) => row.caseId)).toEqual(['a', 'b', 'c']);
    expect(sortedCases(rows, 'longest', 'ascending').map((row) => row.caseId)).toEqual(['b', 'a', 'c']);
  });

  it('sets the open case beside the others', () => {
    const blind = RESULT.cases.filter((row) => row.place === 'finger');
    const of = (caseId: string) => beforeText(caseId, blind.find((row) => row.caseId === caseId), blind);
    expect(of('b')).toBe('The longest time without information in b, which is open, was 20 s. 1 other case had one as long or longer: a.');
    expect(of('a')).toContain('No other case looked at had one as long.');
    expect(of('c')).toBe('In c, which is open, no time without information is long enough to count.');
    expect(of('z')).toBe('z, which is open, is not among the cases looked at.');
  });
});

it('the flow stands as stages with what was left out on the way to the next, and adds up', () => {
  const cases = [...CASES, cohortCase('d', [], { notUsable: 'no SpO2' })];
  const chosen = chooseCases(cases, { ...DEFAULT_COHORT_OPTIONS, choice: { ...DEFAULT_COHORT_OPTIONS.choice, facets: [{ facet: OPTIONS.groupBy, values: ['1'] }] } });
  const stages = flowStages(cohortFlow(chosen, [{ caseKey: 'k', caseId: 'e', reason: 'the file is damaged' }]));
  expect(stages.map(({ label, cases: count, leftOut }) => [label, count, leftOut.map((left) => `${left.reason} ${left.cases}`)])).toEqual([
    ['Asked for', 5, ['the file is damaged 1']], ['Readable', 4, ['no SpO2 1']], ['Usable', 3, ['Room not chosen 2']], ['Looked at', 1, []],
  ]);
  stages.slice(1).forEach((stage, i) => expect(stages[i]!.cases - stages[i]!.leftOut.reduce((sum, left) => sum + left.cases, 0)).toBe(stage.cases));
});

describe('times to restored information', () => {
  it('are said with what they rest on, and drawn from the curve of the chosen length', () => {
    const restoration = restorationTimes(CASES, { conf: 0.95, meanLimitS: 600, isMainOnly: false });
    const finger = restoration.groups.find((group) => group.kind === 'site' && group.of === 'finger')!;
    expect(restorationSentence(finger, restoration.limitMs)).toMatch(/^Finger: 2 of 2 dropouts in 2 cases came back at the same sensor; median time to information (20|30|40) s/);
    const [curve] = survivalCurves([finger], 'mid', new Map());
    expect(curve).toMatchObject({ label: 'finger', followedTo: 40_000 });
    expect(curve!.steps.at(-1)).toMatchObject({ at: 40_000, share: 0 });
    expect(casesOfGroup(finger, RESULT.cases).map((one) => one.caseId)).toEqual(['a', 'b']);
  });
});
