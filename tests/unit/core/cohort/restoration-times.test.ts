import { describe, expect, it } from 'vitest';
import { DEFAULT_RESTORATION_OPTIONS, restorationTimes } from '../../../../core/cohort/restoration-times.ts';
import type { CohortCase, CohortDropout } from '../../../../core/model/cohort-case.ts';
import { restorationTimesSchema } from '../../../../core/model/cohort-restoration-schema.ts';
import { cohortCase, cohortDropout } from '../../../builders/cohort-case.ts';
import type { BuiltSensor } from '../../../builders/cohort-case.ts';
import { goldenCases } from '../../../reference/stats/golden-cases.ts';

const GOLDEN = goldenCases('b-survival.json');
const golden = (id: string) => GOLDEN.find((one) => one.id === id)!;
const OPTIONS = { ...DEFAULT_RESTORATION_OPTIONS, meanLimitS: 20 };
const worked = (cases: readonly CohortCase[], options = OPTIONS) => restorationTimesSchema.parse(restorationTimes(cases, options));
const groupOf = (result: ReturnType<typeof worked>, of: string) => result.groups.find((group) => group.of === of)!;
const midOf = (result: ReturnType<typeof worked>, of: string) => groupOf(result, of).curves.find(({ bound }) => bound === 'mid')!;

/** A loss of `length` seconds that came back, or one that was still going on when watching ended after that long. */
function sensor(site: BuiltSensor['site'], length: number, isRestored: boolean): BuiltSensor {
  return { ...(site === undefined ? {} : { site }), monitored: [[0, isRestored ? 3600 : 100 + length]], losses: [[100, isRestored ? 100 + length : null]] };
}

/** The remission times of Freireich 1963 as losses: a matched pair is a case, the treatments are its two sites. Weeks as seconds. */
function pairedCases(): CohortCase[] {
  const { data } = golden('b-logrank-6mp-paired-strata');
  const pairs = [...new Set<string>(data.stratum)];
  return pairs.map((pair) => {
    const sensors = data.time.flatMap((time: number, i: number) => (data.stratum[i] === pair ? [sensor(data.group[i] === '6-MP' ? 'ear lobe' : 'finger', time, data.event[i] === 1)] : []));
    return cohortCase(`pair ${pair}`, sensors);
  });
}

