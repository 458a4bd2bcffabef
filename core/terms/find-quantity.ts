import dictionary from './dictionary.json' with { type: 'json' };
import { QUANTITIES, QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { foldText, wordsOf } from './fold-text.ts';
import { normalizeMeasureUnit } from './measure-unit.ts';
import { buildPhraseIndex, findPhrases } from './phrase-index.ts';
import { sideOf, SITE_PHRASES } from './site-words.ts';

export interface QuantityName {
  readonly quantity: Quantity;
  /** 'unstated' for an oximeter quantity without a site; null for one that no oximeter sensor makes. */
  readonly site: Site | null;
  /** What tells two sensors apart in the heading: '2', 'left', 'left index', 'preductal'; '' when nothing does. */
  readonly sensor: string;
  /** UCUM; '' when the heading and the unit cell state none. */
  readonly unit: string;
  /** What was assumed beyond the heading's words ("method not stated: taken as cuff pressure"); null when nothing was. */
  readonly assumption: string | null;
}

type Concept = keyof typeof dictionary.headingWords;

interface Pattern {
  readonly needs: readonly Concept[];
  readonly quantity: Quantity | null;
  readonly sensor: string;
  readonly assumption: string | null;
}

/** A longer text names nothing; patterns that look for brackets in it would take the square of its length. */
const LONGEST_NAME = 400;

/**
 * Returns what a column's heading, or the name cell of a long table, measures; null when that is not recognised or is no
 * measurement (an alarm limit, a quality flag, a wave).
 * Shape    names may carry their unit (`SpO2 (%)`, `temp_c`), site (`PI nasal ala`) and sensor (`SpO2 2`); MDC reference ids
 *          and codes and LOINC codes are names too, and a code that is given decides against the words beside it.
 * Units    `unit` in UCUM: the unit cell's if one is given, else the heading's.
 * Source   codes: handbook 8.1 and 8.2 (150324 is arterial saturation, not pulse oximetry); words: open-data headings and
 *          common practice without source.
 * Example  "SpO2_finger_pct" → spo2 at the finger in %.
 */
export function findQuantity(heading: string, unit?: string): QuantityName | null {
  if (heading.length > LONGEST_NAME) return null;
  const stated = unit === undefined ? null : normalizeMeasureUnit(unit);
  const coded = byCode(heading);
  if (coded !== undefined) {
    if (coded.quantity === null) return null;
    return { quantity: coded.quantity, site: siteOr(coded.quantity, null), sensor: coded.sensor, unit: stated ?? '', assumption: coded.assumption };
  }
  const { name, unit: ownUnit } = splitUnit(heading);
  const words = wordsOf(foldText(name));
  // A lone letter names nothing (`t` is as often the time), but for a `T` in degrees.
  if (words.length === 1 && words[0]?.length === 1 && !/^(?:Cel|\[degF\])$/.test(stated ?? ownUnit)) return null;
  const found = read(words);
  if (found === null) return null;
  const unitTaken = stated ?? (ownUnit === '' ? found.unit : ownUnit);
  // PA in mmHg is a pressure in the pulmonary artery, not the pulse amplitude.
  return found.quantity === 'pulse-amplitude' && unitTaken === 'mm[Hg]' ? null : { ...found, unit: unitTaken };
}

function read(words: readonly string[]): QuantityName | null {
  const concepts = new Set<Concept>();
  const sides: string[] = [];
  const numbers: string[] = [];
  const others: string[] = [];
  let unit = '';
  let site: Site | null = null;
  let siteSensor = '';
  const hits = new Map(findPhrases(words, HEADING_PHRASES).map((hit) => [hit.start, hit]));
  const siteHits = new Map(findPhrases(words, SITE_PHRASES).map((hit) => [hit.start, hit]));
  for (let i = 0; i < words.length; ) {
    const word = words[i] ?? '';
    const hit = hits.get(i);
    const siteHit = siteHits.get(i);
    // `nasal ala` outreaches `nasal`; `perfusion index` outreaches `index`.
    const measured = i > 0 && (hit === undefined || hit.end === i + 1) && siteHit === undefined ? UNIT_WORDS.get(word) : undefined;
    if (measured !== undefined && unit === '') {
      unit = measured;
      i += 1;
    } else if (siteHit !== undefined && siteHit.meaning.site !== null && (hit === undefined || hit.end <= siteHit.end) && !(hit !== undefined && hit.end === siteHit.end && hit.meaning.some((concept) => concept === 'core'))) {
      if (site !== null && site !== siteHit.meaning.site) return null;
      site = siteHit.meaning.site;
      siteSensor = siteHit.meaning.sensor;
      i = siteHit.end;
    } else if (hit !== undefined) {
      if (hit.meaning.includes('reject')) return null;
      for (const concept of hit.meaning) concepts.add(concept);
      i = hit.end;
    } else {
      const side = sideOf(word);
      if (side !== null) sides.push(side);
      else if (/^\d{1,2}$/.test(word)) numbers.push(word);
      else others.push(word);
      i += 1;
    }
  }
  const pattern = bestPattern(concepts);
  if (pattern === null || pattern.quantity === null) return null;
  // Perfusion, rate or saturation at a site is the oximeter's; a heart rate at a site is its pulse rate.
  const quantity: Quantity = pattern.quantity === 'heart-rate' && site !== null ? 'pulse-rate' : pattern.quantity;
  const isOfSensor = QUANTITY_FACTS[quantity].ofSensor;
  if (others.length > (isOfSensor ? 2 : 0) || (others.length > 0 && numbers.length + others.length > 2)) return null;
  const labels = isOfSensor ? [...sides, siteSensor, pattern.sensor, ...numbers, ...others] : [];
  return { quantity, site: siteOr(quantity, site), sensor: [...new Set(labels)].filter((label) => label !== '').join(' '), unit, assumption: pattern.assumption };
}

function siteOr(quantity: Quantity, site: Site | null): Site | null {
  return QUANTITY_FACTS[quantity].ofSensor ? (site ?? 'unstated') : null;
}

/** Concepts that say nothing by themselves: they may stand beside any pattern. */
const NEUTRAL: ReadonlySet<Concept> = new Set<Concept>(['ignorable', 'sensorWord']);

/** The longest pattern whose needs are all there; every concept named must be used, or be neutral. */
function bestPattern(concepts: ReadonlySet<Concept>): Pattern | null {
  let best: Pattern | null = null;
  for (const pattern of PATTERNS) if (pattern.needs.length > (best?.needs.length ?? 0) && pattern.needs.every((need) => concepts.has(need))) best = pattern;
  if (best === null) return null;
  for (const concept of concepts) if (!best.needs.includes(concept) && !NEUTRAL.has(concept) && !(concept === 'mean' && concepts.has('ignorable'))) return null;
  return best;
}

const HEADING_PHRASES = buildPhraseIndex<readonly Concept[]>(
  Object.entries(dictionary.headingWords).flatMap(([concept, phrases]) =>
    // Object.entries widens the keys of this very object to string.
    phrases.map((phrase) => [phrase, [concept as Concept]] as const),
  ),
  (a, b) => [...new Set([...a, ...b])],
);

const PATTERNS: readonly Pattern[] = dictionary.headingPatterns.map((listed) => {
  const pattern: { needs: readonly string[]; quantity: string | null; sensor?: string; assumption?: string } = listed;
  return {
    needs: pattern.needs.map(conceptNamed),
    quantity: pattern.quantity === null ? null : quantityNamed(pattern.quantity),
    sensor: pattern.sensor ?? '',
    assumption: pattern.assumption ?? null,
  };
});

function conceptNamed(name: string): Concept {
  // Checked on the line: only a key of this very object passes.
  if (Object.hasOwn(dictionary.headingWords, name)) return name as Concept;
  throw new Error(`unknown heading word class in the dictionary: ${name}`);
}

function quantityNamed(name: string): Quantity {
  const quantity = QUANTITIES.find((known) => known === name);
  if (quantity === undefined) throw new Error(`unknown quantity in the dictionary: ${name}`);
  return quantity;
}

/** What a code of ISO/IEEE 11073-10101 or LOINC means. */
export interface Coded {
  /** null for a known code of something that is no trend of this program: `meaning` says of what. */
  readonly quantity: Quantity | null;
  readonly sensor: string;
  readonly assumption: string | null;
  readonly meaning: string;
}

/** Returns what a code (`59408-5`, `150456`) or reference id alone means; null for a code that the dictionary does not hold. */
export function quantityOfCode(code: string): Coded | null {
  return CODES.get(code.trim().toLowerCase()) ?? null;
}

const CODES: ReadonlyMap<string, Coded> = new Map(
  dictionary.codes.flatMap((listed) => {
    const entry: { code: string; refId?: string; quantity: string | null; sensor?: string; assumption?: string; meaning?: string } = listed;
    const coded: Coded = { quantity: entry.quantity === null ? null : quantityNamed(entry.quantity), sensor: entry.sensor ?? '', assumption: entry.assumption ?? null, meaning: entry.meaning ?? '' };
    return [entry.code, ...(entry.refId === undefined ? [] : [entry.refId])].map((name) => [name.toLowerCase(), coded] as const);
  }),
);

/** A code or reference id alone, or as the first part of `150456^MDC_PULS_OXIM_SAT_O2^MDC`; a bare code decides. */
function byCode(heading: string): Coded | undefined {
  if (!/mdc_|\d{4,6}/i.test(heading)) return undefined;
  const parts = heading.trim().toLowerCase().split(/[\^|\s:]+/);
  const numeric = parts.find((part) => /^(?:1[456]\d{4}|\d{4,5}-\d)$/.test(part) && CODES.has(part));
  return CODES.get(numeric ?? parts.find((part) => CODES.has(part)) ?? '');
}

/** Unit spellings that may end a heading as a word of their own (`temp_c`, `spo2_pct`, `EtCO2 mmHg 3`). */
const UNIT_WORDS: ReadonlyMap<string, string> = new Map(
  ['%', 'pct', 'percent', 'mmhg', 'kpa', 'c', 'f', 'cel', 'celsius', 'degc', 'degf', 'fahrenheit', 'bpm', 'pm', 'frac', 'fraction'].map((word) => [word, normalizeMeasureUnit(word) ?? ''] as const),
);

/** `SpO2 (%)`, `HR [bpm]`, `Temp, °C`, `%SpO2`: the name without its unit. Brackets that hold no unit stay in the name. */
function splitUnit(heading: string): { readonly name: string; readonly unit: string } {
  let unit = '';
  const bracketed = heading.replace(/[([{]([^)\]}]*)[)\]}]/g, (_, inside: string) => {
    const found = normalizeMeasureUnit(inside);
    if (found === null || unit !== '') return ` ${inside} `;
    unit = found;
    return ' ';
  });
  let name = bracketed;
  const comma = /^(.*\S)\s*[,;:]\s*(\S+(?: \S+)?)$/.exec(name);
  const afterComma = comma === null || unit !== '' ? null : normalizeMeasureUnit(comma[2] ?? '');
  if (comma !== null && afterComma !== null) {
    name = comma[1] ?? name;
    unit = afterComma;
  }
  const tail = /^(.*[^\s/])[\s_]+(\/min|b\/min|1\/min|°\s?[CF]|mm ?Hg|beats\/min)$/i.exec(name);
  if (tail !== null && unit === '') {
    name = tail[1] ?? name;
    unit = normalizeMeasureUnit(tail[2] ?? '') ?? '';
  }
  const percent = /%/.test(name);
  if (percent) name = name.replace(/%/g, ' ');
  return { name: separated(name), unit: unit === '' && percent ? '%' : unit };
}

/** `ABPSys` → `ABP Sys`, `SpO2Finger` → `spo2 Finger`, `PI2` → `PI 2`; the names of gases stay whole. */
function separated(name: string): string {
  return name
    .replace(/₂/g, '2')
    .replace(/(^|[^a-z])(s[pacv]|scv|r?s|et|fi|pet|pa|st)[\s_.-]?([co]+)[\s_.-]?([2])(?![0-9])/gi, (_, before: string, kind: string, gas: string) => `${before} ${kind}${gas}2 `.toLowerCase())
    .replace(/(^|[^a-z])spo[\s_]?z(?![a-z])/gi, '$1 spo2 ')
    .replace(/mm[\s_]?Hg|kPa/gi, (pressure) => ` ${pressure.toLowerCase().replace(/[\s_]/, '')} `)
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .replace(/([A-Z]+)([A-Z][a-z])/g, '$1 $2')
    .replace(/\b(PI|PR|HR|Pulse|Perf|pulse|pi|pr|hr)(\d)\b/g, '$1 $2')
    .replace(/_/g, ' ');
}
