import type { Interval } from '../base/interval.ts';
import { difference, intersection, union } from '../base/interval.ts';
import type { WindowTally } from '../metrics/risk-windows.ts';
import type { DoseResponse } from '../model/cohort-before-loss.ts';
import { DOSE_MINIMA } from '../model/cohort-before-loss.ts';
import type { CohortExposure } from '../model/cohort-case.ts';
import { conditionalPoisson } from '../stats/conditional-poisson.ts';
import type { PoissonRow } from '../stats/conditional-poisson.ts';
import { normalTwoSided } from '../stats/normal.ts';
import { median, quantile } from '../stats/quantile.ts';
import type { RateStratum } from '../stats/rate-ratio.ts';
import { rateFigures, ratioFigure } from './rate-figures.ts';
import { partsBeside, stratumOf, tallyOver } from './rate-view.ts';
import type { RateExposure, RateSensor } from './rate-view.ts';

/** A case as a dose response needs it. */
export interface DoseCase {
  readonly sensors: readonly RateSensor[];
  /** Boluses of the drug, and of all other vasopressors. */
  readonly own: readonly RateExposure[];
  readonly others: readonly RateExposure[];
}

/** Doses are told apart in so many bands. */
const BANDS = 3;

/**
 * Returns the loss after larger and smaller doses of one drug, within cases.
 * Shape   where windows overlap, the latest bolus counts. The ratio per doubling comes from the conditional model with the
 *         exposure and log2 of the dose; the bands are each held against the same control time.
 * Missing too few onsets, cases or doses: no ratio per doubling and no bands, with the reason; the minima are `DOSE_MINIMA`.
 *         Boluses without a number, or in another unit than most, take no part: their windows are neither at risk nor control.
 * Source  statistics d; Whitaker et al., Stat Med 2006;25:1768; docs/methods/rates-after-exposures.md.
 */
export function doseResponse(cases: readonly DoseCase[], conf: number): DoseResponse | null {
  const unit = commonUnit(cases);
  if (unit === null) return null;
  const withDose = cases.flatMap((one) => {
    const own = one.own.flatMap((bolus) => (isUsed(bolus.exposure, unit) ? [{ ...bolus, dose: bolus.exposure.dose }] : []));
    const unused = one.own.filter(({ exposure }) => !isUsed(exposure, unit));
    return own.length === 0 ? [] : [{ sensors: one.sensors, own, others: [...one.others, ...unused], unused }];
  });
  const doses = withDose.flatMap(({ own }) => own.map(({ dose }) => dose));
  const tallies = withDose.map(dosesOfCase).filter(({ control }) => control.controlMs > 0);
  const onsetsOf = (byDose: ReadonlyMap<number, WindowTally>) => [...byDose.values()].reduce((sum, { riskOnsets }) => sum + riskOnsets, 0);
  const onsets = tallies.reduce((sum, { byDose }) => sum + onsetsOf(byDose), 0);
  const casesWithOnset = tallies.filter(({ byDose }) => onsetsOf(byDose) > 0).length;
  const distinct = [...new Set(doses)].sort((a, b) => a - b);
  const plain = { unit, boluses: doses.length, bolusesNotUsed: cases.reduce((sum, { own }) => sum + own.length, 0) - doses.length, onsets, casesWithOnset };
  const reason = shortOf(onsets, casesWithOnset, distinct.length);
  if (reason !== null) return { ...plain, bands: [], perDoubling: null, reason };

  const middle = median(doses) ?? 1;
  const rows = tallies.flatMap(({ byDose, control }, i): PoissonRow[] => [
    { stratum: String(i), time: control.controlMs, covariates: [0, 0], events: control.controlOnsets },
    ...[...byDose].map(([dose, { riskMs, riskOnsets }]) => ({ stratum: String(i), time: riskMs, covariates: [1, Math.log2(dose / middle)], events: riskOnsets })),
  ]);
  const effect = conditionalPoisson(rows, conf).effects?.[1];
  return {
    ...plain,
    bands: bandsOf(doses, distinct).map(({ from, to }) => {
      const strata = tallies.map(({ byDose, control }): RateStratum => {
        const sum = { riskEvents: 0, riskTime: 0 };
        for (const [dose, { riskMs, riskOnsets }] of byDose) {
          if (dose < from || dose > to) continue;
          sum.riskEvents += riskOnsets;
          sum.riskTime += riskMs;
        }
        return { ...stratumOf(control), ...sum };
      });
      const { counts, figure } = rateFigures(strata, conf);
      return { ...counts, from, to, boluses: doses.filter((dose) => dose >= from && dose <= to).length, figure };
    }),
    perDoubling:
      effect === undefined
        ? ratioFigure('conditional', { rateRatio: null, lower: null, upper: null, reason: 'no finite estimate' }, null)
        : ratioFigure('conditional', { ...effect, reason: null }, normalTwoSided(effect.logRatio / effect.seLog)),
    reason: null,
  };
}

