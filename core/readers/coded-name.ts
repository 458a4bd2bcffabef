import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { findQuantity, quantityOfCode } from '../terms/find-quantity.ts';
import { findSite } from '../terms/find-site.ts';

/** A code as a standard's message carries it. */
export interface Coding {
  readonly system: 'LOINC' | 'MDC' | 'SNOMED' | 'ATC' | 'other';
  readonly code: string;
  readonly display: string;
}

/** What the codes and words of one measurement mean. */
export interface CodedName {
  /** As reports and channels show it: words and code. */
  readonly label: string;
  /** The words alone. */
  readonly words: string;
  readonly quantity: Quantity;
  readonly site: Site | null;
  readonly sensor: string;
  /** What was assumed beyond the code; null when nothing was. */
  readonly assumption: string | null;
  /** Words and codes disagree: a sentence for the report. */
  readonly warning: string | null;
}

/**
 * Names of code systems. Source: HL7 FHIR R4 (http://loinc.org, http://snomed.info/sct, http://www.whocc.no/atc and
 * urn:iso:std:iso:11073:10101, the last as in handbook 8.2); object identifiers and HL7 v2 names (LN, MDC, SCT) from memory.
 */
const SYSTEMS: ReadonlyMap<string, Coding['system']> = new Map([
  ['http://loinc.org', 'LOINC'],
  ['urn:oid:2.16.840.1.113883.6.1', 'LOINC'],
  ['LN', 'LOINC'],
  ['urn:iso:std:iso:11073:10101', 'MDC'],
  ['urn:oid:2.16.840.1.113883.6.24', 'MDC'],
  ['MDC', 'MDC'],
  ['http://snomed.info/sct', 'SNOMED'],
  ['SCT', 'SNOMED'],
  ['http://www.whocc.no/atc', 'ATC'],
  ['urn:oid:2.16.840.1.113883.6.73', 'ATC'],
]);

/** Returns the code system that a URI, object identifier or HL7 v2 name stands for. */
export function systemNamed(name: string): Coding['system'] {
  return SYSTEMS.get(name.trim().replace(/\/$/, '')) ?? 'other';
}

/** Longer names and more codes for one thing than these are no names; they are cut off so that they fill no report. */
const MAX_NAME = 200;
const MAX_CODINGS = 20;

function clipped({ system, code, display }: Coding): Coding {
  return { system, code: code.slice(0, MAX_NAME), display: display.slice(0, MAX_NAME) };
}

function found(coding: Coding): ReturnType<typeof quantityOfCode> {
  return coding.system === 'LOINC' || coding.system === 'MDC' ? quantityOfCode(coding.code) : null;
}

/**
 * Returns what codes and words of one measurement mean. A known LOINC or MDC code decides against the words beside it, and a
 * code that names method or sensor against one that does not. Words decide only where no code of these systems is given.
 * Missing  `other` when nothing is recognised: such values are kept, but not taken for anything.
 * Source   handbook 8.1 and 8.2 (150324 is arterial saturation, often mislabelled as pulse oximetry).
 */