describe('time to restored information', () => {
  it('is the known curve of each site, and its log-rank test is stratified by case (R survival, Freireich 1963)', () => {
    const result = worked(pairedCases());
    const { expect: km } = golden('b-km-6mp');
    const mid = midOf(result, 'ear lobe');
    expect(mid.steps.map(({ atMs }) => atMs / 1000)).toEqual(km.times);
    mid.steps.forEach(({ share, atRisk, lower }, i) => {
      expect(share).toBeCloseTo(km.survival[i], 9);
      expect(atRisk).toBe(km.atRisk[i]);
      // One loss a case: errors within cases are those of Greenwood.
      expect(lower).toBeCloseTo(km.lower[i], 7);
    });
    expect(mid.median).toEqual({ estimateMs: 23_000, lowerMs: 13_000, upperMs: null });
    expect(mid.mean.estimateMs! / 1000).toBeCloseTo(golden('b-rmst-6mp').expect.rmst, 7);
    expect(mid.mean.lowerMs! / 1000).toBeCloseTo(golden('b-rmst-6mp').expect.lower, 7);
    const { expect: test } = golden('b-logrank-6mp-paired-strata');
    expect(result.sites!.chiSquare).toBeCloseTo(test.chisq, 7);
    expect(result.sites!.p).toBeCloseTo(test.p, 9);
    const [difference] = result.differences;
    expect([difference!.firstKey, difference!.secondKey, difference!.casesWithBoth]).toEqual(['ear lobe', 'finger', 21]);
    expect(difference!.pHolm).toBeCloseTo(test.p, 9);
    expect(difference!.mean.estimateMs! / 1000).toBeCloseTo(golden('b-rmst-difference').expect.difference, 7);
  });

  it('does not hang on the order of the cases, and says association on every result', () => {
    const cases = pairedCases();
    expect(worked([...cases].reverse())).toEqual(worked(cases));
    for (const { cautions } of [worked(cases), ...worked(cases).groups]) expect(cautions).toContain('association is not cause');
  });

  it('losses of one case, or of one stated patient, widen the interval', () => {
    const lengths = [20, 21, 22, 23, 24, 60, 61, 62, 63, 64];
    const alone = lengths.map((length, i) => cohortCase(`c${i}`, [sensor('finger', length, true)]));
    const together = alone.map((one, i) => ({ ...one, patientKey: i < 5 ? 'p' : 'q' }));
    const width = (cases: readonly CohortCase[]) => midOf(worked(cases), 'finger').steps.map(({ lower, upper }) => (upper ?? 0) - (lower ?? 0))[4]!;
    expect(width(together)).toBeGreaterThan(1.2 * width(alone));
    expect(groupOf(worked(alone), 'finger')).toMatchObject({ units: 10, cautions: ['association is not cause'] });
    expect(groupOf(worked(together), 'finger')).toMatchObject({ units: 2, cases: 10, cautions: ['association is not cause', 'fewer than 10 units'] });
  });

  it('between limits where the recording interval is coarse (npsurv): boxes instead of steps', () => {
    const { data, expect: wanted } = golden('b-turnbull-sampling-10s');
    const losses = data.left.map((left: number, i: number): CohortDropout => {
      const isRestored = data.right[i] !== 'Infinity';
      const high = isRestored ? data.right[i] : left + 10;
      return cohortDropout('finger', 100 * i, isRestored ? 100 * i + high : null, 100 * i + left, { lostMs: { low: left * 1000, mid: 500 * (left + high), high: high * 1000 } });
    });
    const plain = cohortCase('c', [{ intervalS: 10, losses: [[0, 10]] }]);
    const [site] = plain.sites;
    const one = { ...plain, sites: [{ ...site!, any: { ...site!.any, dropouts: losses } }] };
    const { between, resolutionMs, cautions } = groupOf(worked([one]), 'finger');
    expect(resolutionMs).toBe(10_000);
    expect(cautions).toContain('coarse sampling');
    expect(between!.boxes.map(({ fromMs, toMs }) => [fromMs / 1000, toMs! / 1000])).toEqual(wanted.left.map((left: number, i: number) => [left, wanted.right[i]]));
    between!.boxes.forEach(({ share }, i) => expect(share).toBeCloseTo(wanted.mass[i], 5));
    expect(between!.median).toEqual({ fromMs: 10_000, toMs: 20_000 });
    // At one second nothing is coarse.
    expect(groupOf(worked(pairedCases()), 'finger').between).toBeNull();
  });

  it('after what was done counts from the entry, and what had longer to be done says so', () => {
    const done = (startS: number, endS: number, atS: number): CohortDropout => cohortDropout('finger', startS, endS, 3600, { responses: [{ kind: 'sensor', atMs: atS * 1000 }, { kind: 'sensor', atMs: (atS + 1) * 1000 }] });
    const plain = cohortCase('c', [{ losses: [[0, 40]] }]);
    const [site] = plain.sites;
    const one = { ...plain, sites: [{ ...site!, any: { ...site!.any, dropouts: [done(100, 160, 140), done(300, 400, 350), cohortDropout('finger', 500, 530)] } }] };
    const result = worked([one]);
    expect(midOf(result, 'sensor').steps.map(({ atMs }) => atMs)).toEqual([20_000, 50_000]);
    const untouched = result.groups.find(({ kind }) => kind === 'nothing on record')!;
    expect([untouched.losses, untouched.curves[1]!.median.estimateMs]).toEqual([1, 30_000]);
    for (const group of [groupOf(result, 'sensor'), untouched]) expect(group.cautions).toContain('longer losses see more done');
    expect(groupOf(result, '').losses).toBe(3);
  });

  it('one unit says nothing of the spread between units: a curve and a mean without limits, and no test of a difference', () => {
    const cases = [cohortCase('a', [sensor('finger', 15, true), sensor('ear lobe', 40, true)]), cohortCase('b', [sensor('finger', 30, true)]), cohortCase('c', [sensor('finger', 50, true)])];
    const result = worked(cases);
    expect(midOf(result, 'ear lobe')).toMatchObject({ median: { estimateMs: 40_000, lowerMs: null, upperMs: null }, mean: { estimateMs: 20_000, lowerMs: null, upperMs: null, reason: 'one unit' } });
    expect(midOf(result, 'finger').mean).toMatchObject({ reason: null });
    expect(result.differences[0]).toMatchObject({ firstUnits: 1, secondUnits: 3, mean: { lowerMs: null, p: null, reason: 'one unit' }, cautions: ['association is not cause', 'fewer than 10 units'] });
    const [dropout] = cases[0]!.sites[0]!.any.dropouts;
    const twice = { ...cases[0]!, sites: [{ ...cases[0]!.sites[0]!, any: { ...cases[0]!.sites[0]!.any, dropouts: [dropout!, { ...dropout!, lostMs: { low: 40_000, mid: 40_000, high: 40_000 } }] } }] };
    expect(midOf(worked([twice]), 'finger').steps.map(({ share, lower, upper }) => ({ share, lower, upper }))).toEqual([{ share: 0.5, lower: null, upper: null }, { share: 0, lower: null, upper: null }]);
  });

  it('the main curves alone are the same', () => {
    const cases = pairedCases();
    const [all, main] = [worked(cases), worked(cases, { ...OPTIONS, isMainOnly: true })];
    expect(main.groups.map(({ of }) => of)).toEqual(['', 'ear lobe', 'finger']);
    for (const { of } of main.groups) expect(groupOf(main, of).curves).toEqual([midOf(all, of)]);
    expect(main).toMatchObject({ sites: null, differences: [] });
  });

  it('what is not reached is null with its reason, and no case gives no group', () => {
    const never = worked([cohortCase('c', [sensor('finger', 15, false)])]);
    expect(midOf(never, 'finger')).toMatchObject({ median: { estimateMs: null, lowerMs: null, upperMs: null }, mean: { estimateMs: null, reason: 'curve ends before the limit' }, steps: [], lastMs: 15_000 });
    expect(worked([])).toMatchObject({ groups: [], sites: null, differences: [] });
    expect(worked([cohortCase('c', [])]).groups).toEqual([]);
  });

  it('a curve of very many steps is thinned to what a picture shows; its figures are not', () => {
    const cases = Array.from({ length: 900 }, (_, i) => cohortCase(`c${i}`, [sensor('finger', 10 + i, true)]));
    const mid = midOf(worked(cases), 'finger');
    expect(mid.steps.length).toBeLessThanOrEqual(401);
    expect(mid.steps.at(-1)).toMatchObject({ atMs: 909_000, share: 0 });
    expect(mid.median.estimateMs).toBe(459_500);
  });
});
