import type { FacetValues } from '../../../core/model/cohort-flow.ts';
import { UNSTATED, type CaseChoice, type CaseFacet, type CohortOptions } from '../../../core/model/cohort-options.ts';

/** Returns a name for a property that no other has. */
export function facetKey(facet: CaseFacet): string {
  return facet.kind === 'column' ? `column ${facet.column}` : facet.kind;
}

/** Returns the values of a property that are taken: all of them where the choice does not name it. */
export function valuesTaken(choice: CaseChoice, { facet, values }: FacetValues): readonly string[] {
  return choice.facets.find((one) => facetKey(one.facet) === facetKey(facet))?.values ?? values.map(({ value }) => value);
}

/** Returns the choice with one value taken in or out. A property of which all values are taken is not named any more: cases that come later are taken too. */
export function toggledValue(choice: CaseChoice, of: FacetValues, value: string): CaseChoice {
  const taken = valuesTaken(choice, of);
  const next = taken.includes(value) ? taken.filter((one) => one !== value) : [...taken, value];
  return withValues(choice, of, next);
}

/** Returns the choice with exactly these values of a property. */
export function withValues(choice: CaseChoice, { facet, values }: FacetValues, taken: readonly string[]): CaseChoice {
  const others = choice.facets.filter((one) => facetKey(one.facet) !== facetKey(facet));
  const isAll = values.every(({ value }) => taken.includes(value));
  return { ...choice, facets: isAll ? others : [...others, { facet, values: values.map(({ value }) => value).filter((value) => taken.includes(value)) }] };
}

/** Returns the properties that tell cases apart: those with more than one value. Months are chosen by their days instead. */
export function facetsToChoose(facets: readonly FacetValues[], choice: CaseChoice): FacetValues[] {
  const isSaid = saidByProperty(facets);
  return facets.filter((one) => one.facet.kind !== 'month' && !isSaid(one) && (one.values.length > 1 || choice.facets.some((named) => facetKey(named.facet) === facetKey(one.facet))));
}

/** Returns the properties of which no case states a value. */
export function facetsUnstated(facets: readonly FacetValues[]): FacetValues[] {
  return facets.filter(({ values }) => values.every(({ value }) => value === UNSTATED));
}

/** Whether a column says what a property says already, such as the one that the service is read from: it is not offered twice. */
function saidByProperty(facets: readonly FacetValues[]): (of: FacetValues) => boolean {
  const said = new Set(facets.flatMap((one) => (one.facet.kind === 'column' ? [] : [JSON.stringify(one.values)])));
  return (of) => of.facet.kind === 'column' && said.has(JSON.stringify(of.values));
}

/** A value that stands in more cases than this on average is a group, not a patient. Common practice without source. */
const MOST_CASES_OF_A_PATIENT = 4;

/**
 * Returns the columns of the case list that may name patients: those in which some value stands in more than one case, and on average in few.
 * A column of groups has values that stand in many; one that is chosen already stays.
 */
export function patientColumns(facets: readonly FacetValues[], chosen: string | null): string[] {
  const isSaid = saidByProperty(facets);
  return facets.flatMap((of) => {
    if (of.facet.kind !== 'column') return [];
    const stated = of.values.filter(({ value }) => value !== UNSTATED);
    const cases = stated.reduce((sum, one) => sum + one.cases, 0);
    const mayName = !isSaid(of) && stated.length < cases && stated.length * MOST_CASES_OF_A_PATIENT > cases;
    return mayName || of.facet.column === chosen ? [of.facet.column] : [];
  });
}

/** Returns how many properties and days narrow the choice. */
export function narrowings({ choice }: Pick<CohortOptions, 'choice'>): number {
  return choice.facets.length + (choice.from === null ? 0 : 1) + (choice.to === null ? 0 : 1);
}
