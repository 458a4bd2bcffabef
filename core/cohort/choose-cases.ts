import type { CohortCase } from '../model/cohort-case.ts';
import type { CaseChoice, CohortOptions } from '../model/cohort-options.ts';
import { facetName, facetValuesOf } from './case-facets.ts';
import { inCaseOrder, statedPatient } from './clusters.ts';

/** What a choice makes of cases. */
export interface ChosenCases {
  /** Usable and chosen, each with its patient where a column names one, in the order in which everything is drawn. */
  readonly chosen: readonly CohortCase[];
  /** The others, each with the first reason that holds, in the same order. */
  readonly notUsable: readonly { readonly one: CohortCase; readonly reason: string }[];
  readonly notChosen: readonly { readonly one: CohortCase; readonly reason: string }[];
}

/**
 * Returns the cases that a cohort is made of, and what was left out with the reason.
 * Shape   every case is in exactly one of the three lists, whatever the order in which they came.
 * Missing an undated case, and one that does not state a property, is taken or left out as the choice says, never in silence.
 */
export function chooseCases(cases: readonly CohortCase[], { choice, patientColumn }: Pick<CohortOptions, 'choice' | 'patientColumn'>): ChosenCases {
  const chosen: CohortCase[] = [];
  const notUsable: { one: CohortCase; reason: string }[] = [];
  const notChosen: { one: CohortCase; reason: string }[] = [];
  for (const one of [...cases].sort(inCaseOrder)) {
    if (one.notUsable !== null) {
      notUsable.push({ one, reason: one.notUsable });
      continue;
    }
    const reason = whyNot(one, choice);
    if (reason !== null) {
      notChosen.push({ one, reason });
      continue;
    }
    const patient = statedPatient(one.attributes, patientColumn);
    chosen.push(patient === null ? one : { ...one, patientKey: patient });
  }
  return { chosen, notUsable, notChosen };
}

function whyNot(one: CohortCase, { facets, from, to, keepUndated }: CaseChoice): string | null {
  if (from !== null || to !== null) {
    if (one.date === null) {
      if (!keepUndated) return 'undated';
    } else if ((from !== null && one.date < from) || (to !== null && one.date > to)) {
      return 'outside the chosen days';
    }
  }
  for (const { facet, values } of facets) {
    if (!facetValuesOf(one, facet).some((value) => values.includes(value))) return `${facetName(facet)} not chosen`;
  }
  return null;
}
