import type { AlignedCase } from '../metrics/event-aligned.ts';
import { eventAligned } from '../metrics/event-aligned.ts';
import type { AlignedCourse, AlignedScale, EventAlignedCourses } from '../model/cohort-aligned.ts';
import type { AlignedQuantity, CohortCase } from '../model/cohort-case.ts';
import { ALIGNED_GRID, ALIGNED_LAGS } from '../model/cohort-case.ts';
import type { CohortCaution } from '../model/cohort-caution.ts';
import { FEW_UNITS } from '../model/cohort-caution.ts';
import { alignedCourse } from './aligned-values.ts';
import { clusterOf, inCaseOrder } from './clusters.ts';

/** How courses around boluses are worked out. */
export interface EventAlignedOptions {
  readonly draws: number;
  readonly seed: number;
  readonly conf: number;
}

/** The minute before the bolus. Source: statistics d. */
const BASELINE_S: readonly [number, number] = [-60, 0];

/** The perfusion index differs between sensors by factors, so its change is relative; saturation and pressure have units that speak for themselves. */
const SCALES: Readonly<Record<AlignedQuantity, AlignedScale>> = { 'spo2': 'difference', 'perfusion-index': 'percent of baseline', 'mean-pressure': 'difference' };

/** A course around one bolus. */
interface BolusCourse {
  readonly unit: string;
  readonly caseKey: string;
  readonly quantity: AlignedQuantity;
  readonly siteKey: string | null;
  readonly drug: string;
  readonly values: Float64Array;
}

/**
 * Returns the mean course of perfusion index, SpO2 and mean arterial pressure around vasopressor boluses.
 * Shape   per quantity and sensor: after any vasopressor, then after each drug. Events of a unit (patient or case) are averaged
 *         first, then units, each weighing the same. Of boluses closer than the span of the lags only the first counts.
 * Units   lags in s; perfusion index in per cent of the minute before, SpO2 in points, pressure in mmHg from it.
 * Missing lost and missing values stay missing; a bolus without a value in the minute before is left out and counted.
 * Source  statistics d; docs/methods/event-aligned.md.
 */
export function cohortEventAligned(cases: readonly CohortCase[], { draws, seed, conf }: EventAlignedOptions): EventAlignedCourses {
  const lagsS = Array.from({ length: ALIGNED_LAGS }, (_, i) => ALIGNED_GRID.firstS + i * ALIGNED_GRID.stepS);
  const counts = { boluses: 0, bolusesTooClose: 0 };
  const byCourse = new Map<string, BolusCourse[]>();
  for (const one of [...cases].sort(inCaseOrder)) {
    const { kept, tooClose } = firstOfClusters(one);
    counts.boluses += kept.length + tooClose;
    counts.bolusesTooClose += tooClose;
    for (const course of kept.flatMap(({ at, drug }) => coursesOf(one, at, drug))) {
      const key = JSON.stringify([course.quantity, course.siteKey]);
      byCourse.set(key, byCourse.get(key) ?? []);
      byCourse.get(key)?.push(course);
    }
  }
  const order: readonly AlignedQuantity[] = ['perfusion-index', 'spo2', 'mean-pressure'];
  const courses = [...byCourse.values()]
    .sort(([a], [b]) => {
      if (a === undefined || b === undefined) return 0;
      return order.indexOf(a.quantity) - order.indexOf(b.quantity) || ((a.siteKey ?? '') < (b.siteKey ?? '') ? -1 : 1);
    })
    .flatMap((own) => {
      const drugs = [...new Set(own.map(({ drug }) => drug))].sort();
      return [null, ...(drugs.length > 1 ? drugs : [])].map((drug) => {
        const after = drug === null ? own : own.filter((course) => course.drug === drug);
        return averaged(after, drug, lagsS, { draws, seed, conf });
      });
    });
  return { lagsS, baselineS: BASELINE_S, conf, seed, draws, ...counts, courses, cautions: ['association is not cause', 'pointwise band'] };
}

/** Boluses with no other within the span of the lags before them. */
function firstOfClusters({ exposures, aligned }: CohortCase): { kept: { at: number; drug: string }[]; tooClose: number } {
  const known = new Map(exposures.map((exposure) => [exposure.exposureId, exposure]));
  const kept: { at: number; drug: string }[] = [];
  let before = -Infinity;
  let tooClose = 0;
  aligned.exposureIds.forEach((exposureId, at) => {
    const exposure = known.get(exposureId);
    if (exposure === undefined) return;
    if (exposure.atMs - before < ALIGNED_GRID.lastS * 1000) tooClose++;
    else kept.push({ at, drug: exposure.label });
    before = exposure.atMs;
  });
  return { kept, tooClose };
}

function coursesOf(one: CohortCase, bolus: number, drug: string): BolusCourse[] {
  const unit = clusterOf(one);
  return one.aligned.series.map(({ quantity, siteKey }, row) => ({ unit, caseKey: one.caseKey, quantity, siteKey, drug, values: Float64Array.from(alignedCourse(one.aligned, bolus, row), (value) => value ?? NaN) }));
}

function averaged(courses: readonly BolusCourse[], drug: string | null, lagsS: readonly number[], { draws, seed, conf }: EventAlignedOptions): AlignedCourse {
  const byUnit = new Map<string, Float64Array[]>();
  const byCase = new Map<string, number>();
  for (const { unit, caseKey, values } of courses) {
    byCase.set(caseKey, (byCase.get(caseKey) ?? 0) + 1);
    const known = byUnit.get(unit);
    if (known === undefined) byUnit.set(unit, [values]);
    else known.push(values);
  }
  const quantity = courses[0]?.quantity ?? 'spo2';
  const cases: AlignedCase[] = [...byUnit.values()].map((events) => ({ events }));
  const baseline = { fromMs: BASELINE_S[0] * 1000, toMs: BASELINE_S[1] * 1000 };
  const rule = { lagsMs: lagsS.map((s) => s * 1000), baseline, scale: SCALES[quantity], draws, seed, conf };
  const { eventsUsed: boluses, eventsLeftOut: bolusesLeftOut, casesUsed: units, casesAtLag: unitsAtLag, mean, lower, upper, band } = eventAligned(cases, rule);
  const cautions: CohortCaution[] = ['association is not cause', 'pointwise band'];
  if (units < FEW_UNITS) cautions.push('fewer than 10 units');
  const bolusCases = [...byCase].map(([caseKey, count]) => ({ caseKey, boluses: count }));
  return { quantity, siteKey: courses[0]?.siteKey ?? null, drug, scale: rule.scale, boluses, bolusesLeftOut, units, bolusCases, unitsAtLag, mean, lower, upper, band, cautions };
}
