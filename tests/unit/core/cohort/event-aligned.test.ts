import { describe, expect, it } from 'vitest';
import { cohortEventAligned } from '../../../../core/cohort/event-aligned.ts';
import { eventAlignedSchema } from '../../../../core/model/cohort-aligned-schema.ts';
import type { AlignedValues, CohortCase } from '../../../../core/model/cohort-case.ts';
import { ALIGNED_GRID, ALIGNED_LAGS, ALIGNED_MISSING, ALIGNED_SCALE } from '../../../../core/model/cohort-case.ts';
import { cohortCase, cohortExposure } from '../../../builders/cohort-case.ts';
import { goldenCases } from '../../../reference/stats/golden-cases.ts';

const worked = (cases: readonly CohortCase[], options = { draws: 1000, seed: 5, conf: 0.95 }) => eventAlignedSchema.parse(cohortEventAligned(cases, options));
const laneOf = (lagS: number) => (lagS - ALIGNED_GRID.firstS) / ALIGNED_GRID.stepS;

/** A case with a bolus per list of values (`lagsS` after it), every `apartS` seconds. */
function around(caseId: string, quantity: AlignedValues['series'][number]['quantity'], lagsS: readonly number[], events: readonly (readonly (number | null)[])[], apartS = 1000, labels: readonly string[] = []): CohortCase {
  const exposures = events.map((_, i) => cohortExposure(200 + apartS * i, { label: labels[i] ?? 'phenylephrine' }));
  const values = new Uint16Array(events.length * ALIGNED_LAGS).fill(ALIGNED_MISSING);
  events.forEach((event, i) => event.forEach((value, l) => value !== null && (values[i * ALIGNED_LAGS + laneOf(lagsS[l]!)] = Math.round(value * ALIGNED_SCALE[quantity]))));
  const siteKey = quantity === 'mean-pressure' ? null : 'finger';
  return cohortCase(caseId, [{ monitored: [[0, 9000]] }], { exposures, aligned: { exposureIds: exposures.map(({ exposureId }) => exposureId), series: [{ quantity, siteKey }], values } });
}

describe('courses around boluses', () => {
  it('perfusion index: mean over events, then cases, with the band of cases drawn anew (numpy)', () => {
    const { data, params, expect: wanted } = goldenCases('d-windows.json').find(({ id }) => id === 'd-event-aligned-perfusion-index')!;
    const cases = data.cases.map((one: any) => around(`c${one.caseId}`, 'perfusion-index', data.lags, one.events));
    const result = worked([...cases].reverse(), { draws: params.B, seed: params.seed, conf: params.conf });
    const [course] = result.courses;
    expect(course!.bolusCases.reduce((sum, one) => sum + one.boluses, 0)).toBe(course!.boluses + course!.bolusesLeftOut);
    expect(course).toMatchObject({ quantity: 'perfusion-index', siteKey: 'finger', drug: null, scale: 'percent of baseline', boluses: wanted.eventsUsed, bolusesLeftOut: 1, units: wanted.casesUsed, band: 'cases drawn anew' });
    expect(course!.cautions).toEqual(['association is not cause', 'pointwise band', 'fewer than 10 units']);
    data.lags.forEach((lag: number, i: number) => {
      const l = laneOf(lag);
      expect(result.lagsS[l]).toBe(lag);
      expect(course!.unitsAtLag[l]).toBe(wanted.nCasesAtLag[i]);
      for (const name of ['mean', 'lower', 'upper'] as const) expect(course![name][l], `${name} at ${lag} s`).toBeCloseTo(wanted[name][i], 8);
    });
    // Lags without a value are not defined.
    expect([course!.mean[0], course!.lower[0], course!.unitsAtLag[0]]).toEqual([null, null, 0]);
  });

  it('of boluses closer than the span only the first counts', () => {
    const lags = [-60, 0, 60];
    const result = worked([around('a', 'spo2', lags, [[97, 97, 95], [90, 90, 90], [91, 91, 91]], 300), around('b', 'spo2', lags, [[98, 98, 97]])]);
    expect(result).toMatchObject({ boluses: 4, bolusesTooClose: 2 });
    expect(result.courses[0]).toMatchObject({ boluses: 2, units: 2, scale: 'difference' });
    expect(result.courses[0]!.mean[laneOf(60)]).toBeCloseTo(-1.5, 9);
  });

  it('cases of one patient are one unit; drugs are shown apart where there are several', () => {
    const lags = [-60, 0, 60];
    const one = (id: string, value: number, label: string) => ({ ...around(id, 'mean-pressure', lags, [[60, 60, value]], 1000, [label]), patientKey: id === 'c' ? 'q' : 'p' });
    const { courses } = worked([one('a', 80, 'ephedrine'), one('b', 70, 'phenylephrine'), one('c', 61, 'phenylephrine')]);
    expect(courses.map(({ drug, units, boluses, siteKey }) => ({ drug, units, boluses, siteKey }))).toEqual([
      { drug: null, units: 2, boluses: 3, siteKey: null },
      { drug: 'ephedrine', units: 1, boluses: 1, siteKey: null },
      { drug: 'phenylephrine', units: 2, boluses: 2, siteKey: null },
    ]);
    expect(courses[0]!.mean[laneOf(60)]).toBeCloseTo((15 + 1) / 2, 9);
    // One unit has no band.
    expect(courses[1]!.lower[laneOf(60)]).toBeNull();
  });

  it('with very many units the band is that of t, and close to the one of drawing', () => {
    const value = (i: number) => 90 + ((i * 37) % 101) / 20;
    const many = Array.from({ length: 201 }, (_, i) => around(`c${String(i).padStart(3, '0')}`, 'spo2', [-60, 60], [[95, value(i)]]));
    const [t] = worked(many).courses;
    const [drawn] = worked(many.slice(0, 200)).courses;
    expect([t!.band, drawn!.band]).toEqual(['t over cases', 'cases drawn anew']);
    const width = (course: typeof t) => course!.upper[laneOf(60)]! - course!.lower[laneOf(60)]!;
    expect(width(t) / width(drawn)).toBeGreaterThan(0.9);
    expect(width(t) / width(drawn)).toBeLessThan(1.1);
  });

  it('no bolus, no course', () => expect(worked([cohortCase('a', [{}])])).toMatchObject({ boluses: 0, courses: [] }));
});
