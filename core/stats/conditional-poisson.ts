import { normalHalfWidth } from './normal.ts';
import { countStrata, ratioWithoutEvents, strataWithBothTimes } from './rate-ratio.ts';
import type { RateRatio, RateRatioReason, RateStratum, StrataCounts } from './rate-ratio.ts';

/** A stretch of time of one stratum in which the covariates do not change. */
export interface PoissonRow {
  readonly stratum: string;
  readonly time: number;
  readonly covariates: readonly number[];
  readonly events: number;
}

/** The effect of one covariate on the rate: per step of 1, other covariates kept. */
export interface PoissonEffect {
  readonly logRatio: number;
  readonly seLog: number;
  readonly rateRatio: number;
  readonly lower: number;
  readonly upper: number;
}

/** Effects in the order of the covariates, null with the reason where they have no finite estimate. */
export interface ConditionalPoisson {
  readonly effects: readonly PoissonEffect[] | null;
  readonly strataInformative: number;
  readonly reason: Extract<RateRatioReason, 'no event' | 'no finite estimate'> | null;
}

/** Steps of Newton's method; it needs a handful where there is an estimate. */
const MOST_STEPS = 100;
const CONVERGED = 1e-12;
/** A log ratio moves by no more than this in one step. */
const LONGEST_STEP = 2;
/** A log ratio beyond is on its way to infinity. */
const LARGEST_LOG = 25;
/** A pivot below this share of its diagonal: covariates that the strata cannot tell apart. */
const SINGULAR = 1e-10;

/**
 * Returns the effects of covariates on a rate within strata: the conditional likelihood given each stratum's number of events.
 * Shape   rows in any order; time in any one unit; every row has the same number of covariates. Rows without time say nothing.
 * Missing no event, or an estimate that runs away or is not determined: null with the reason.
 * Source  Farrington, Biometrics 1995;51:228; Whitaker et al., Stat Med 2006;25:1768 (self-controlled case series). The same
 *         as a Poisson model with one intercept per stratum and offset log time.
 */
export function conditionalPoisson(rows: readonly PoissonRow[], conf: number): ConditionalPoisson {
  const strata = informative(rows);
  const nothing = (reason: 'no event' | 'no finite estimate'): ConditionalPoisson => ({ effects: null, strataInformative: strata.length, reason });
  if (strata.length === 0) return nothing('no event');
  const size = strata[0]?.[0]?.covariates.length ?? 0;
  let at = new Float64Array(size);
  let here = likelihood(strata, at);
  for (let count = 0; count < MOST_STEPS; count++) {
    const step = solve(here.information, here.score);
    if (step === null) return nothing('no finite estimate');
    // Far from the top the curvature is small and a step aims far beyond it: no step is longer than this. The likelihood is
    // concave: where a whole step still overshoots, a part of it does not.
    const longest = step.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    let next = at;
    let there = here;
    for (let part = Math.min(1, LONGEST_STEP / longest); part > 1e-6; part /= 2) {
      next = at.map((value, i) => value + part * (step[i] ?? NaN));
      there = likelihood(strata, next);
      if (there.value >= here.value - 1e-12 * Math.abs(here.value)) break;
    }
    const moved = next.reduce((most, value, i) => Math.max(most, Math.abs(value - (at[i] ?? NaN))), 0);
    at = next;
    here = there;
    if (at.some((value) => !(Math.abs(value) < LARGEST_LOG))) return nothing('no finite estimate');
    if (moved < CONVERGED) break;
    if (count === MOST_STEPS - 1 && moved > 1e-8) return nothing('no finite estimate');
  }
  const z = normalHalfWidth(conf);
  const effects: PoissonEffect[] = [];
  for (let i = 0; i < size; i++) {
    const column = solve(here.information, Float64Array.from({ length: size }, (_, j) => (i === j ? 1 : 0)));
    const logRatio = at[i] ?? NaN;
    const seLog = Math.sqrt(column?.[i] ?? NaN);
    if (!Number.isFinite(seLog)) return nothing('no finite estimate');
    effects.push({ logRatio, seLog, rateRatio: Math.exp(logRatio), lower: Math.exp(logRatio - z * seLog), upper: Math.exp(logRatio + z * seLog) });
  }
  return { effects, strataInformative: strata.length, reason: null };
}

/**
 * Returns the conditional ratio of the rate at risk to the rate in control time, over strata.
 * Shape   strata without time on one side are left out.
 * Missing as `mantelHaenszelRate`. Both estimate the same; they are equal when the two times have one proportion in all strata.
 */