export function nameOfCodings(given: readonly Coding[], givenText: string): CodedName {
  const codings = given.slice(0, MAX_CODINGS).map(clipped);
  const text = givenText.slice(0, MAX_NAME);
  const words = text !== '' ? text : (codings.find((coding) => coding.display !== '')?.display ?? '');
  const known = codings.flatMap((coding) => {
    const meaning = found(coding);
    return meaning === null ? [] : [{ coding, meaning }];
  });
  const taken = known
    .filter(({ meaning }) => meaning.quantity !== null)
    .sort((a, b) => Number(a.meaning.sensor === '') - Number(b.meaning.sensor === '') || Number(a.meaning.assumption !== null) - Number(b.meaning.assumption !== null))[0];
  const first = taken?.coding ?? known[0]?.coding ?? codings.find((coding) => coding.system === 'LOINC' || coding.system === 'MDC') ?? codings[0];
  const label = first === undefined || first.code === '' || words.includes(first.code) ? words : words === '' ? first.code : `${words} (${first.code})`;
  const base = { label, words: words === '' ? label : words };
  if (taken !== undefined && taken.meaning.quantity !== null) {
    const { quantity, sensor, assumption } = taken.meaning;
    return { ...base, quantity, site: QUANTITY_FACTS[quantity].ofSensor ? 'unstated' : null, sensor, assumption, warning: warningOf(taken.coding, quantity, known, [text, ...codings.map((coding) => coding.display)]) };
  }
  const [other] = known;
  if (other !== undefined || codings.some((coding) => coding.system === 'LOINC' || coding.system === 'MDC')) {
    const named = [text, ...codings.map((coding) => coding.display)].find((one) => one !== '' && findQuantity(one)?.quantity === 'spo2');
    const warning =
      named === undefined || first === undefined
        ? null
        : `"${named}" has the code ${first.code}${other === undefined ? ', which is not known here' : ` (${other.meaning.meaning})`}: it is read by its code, kept, and not taken for SpO2.`;
    return { ...base, quantity: 'other', site: null, sensor: '', assumption: null, warning };
  }
  for (const one of [text, ...codings.map((coding) => coding.display), ...codings.map((coding) => coding.code)]) {
    const byWords = one === '' ? null : findQuantity(one);
    if (byWords !== null) return { ...base, quantity: byWords.quantity, site: byWords.site, sensor: byWords.sensor, assumption: byWords.assumption, warning: null };
  }
  return { ...base, quantity: 'other', site: null, sensor: '', assumption: null, warning: null };
}

function warningOf(taken: Coding, quantity: Quantity, known: readonly { coding: Coding; meaning: { quantity: Quantity | null; assumption: string | null; meaning: string } }[], names: readonly string[]): string | null {
  const facts = QUANTITY_FACTS[quantity];
  const against = known.find(({ meaning }) => meaning.quantity !== quantity && meaning.assumption === null);
  if (against !== undefined) {
    const means = against.meaning.quantity === null ? against.meaning.meaning : QUANTITY_FACTS[against.meaning.quantity].name;
    return `The codes ${taken.code} and ${against.coding.code} (${means}) stand for one value and do not agree: it is read as ${facts.name}, by ${taken.code}.`;
  }
  const misnamed = names.find((name) => {
    const byWords = name === '' ? null : findQuantity(name);
    return byWords !== null && QUANTITY_FACTS[byWords.quantity].lane !== facts.lane;
  });
  return misnamed === undefined ? null : `"${misnamed}" has the code ${taken.code}, which means ${facts.name}: it is read by its code.`;
}

/** SNOMED CT body sites that are no place of a sensor. Source: open-data fhir-spo2-observations (arterial system structure); nasal cavity, which is not the ala: handbook 8.3. */
const NOT_A_SENSOR_SITE: ReadonlySet<string> = new Set(['11527006']);
const OTHER_SITES: ReadonlyMap<string, string> = new Map([['279549004', 'nasal cavity']]);

/** Returns the site that a coded body site names, null when it names none; a site that is not known is `other`, by its words. */
export function siteOfCodings(given: readonly Coding[], text: string): { readonly site: Site; readonly sensor: string } | null {
  const codings = given.slice(0, MAX_CODINGS).map(clipped);
  const texts = [text.slice(0, MAX_NAME), ...codings.map((coding) => coding.display)].filter((one) => one !== '');
  for (const { system, code } of codings) {
    if (system !== 'SNOMED') continue;
    if (NOT_A_SENSOR_SITE.has(code)) return null;
    const named = OTHER_SITES.get(code);
    if (named !== undefined) return { site: 'other', sensor: named };
    const byCode = findSite(code);
    if (byCode !== null) return { site: byCode.site, sensor: texts.map(findSite).find((one) => one?.site === byCode.site)?.sensor ?? '' };
  }
  for (const one of texts) {
    const byWords = findSite(one);
    if (byWords !== null) return byWords;
  }
  const [first] = texts;
  return first === undefined ? null : { site: 'other', sensor: first };
}
