import { findDrug, termByRoute } from '../terms/find-drug.ts';
import { isRateUnit, normalizeDoseUnit } from '../terms/dose-unit.ts';
import { doseFlags, parseDose, type StatedDrug } from '../terms/parse-dose.ts';
import { parseEvents } from '../terms/parse-event.ts';
import { normalizeRoute } from '../terms/route.ts';
import { statedDrug } from '../terms/stated-drug.ts';
import { statedEvent } from '../terms/stated-event.ts';
import type { ParsedDose, ParsedEvent } from '../terms/terms.ts';
import type { PhraseBook } from './phrase-book.ts';
import type { RawDrug, RawEvent } from './reading.ts';

/** Units that only a drug is given in; a volume or a pressure alone does not make an entry a drug. */
const DRUG_UNIT = /^(?:ug|mg|g|ng|\[iU\]|mmol|umol|m\[iU\])(?:\/|$)/;

/** So much of a text is looked through for doses and events; it is kept whole. */
const MAX_LOOKED_AT = 4000;

/** One free text read: a drug, or an event. Exactly one of both is meant. */
export interface ReadEntry {
  readonly drug: RawDrug | null;
  readonly event: RawEvent;
  /** Further events that the same text reports. */
  readonly more: readonly RawEvent[];
}

function eventOf(parsed: ParsedEvent | undefined, text: string, tMs: number, line: number, site: string | null): RawEvent {
  return {
    kind: parsed?.kind ?? 'note',
    term: parsed?.term ?? '',
    phase: parsed?.phase ?? 'moment',
    text,
    tMs,
    endMs: null,
    manual: false,
    site: site ?? parsed?.site ?? null,
    line,
  };
}

function drugOf(parsed: ParsedDose, text: string, tMs: number, line: number): RawDrug {
  return {
    inn: parsed.drug?.inn ?? null,
    atc: parsed.drug?.atc ?? null,
    isVasopressor: parsed.drug?.isVasopressor ?? false,
    route: parsed.route,
    form: parsed.form,
    amount: parsed.amount,
    unit: parsed.unit,
    tMs,
    endMs: null,
    manual: false,
    flags: [...parsed.flags, ...(parsed.ambiguous.length > 0 ? [`may mean ${parsed.ambiguous.join(' or ')}`] : [])],
    text,
    line,
  };
}

/** Says that a person said what the words mean. */
const AS_STATED = 'drug as stated in the mapping';

/** Returns the entry that a person's words about a phrase make of a text; null where nothing was said. */
function statedEntry(book: PhraseBook, phrases: readonly string[], text: string, tMs: number, line: number, site: string | null): ReadEntry | { readonly drug: StatedDrug } | null {
  const said = book.meaningOf(...phrases);
  if (said === null) return null;
  const { phrase, reading } = said;
  switch (reading.means) {
    case 'note':
      return { drug: null, event: eventOf(undefined, text, tMs, line, site), more: [] };
    case 'event':
      return { drug: null, event: eventOf(statedEvent(reading), text, tMs, line, reading.site ?? site), more: [] };
    case 'drug':
      return { drug: { phrase, entry: statedDrug(reading.inn, reading.isVasopressor) } };
  }
}

/**
 * Returns a free text read as a drug first and as an event otherwise; a text of neither is a note. The text is always kept.
 * What a person said of the text, or of one of `phrases` within it, goes before; what nobody knows is counted in the book.
 */
export function readNote(text: string, tMs: number, line: number, book: PhraseBook, site: string | null = null, phrases: readonly string[] = []): ReadEntry {
  const lookedAt = text.slice(0, MAX_LOOKED_AT);
  const stated = statedEntry(book, [text, ...phrases], text, tMs, line, site);
  if (stated !== null && 'event' in stated) return stated;
  const dose = parseDose(lookedAt, stated?.drug ?? null);
  const events = parseEvents(lookedAt);
  const [first, ...rest] = events;
  const event = eventOf(first, text, tMs, line, site);
  const more = rest.map((parsed) => eventOf(parsed, text, tMs, line, site));
  const isDrug = dose.drug !== null || dose.ambiguous.length > 0 || (first === undefined && dose.amount !== null && DRUG_UNIT.test(dose.unit) && dose.flags.includes('no drug recognised'));
  if (isDrug && dose.drug === null) book.addUnknown('drug', text, line);
  else if (!isDrug && first === undefined) book.addUnknown('event', text, line);
  const drug = isDrug ? drugOf(dose, text, tMs, line) : null;
  return { drug: drug === null || stated === null ? drug : { ...drug, flags: [...drug.flags, AS_STATED] }, event, more };
}

/** The cells of one administration, as the columns have them; '' where a column is missing or empty. */
export interface DoseCells {
  readonly drug: string;
  readonly dose: string;
  readonly doseUnit: string;
  readonly rate: string;
  readonly rateUnit: string;
  readonly route: string;
  readonly action: string;
  readonly text: string;
  /** Numbers read from the dose and rate cells; NaN when they are no plain numbers. */
  readonly doseValue: number;
  readonly rateValue: number;
  /** The entry stands in a column of rates: without a readable rate it is still no bolus. */
  readonly isRate?: boolean | undefined;
}

