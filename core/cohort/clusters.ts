import type { CohortCase } from '../model/cohort-case.ts';

/**
 * Returns the text that names the unit of a case: its patient where one is stated, else the case itself.
 * Source  statistics 0: what happens inside a unit is never treated as independent.
 */
export function clusterOf({ patientKey, caseId, caseKey }: Pick<CohortCase, 'patientKey' | 'caseId' | 'caseKey'>): string {
  return patientKey === null ? `case ${caseId} ${caseKey}` : `patient ${patientKey}`;
}

/** Returns which of two cases comes first before anything is drawn: by the code points of the case id, then of the key. */
export function inCaseOrder(a: Pick<CohortCase, 'caseId' | 'caseKey'>, b: Pick<CohortCase, 'caseId' | 'caseKey'>): number {
  return inCodePointOrder(a.caseId, b.caseId) || inCodePointOrder(a.caseKey, b.caseKey);
}

/** Returns which of two texts comes first by code points: the same in every locale and in other software. */
export function inCodePointOrder(a: string, b: string): number {
  const [left, right] = [Array.from(a), Array.from(b)];
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const difference = (left[i]?.codePointAt(0) ?? 0) - (right[i]?.codePointAt(0) ?? 0);
    if (difference !== 0) return difference;
  }
  return left.length - right.length;
}

/** Sums over the cases of one unit. */
export interface ClusterSums {
  /** In the order in which the units first come. */
  readonly numerators: readonly number[];
  readonly denominators: readonly number[];
}

/** Returns a numerator and a denominator per unit, summed over its cases. */
export function clusterSums(parts: readonly { readonly cluster: string; readonly numerator: number; readonly denominator: number }[]): ClusterSums {
  const places = new Map<string, number>();
  const numerators: number[] = [];
  const denominators: number[] = [];
  for (const { cluster, numerator, denominator } of parts) {
    const place = places.get(cluster) ?? places.size;
    places.set(cluster, place);
    numerators[place] = (numerators[place] ?? 0) + numerator;
    denominators[place] = (denominators[place] ?? 0) + denominator;
  }
  return { numerators, denominators };
}

/** Returns what a column of the case list says of the patient; null where none is asked for, or the case does not state it. */
export function statedPatient(attributes: CohortCase['attributes'], column: string | null): string | null {
  const text = column === null ? '' : (attributes[column]?.trim() ?? '');
  return text === '' ? null : text;
}