export function conditionalRatio(strata: readonly RateStratum[], conf: number): RateRatio & StrataCounts {
  const counts = countStrata(strata);
  const without = ratioWithoutEvents(counts);
  if (without !== null) return { ...counts, ...without };
  const used = strataWithBothTimes(strata).filter(({ riskEvents, controlEvents }) => riskEvents + controlEvents > 0);
  // The root of Σ a = Σ m·p, with p = ρ·t1/(ρ·t1 + t0): between bounds that Newton's steps must not leave.
  let logRatio = 0;
  let low = -Infinity;
  let high = Infinity;
  let information = NaN;
  for (let count = 0; count < MOST_STEPS; count++) {
    const ratio = Math.exp(logRatio);
    let score = counts.riskEvents;
    information = 0;
    for (const { riskEvents, riskTime, controlEvents, controlTime } of used) {
      const p = (ratio * riskTime) / (ratio * riskTime + controlTime);
      const m = riskEvents + controlEvents;
      score -= m * p;
      information += m * p * (1 - p);
    }
    if (score > 0) low = logRatio;
    else high = logRatio;
    const aimed = logRatio + score / information;
    // A step out of the bounds, or to nowhere, is halved between them, or doubled where one is open.
    const next = aimed > low && aimed < high && Math.abs(aimed - logRatio) < LONGEST_STEP ? aimed : low === -Infinity ? high - 2 : high === Infinity ? low + 2 : (low + high) / 2;
    const moved = Math.abs(next - logRatio);
    if (score === 0 || moved < CONVERGED) break;
    logRatio = next;
  }
  const seLog = 1 / Math.sqrt(information);
  const spread = Math.exp(normalHalfWidth(conf) * seLog);
  const rateRatio = Math.exp(logRatio);
  return { ...counts, rateRatio, seLog, lower: rateRatio / spread, upper: rateRatio * spread, reason: null };
}

/** Rows with time of strata with an event. */
function informative(rows: readonly PoissonRow[]): PoissonRow[][] {
  const strata = new Map<string, PoissonRow[]>();
  for (const row of rows) {
    if (!(row.time > 0)) continue;
    const known = strata.get(row.stratum);
    if (known === undefined) strata.set(row.stratum, [row]);
    else known.push(row);
  }
  return [...strata.values()].filter((stratum) => stratum.some((row) => row.events > 0));
}

/** Log likelihood, its gradient and the negative of its second derivatives. */
function likelihood(strata: readonly (readonly PoissonRow[])[], at: Float64Array): { value: number; score: Float64Array; information: Float64Array[] } {
  const size = at.length;
  let value = 0;
  const score = new Float64Array(size);
  const information = Array.from({ length: size }, () => new Float64Array(size));
  for (const rows of strata) {
    const logs = rows.map((row) => Math.log(row.time) + row.covariates.reduce((sum, x, i) => sum + x * (at[i] ?? NaN), 0));
    const top = Math.max(...logs);
    const weights = logs.map((log) => Math.exp(log - top));
    const sum = weights.reduce((total, w) => total + w, 0);
    const events = rows.reduce((total, row) => total + row.events, 0);
    const means = new Float64Array(size);
    rows.forEach((row, j) => {
      const share = (weights[j] ?? NaN) / sum;
      if (row.events > 0) value += row.events * Math.log(share);
      row.covariates.forEach((x, i) => (means[i] = (means[i] ?? NaN) + share * x));
    });
    rows.forEach((row, j) => {
      const share = (weights[j] ?? NaN) / sum;
      row.covariates.forEach((x, i) => {
        const apart = x - (means[i] ?? NaN);
        score[i] = (score[i] ?? NaN) + row.events * apart;
        const line = information[i];
        if (line !== undefined) row.covariates.forEach((y, l) => (line[l] = (line[l] ?? NaN) + events * share * apart * (y - (means[l] ?? NaN))));
      });
    });
  }
  return { value, score, information };
}

/** The solution of a symmetric positive system by elimination; null where it has none that stands out. */
function solve(matrix: readonly Float64Array[], right: Float64Array): Float64Array | null {
  const size = right.length;
  const rows = matrix.map((row) => Float64Array.from(row));
  const out = Float64Array.from(right);
  for (let i = 0; i < size; i++) {
    const pivot = rows[i]?.[i] ?? NaN;
    if (!(pivot > SINGULAR * (matrix[i]?.[i] ?? NaN))) return null;
    for (let j = i + 1; j < size; j++) {
      const row = rows[j];
      if (row === undefined) continue;
      const factor = (row[i] ?? NaN) / pivot;
      for (let l = i; l < size; l++) row[l] = (row[l] ?? NaN) - factor * (rows[i]?.[l] ?? NaN);
      out[j] = (out[j] ?? NaN) - factor * (out[i] ?? NaN);
    }
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let l = i + 1; l < size; l++) out[i] = (out[i] ?? NaN) - (rows[i]?.[l] ?? NaN) * (out[l] ?? NaN);
    out[i] = (out[i] ?? NaN) / (rows[i]?.[i] ?? NaN);
  }
  return out;
}
