import { ageInYears } from '../identity/grouped-age.ts';
import type { CohortCase } from '../model/cohort-case.ts';
import type { FacetValues } from '../model/cohort-flow.ts';
import type { CaseFacet } from '../model/cohort-options.ts';
import { UNSTATED } from '../model/cohort-options.ts';
import { inCodePointOrder } from './clusters.ts';

/** Headings by which a column of a case list is taken for one of the properties. Common practice without source. */
const HEADINGS = {
  'service': /^(?:(?:surgical |operating |primary )?(?:service|special(?:i)?ty|department|discipline)|fach(?:abteilung|richtung|gebiet)?|abteilung|klinik|sp[ée]cialit[ée]|service chirurgical|servicio|especialidad|reparto|specialit[àa])\b/i,
  'asa class': /^(?:asa\b|asa[ _-]?(?:class|klasse|status|score|ps|grade)|physical status)/i,
  'age band': /^(?:age|alter|âge|edad|età|patient(?:'s|s)? age|patientenalter)\b/i,
} as const;

/** Years at which an age band begins. Common practice without source. */
const BANDS = [
  [0, 'under 1'],
  [1, '1 to 17'],
  [18, '18 to 39'],
  [40, '40 to 64'],
  [65, '65 to 79'],
  [80, '80 or more'],
] as const;

const ROMAN: Readonly<Record<string, string>> = { i: '1', ii: '2', iii: '3', iv: '4', v: '5', vi: '6' };

/**
 * Returns the values of a property that a case has, at least one.
 * Shape   `UNSTATED` where the case list does not say, no site was monitored, no position was recorded or the record has no date.
 *         Positions are those that were taken, sites those that were monitored. An ASA class is its number, an age its band.
 */
export function facetValuesOf(one: CohortCase, facet: CaseFacet): readonly string[] {
  switch (facet.kind) {
    case 'month':
      return [one.date === null ? UNSTATED : one.date.slice(0, 7)];
    case 'site':
      return stated(one.sites.flatMap(({ any, site }) => (any.monitoredMs > 0 ? [site] : [])));
    case 'position':
      return stated(one.exposures.flatMap(({ kind, label }) => (kind === 'position' && !label.endsWith(' ended') ? [label] : [])));
    case 'column':
      return [one.attributes[facet.column]?.trim() ?? UNSTATED];
    case 'service':
      return [attributeOf(one, HEADINGS.service)];
    case 'asa class':
      return [asaClass(attributeOf(one, HEADINGS['asa class']))];
    case 'age band':
      return [ageBand(attributeOf(one, HEADINGS['age band']))];
  }
}

/** Returns which values of a property occur over cases, and in how many. */
export function facetValues(cases: readonly CohortCase[], facet: CaseFacet): FacetValues {
  const counts = new Map<string, number>();
  for (const one of cases) for (const value of facetValuesOf(one, facet)) counts.set(value, (counts.get(value) ?? 0) + 1);
  const values = [...counts].map(([value, count]) => ({ value, cases: count })).sort((a, b) => inValueOrder(a.value, b.value));
  return { facet, values };
}

/** Returns which of two values comes first: bands by age, others by code points; what is not stated last. */
export function inValueOrder(a: string, b: string): number {
  if (a === UNSTATED || b === UNSTATED) return a === b ? 0 : a === UNSTATED ? 1 : -1;
  const [first, second] = [bandPlace(a), bandPlace(b)];
  return first >= 0 && second >= 0 ? first - second : inCodePointOrder(a, b);
}

/** Returns the headings of all columns that some case has, in order. */
export function columnsOf(cases: readonly CohortCase[]): string[] {
  const names = new Set<string>();
  for (const { attributes } of cases) for (const name of Object.keys(attributes)) names.add(name);
  return [...names].sort(inCodePointOrder);
}

/** Returns the column of the case list that a property is read from, as most cases have it; null where it is no column or no case has it. */
export function columnOf(cases: readonly CohortCase[], facet: CaseFacet): string | null {
  if (facet.kind === 'column') return facet.column;
  if (facet.kind !== 'service' && facet.kind !== 'asa class') return null;
  const heading = HEADINGS[facet.kind];
  const names = columnsOf(cases).filter((name) => heading.test(plain(name)));
  const has = (name: string): number => cases.filter(({ attributes }) => attributes[name] !== undefined).length;
  return names.sort((a, b) => has(b) - has(a) || inCodePointOrder(a, b))[0] ?? null;
}

/** Returns a property in words: the heading of a column, or its own name. */
export function facetName(facet: CaseFacet): string {
  return facet.kind === 'column' ? facet.column : facet.kind;
}

function bandPlace(value: string): number {
  return BANDS.findIndex(([, name]) => name === value);
}

function stated(values: readonly string[]): string[] {
  const each = [...new Set(values)].sort(inCodePointOrder);
  return each.length === 0 ? [UNSTATED] : each;
}

/** A heading as the patterns expect it: `age_band` is two words. */
function plain(heading: string): string {
  return heading.replace(/[_.-]+/g, ' ').trim();
}

function attributeOf({ attributes }: CohortCase, heading: RegExp): string {
  const name = Object.keys(attributes).sort(inCodePointOrder).find((one) => heading.test(plain(one)));
  return name === undefined ? UNSTATED : (attributes[name]?.trim() ?? UNSTATED);
}

/** The number of the class, an emergency's E left out; what is no class stays as written. */
function asaClass(text: string): string {
  const found = /^(?:asa[ -]*)?(?:ps|class|klasse|status)?[ :-]*([1-6]|i{1,3}|iv|vi?)[ -]*e?$/i.exec(text);
  const name = found?.[1]?.toLowerCase();
  return name === undefined ? text : (ROMAN[name] ?? name);
}

/** The band of an age in years; what is already a band, or no number, stays as written. */
function ageBand(text: string): string {
  const years = ageInYears(text);
  return years === null ? text : bandOf(years);
}

function bandOf(years: number): string {
  return BANDS.findLast(([from]) => years >= from)?.[1] ?? '';
}
