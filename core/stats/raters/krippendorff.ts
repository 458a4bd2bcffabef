import type { AgreementReason } from './agreement-reason.ts';

export type AlphaMetric = 'nominal' | 'ordinal' | 'interval' | 'ratio';

/** Agreement of any number of reviewers, some values missing. */
export interface KrippendorffAlpha {
  readonly alpha: number | null;
  readonly observedDisagreement: number | null;
  readonly expectedDisagreement: number | null;
  /** Values in units with at least two of them. */
  readonly pairableValues: number;
  readonly reason: AgreementReason | null;
}

/**
 * Returns Krippendorff's alpha from the matrix of coincidences.
 * Shape   units[unit]: the values given to it, null where a reviewer gave none. Ordinal distances come from the frequencies of the values.
 * Missing units with fewer than two values are left out; no variation: null.
 * Source  Krippendorff, Content Analysis, 3rd ed. 2013, ch. 12; Hayes & Krippendorff, Commun Methods Meas 2007;1:77.
 */
export function krippendorffAlpha(units: readonly (readonly (number | null)[])[], metric: AlphaMetric): KrippendorffAlpha {
  const rated = units.map((unit) => unit.filter((v) => v !== null)).filter((unit) => unit.length >= 2);
  const values = [...new Set(rated.flat())].sort((a, b) => a - b);
  const place = new Map(values.map((v, i) => [v, i]));
  const k = values.length;
  const coincidences = new Float64Array(k * k);
  for (const unit of rated) {
    unit.forEach((a, i) => {
      unit.forEach((b, j) => {
        if (i === j) return;
        const cell = (place.get(a) ?? NaN) * k + (place.get(b) ?? NaN);
        coincidences[cell] = (coincidences[cell] ?? NaN) + 1 / (unit.length - 1);
      });
    });
  }
  const totals = values.map((_, i) => values.reduce((sum, _v, j) => sum + (coincidences[i * k + j] ?? NaN), 0));
  const n = rated.reduce((sum, unit) => sum + unit.length, 0);
  if (n === 0) return { alpha: null, observedDisagreement: null, expectedDisagreement: null, pairableValues: 0, reason: 'nothing-rated' };
  let observed = 0;
  let expected = 0;
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const distance = distanceOf(metric, values, totals, i, j);
      observed += (coincidences[i * k + j] ?? NaN) * distance;
      expected += (totals[i] ?? NaN) * (totals[j] ?? NaN) * distance;
    }
  }
  observed /= n;
  expected /= n * (n - 1);
  const found = { observedDisagreement: observed, expectedDisagreement: expected, pairableValues: n };
  return expected > 0 ? { ...found, alpha: 1 - observed / expected, reason: null } : { ...found, alpha: null, reason: 'no-variation' };
}

/** The squared distance of two values. */
function distanceOf(metric: AlphaMetric, values: readonly number[], totals: readonly number[], i: number, j: number): number {
  if (i === j) return 0;
  const a = values[i] ?? NaN;
  const b = values[j] ?? NaN;
  switch (metric) {
    case 'nominal':
      return 1;
    case 'interval':
      return (a - b) ** 2;
    case 'ratio':
      return a + b === 0 ? 0 : ((a - b) / (a + b)) ** 2;
    case 'ordinal': {
      const between = totals.slice(Math.min(i, j), Math.max(i, j) + 1).reduce((sum, t) => sum + t, 0);
      return (between - ((totals[i] ?? NaN) + (totals[j] ?? NaN)) / 2) ** 2;
    }
  }
}