function isUsed(exposure: CohortExposure, unit: string): exposure is CohortExposure & { readonly dose: number } {
  return exposure.dose !== null && exposure.dose > 0 && exposure.unit === unit;
}

/** The unit of most boluses with a dose (of two equally frequent the first by name); null for no dose at all. */
function commonUnit(cases: readonly DoseCase[]): string | null {
  const counts = new Map<string, number>();
  for (const { own } of cases) for (const { exposure } of own) if (exposure.dose !== null && exposure.dose > 0) counts.set(exposure.unit, (counts.get(exposure.unit) ?? 0) + 1);
  return [...counts].sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1))[0]?.[0] ?? null;
}

/** A case whose boluses all have a dose in the unit. */
interface CaseWithDoses extends DoseCase {
  readonly own: readonly (RateExposure & { readonly dose: number })[];
  /** Boluses of the drug without a dose in the unit. */
  readonly unused: readonly RateExposure[];
}

/** Which minimum is missed; null for none. */
function shortOf(onsets: number, casesWithOnset: number, doses: number): DoseResponse['reason'] {
  if (onsets < DOSE_MINIMA.onsets) return 'too few onsets';
  if (casesWithOnset < DOSE_MINIMA.casesWithOnset) return 'too few cases with an onset';
  return doses < DOSE_MINIMA.doses ? 'one dose only' : null;
}

/** Time and onsets of one case after each dose, and outside all windows. */
function dosesOfCase({ sensors, own, others, unused }: CaseWithDoses): { byDose: Map<number, WindowTally>; control: WindowTally } {
  const sorted = [...own].sort((a, b) => a.atMs - b.atMs);
  const inForce = new Map<number, Interval[]>();
  sorted.forEach(({ atMs, rule, dose }, i) => {
    const next = sorted[i + 1];
    const startMs = atMs + rule.fromMs;
    const endMs = Math.min(atMs + rule.toMs, next === undefined ? Infinity : next.atMs + next.rule.fromMs);
    if (endMs > startMs) inForce.set(dose, [...(inForce.get(dose) ?? []), { startMs, endMs }]);
  });
  const losses = ({ onsets }: RateSensor) => onsets;
  // After these the dose is not known, whatever else was given just before.
  const unknown = union(unused.map(({ atMs, rule }) => ({ startMs: atMs + rule.fromMs, endMs: atMs + rule.toMs })));
  const byDose = new Map<number, WindowTally>();
  for (const [dose, windows] of inForce) {
    const tally = tallyOver(sensors, ({ spans }) => ({ risk: difference(intersection(spans, windows), unknown), pre: [], control: [] }), losses);
    if (tally.riskMs > 0) byDose.set(dose, tally);
  }
  return { byDose, control: tallyOver(sensors, ({ spans }) => ({ ...partsBeside(spans, own, others), risk: [], pre: [] }), losses) };
}

/** Each dose by itself where there are few, else thirds of the boluses. */
function bandsOf(doses: readonly number[], distinct: readonly number[]): { from: number; to: number }[] {
  if (distinct.length <= BANDS) return distinct.map((dose) => ({ from: dose, to: dose }));
  const edges = Array.from({ length: BANDS }, (_, i) => (i === BANDS - 1 ? Infinity : (quantile(doses, (i + 1) / BANDS) ?? NaN)));
  return edges.flatMap((edge, i) => {
    const within = distinct.filter((dose) => dose <= edge && (i === 0 || dose > (edges[i - 1] ?? NaN)));
    const from = within[0];
    const to = within[within.length - 1];
    return from === undefined || to === undefined ? [] : [{ from, to }];
  });
}
