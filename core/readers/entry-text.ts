import { findDrug } from '../terms/find-drug.ts';
import { isRateUnit, normalizeDoseUnit } from '../terms/dose-unit.ts';
import { doseFlags, parseDose } from '../terms/parse-dose.ts';
import { parseEvents } from '../terms/parse-event.ts';
import { normalizeRoute } from '../terms/route.ts';
import type { ParsedDose, ParsedEvent } from '../terms/terms.ts';
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

/** Returns a free text read as a drug first and as an event otherwise; a text of neither is a note. The text is always kept. */
export function readNote(text: string, tMs: number, line: number, site: string | null = null): ReadEntry {
  const lookedAt = text.slice(0, MAX_LOOKED_AT);
  const dose = parseDose(lookedAt);
  const events = parseEvents(lookedAt);
  const [first, ...rest] = events;
  const event = eventOf(first, text, tMs, line, site);
  const more = rest.map((parsed) => eventOf(parsed, text, tMs, line, site));
  const isDrug = dose.drug !== null || dose.ambiguous.length > 0 || (first === undefined && dose.amount !== null && DRUG_UNIT.test(dose.unit) && dose.flags.includes('no drug recognised'));
  return { drug: isDrug ? drugOf(dose, text, tMs, line) : null, event, more };
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
}

function joined(parts: readonly string[]): string {
  return parts.filter((part) => part !== '').join(' ');
}

/** Returns an administration read from separate columns. What a column states outweighs what the text of others says. */
export function readAdministration(cells: DoseCells, tMs: number, endMs: number | null, line: number): RawDrug {
  const hasRate = !Number.isNaN(cells.rateValue);
  const hasDose = !Number.isNaN(cells.doseValue);
  const doseText = hasDose ? joined([String(cells.doseValue), cells.doseUnit]) : joined([cells.dose, cells.doseUnit]);
  const rateText = hasRate ? joined([String(cells.rateValue), cells.rateUnit]) : joined([cells.rate, cells.rateUnit]);
  const text = joined([cells.drug, hasRate ? rateText : doseText, cells.route, cells.action, cells.text]);
  const parsed = parseDose(text.slice(0, MAX_LOOKED_AT));
  const named = findDrug(cells.drug.slice(0, MAX_LOOKED_AT), cells.route === '' ? null : cells.route);
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
  const flags = new Set(parsed.flags.filter((flag) => !(term !== null && flag === 'no drug recognised')));
  if (amount !== null && unit !== '') flags.delete('no unit stated');
  if (term !== null && amount !== null && form === 'bolus') for (const flag of doseFlags(term, amount, unit)) flags.add(flag);
  if (ambiguous.length > 0) flags.add(`may mean ${ambiguous.join(' or ')}`);
  return {
    inn: term?.inn ?? null,
    atc: term?.atc ?? null,
    isVasopressor: (term?.isVasopressor ?? false) && !isNotGiven,
    route: (cells.route === '' ? null : normalizeRoute(cells.route)) ?? parsed.route,
    form,
    amount,
    unit,
    tMs,
    endMs,
    manual: false,
    flags: [...flags],
    text,
    line,
  };
}