function joined(parts: readonly string[]): string {
  return parts.filter((part) => part !== '').join(' ');
}

/** Returns an administration read from separate columns. What a column states outweighs what the text of others says. */
function administrationOf(cells: DoseCells, stated: StatedDrug | null, tMs: number, endMs: number | null, line: number): RawDrug {
  const hasRate = !Number.isNaN(cells.rateValue);
  const hasDose = !Number.isNaN(cells.doseValue);
  const doseText = hasDose ? joined([String(cells.doseValue), cells.doseUnit]) : joined([cells.dose, cells.doseUnit]);
  const rateText = hasRate ? joined([String(cells.rateValue), cells.rateUnit]) : joined([cells.rate, cells.rateUnit]);
  const text = joined([cells.drug, hasRate ? rateText : doseText, cells.route, cells.action, cells.text]);
  const parsed = parseDose(text.slice(0, MAX_LOOKED_AT), stated);
  const route = (cells.route === '' ? null : normalizeRoute(cells.route)) ?? parsed.route;
  const named = stated !== null ? { term: termByRoute(stated.entry, route, null), ambiguous: [] } : findDrug(cells.drug.slice(0, MAX_LOOKED_AT), cells.route === '' ? null : cells.route);
  const isNotGiven = parsed.drug === null && parsed.flags.some((flag) => /: /.test(flag));
  const term = named.term ?? (isNotGiven ? null : parsed.drug);
  const ambiguous = named.term !== null ? [] : named.ambiguous.length > 0 ? named.ambiguous : parsed.ambiguous;
  let amount = parsed.amount;
  let unit = parsed.unit;
  let form = parsed.form;
  if (hasRate) {
    amount = cells.rateValue;
    unit = normalizeDoseUnit(cells.rateUnit) ?? normalizeDoseUnit(cells.doseUnit) ?? parsed.unit;
    if (form === 'bolus') form = cells.rateValue === 0 ? 'infusion stop' : 'infusion rate';
    if (/\b(?:start|begin|new|beginn|debut|début)/i.test(cells.action)) form = 'infusion start';
    if (/\b(?:stop|end|ende|fin|arret|arrêt|off|discontinu)/i.test(cells.action)) form = 'infusion stop';
  } else if (hasDose) {
    amount = cells.doseValue;
    unit = normalizeDoseUnit(cells.doseUnit) ?? parsed.unit;
    if (isRateUnit(unit) && form === 'bolus') form = amount === 0 ? 'infusion stop' : 'infusion rate';
  }
  const isRateUnread = !hasRate && !hasDose && cells.isRate === true && form === 'bolus' && amount === null;
  if (isRateUnread) form = 'infusion rate';
  const flags = new Set(parsed.flags.filter((flag) => !(term !== null && flag === 'no drug recognised')));
  if (amount !== null && unit !== '') flags.delete('no unit stated');
  if (term !== null && amount !== null && form === 'bolus') for (const flag of doseFlags(term, amount, unit)) flags.add(flag);
  if (isRateUnread) {
    flags.delete('no dose stated');
    flags.add(cells.rate === '' ? 'no rate stated' : `rate not readable: "${cells.rate.slice(0, 40)}"`);
  }
  if (ambiguous.length > 0) flags.add(`may mean ${ambiguous.join(' or ')}`);
  return {
    inn: term?.inn ?? null,
    atc: term?.atc ?? null,
    isVasopressor: (term?.isVasopressor ?? false) && !isNotGiven,
    route,
    form,
    amount,
    unit,
    tMs,
    endMs,
    manual: false,
    flags: [...flags, ...(stated === null ? [] : [AS_STATED])],
    text,
    line,
  };
}

/**
 * Returns what separate columns say was given. A column of drugs may hold positions and other events too: a name that is no
 * drug and comes without a dose is read as a text.
 */
export function readAdministration(cells: DoseCells, tMs: number, endMs: number | null, line: number, book: PhraseBook): ReadEntry {
  const words = joined([cells.drug, cells.text]);
  const stated = statedEntry(book, [cells.drug, words], words, tMs, line, null);
  if (stated !== null && 'event' in stated) return { ...stated, event: { ...stated.event, endMs } };
  const drug = administrationOf(cells, stated?.drug ?? null, tMs, endMs, line);
  const [first, ...rest] = drug.inn === null && Number.isNaN(cells.doseValue) && Number.isNaN(cells.rateValue) ? parseEvents(words.slice(0, MAX_LOOKED_AT)) : [];
  if (first !== undefined) return { drug: null, event: { ...eventOf(first, words, tMs, line, null), endMs }, more: rest.map((parsed) => eventOf(parsed, words, tMs, line, null)) };
  if (drug.inn === null) book.addUnknown('drug', cells.drug === '' ? drug.text : cells.drug, line);
  return { drug, event: eventOf(undefined, words, tMs, line, null), more: [] };
}
