import { describe, expect, it } from 'vitest';
import { cohortCaseOf } from '../../../../core/cohort/cohort-case-of.ts';
import { lostWithin, spansOf } from '../../../../core/cohort/loss-within.ts';
import { studyCaseOf, studyUnits } from '../../../../core/cohort/study-units.ts';
import type { CohortDropout } from '../../../../core/model/cohort-case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { cohortExposure } from '../../../builders/cohort-case.ts';
import { buildTwoSensorCase } from '../../../builders/two-sensor-case.ts';

const studyCase = (caseId: string, finger: readonly [number, number], ear: readonly [number, number], patient = '') => {
  const record = { ...buildTwoSensorCase(caseId, finger, ear), attributes: { Patient: patient } };
  return studyCaseOf(cohortCaseOf(`key-${caseId}`, record, analyzeCase(record, DEFAULT_PARAMETERS, '1'), null), DEFAULT_PARAMETERS);
};
const asked = { design: 'paired', firstKey: 'ear lobe', secondKey: 'finger', patientColumn: null } as const;

/*
 * Worked by hand. An hour, a sample every 10 s; a run of n samples without a value is lost for 10 n s in the middle estimate
 * (statistics a: from midpoint to midpoint).
 */
describe('what a case gives to a study', () => {
  it('is lost and monitored time of each site, and of two over their common time', () => {
    // The ear begins 20 min late: its samples 0 to 119 have no value, so it is monitored from 1200 s on.
    const one = studyCase('a', [100, 140], [0, 120]);
    expect(one.sites).toEqual([
      { siteKey: 'finger', lostMs: 400_000, monitoredMs: 3_600_000, dropouts: 1 },
      { siteKey: 'ear lobe', lostMs: 0, monitoredMs: 2_400_000, dropouts: 0 },
    ]);
    // The finger is lost from 995 s to 1395 s: 195 s of it in the common time, and its onset before it.
    expect(one.pairs).toEqual([{ firstKey: 'finger', secondKey: 'ear lobe', first: { lostMs: 195_000, monitoredMs: 2_400_000, dropouts: 0 }, second: { lostMs: 0, monitoredMs: 2_400_000, dropouts: 0 } }]);
    expect(studyUnits([one], asked)).toEqual([{ unitId: one.unitId, first: one.pairs[0]!.second, second: one.pairs[0]!.first }]);
  });

  it('is the mid estimate in the common time too: bridged information is no loss', () => {
    const record = buildTwoSensorCase('a', [100, 140], [0, 120]);
    const whole = cohortCaseOf('key-a', record, analyzeCase(record, DEFAULT_PARAMETERS, '1'), null);
    // The loss from 995 s to 1395 s, of which 200 s are bridged: of the 195 s in the common time half is lost.
    const bridged = (lostMs: { low: number; mid: number; high: number }) => ({ ...lostMs, mid: 200_000 });
    const sites = whole.sites.map((site) => ({ ...site, any: { ...site.any, dropouts: site.any.dropouts.map((one) => ({ ...one, lostMs: bridged(one.lostMs) })) } }));
    expect(studyCaseOf({ ...whole, sites }, DEFAULT_PARAMETERS).pairs[0]!.first).toEqual({ lostMs: 97_500, monitoredMs: 2_400_000, dropouts: 0 });
  });

  it('is summed over the cases of one patient, where a column names it', () => {
    const cases = [studyCase('a', [100, 112], [200, 206], 'P1'), studyCase('b', [50, 59], [300, 304], 'P1'), studyCase('c', [10, 20], [30, 40])];
    expect(studyUnits(cases, asked).length).toBe(3);
    const units = studyUnits(cases, { ...asked, patientColumn: 'Patient' });
    expect(units.map(({ first, second }) => [first!.lostMs, second!.lostMs, second!.monitoredMs])).toEqual([[100_000, 100_000, 3_600_000], [100_000, 210_000, 7_200_000]]);
    const parallel = studyUnits(cases, { ...asked, design: 'parallel', secondKey: 'toe', patientColumn: 'Patient' });
    expect(parallel.every(({ second }) => second === null)).toBe(true);
  });

  it('leaves out sites and pairs with less than ten minutes in all the cases of a patient', () => {
    // The ear gives values in the last nine minutes only.
    const nine = (caseId: string, patient: string) => studyCase(caseId, [100, 112], [0, 306], patient);
    expect(studyUnits([nine('a', 'P1')], asked)).toEqual([]);
    expect(studyUnits([nine('a', 'P1')], { ...asked, design: 'parallel' }).map(({ first, second }) => [first, second!.monitoredMs])).toEqual([[null, 3_600_000]]);
    expect(studyUnits([nine('a', 'P1'), nine('b', 'P1')], { ...asked, patientColumn: 'Patient' }).map(({ first }) => first!.monitoredMs)).toEqual([2 * 540_000]);
  });

  it('takes bypass out of common time unless the parameters keep it', () => {
    const record = buildTwoSensorCase('a', [100, 140], [0, 120]);
    const whole = { ...cohortCaseOf('key-a', record, analyzeCase(record, DEFAULT_PARAMETERS, '1'), null), exposures: [cohortExposure(1800, { kind: 'bypass', label: 'bypass', endMs: 2_400_000, windowMs: null })] };
    expect(studyCaseOf(whole, { keepBypass: false }).pairs[0]!.first.monitoredMs).toBe(1_800_000);
    expect(studyCaseOf(whole, { keepBypass: true }).pairs[0]!.first.monitoredMs).toBe(2_400_000);
  });

  it('a record gap inside a loss is taken off once', () => {
    // 100 s from onset to end, 60 s of them a record gap: 40 s are lost, all of them in the stretches.
    const dropout = { lastGoodMs: -5_000, firstLostMs: 5_000, lastLostMs: 95_000, firstGoodMs: 105_000, censoredAtMs: null, lostMs: { low: 30_000, mid: 40_000, high: 50_000 } } as CohortDropout; // only what is read
    const monitored = spansOf([0, 20_000, 80_000, 1_000_000]);
    expect(lostWithin(dropout, monitored, monitored)).toBe(40_000);
    expect(lostWithin(dropout, spansOf([0, 20_000]), monitored)).toBe(20_000);
  });
});
