import type { AnalysisParameters } from './parameters.ts';

/** Returns whether two sets of parameters give the same results: all but the name. */
export function sameParameters(a: AnalysisParameters, b: AnalysisParameters): boolean {
  return JSON.stringify(sorted({ ...a, name: '' })) === JSON.stringify(sorted({ ...b, name: '' }));
}

function sorted(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)).map(([key, inner]) => [key, sorted(inner)]));
}
